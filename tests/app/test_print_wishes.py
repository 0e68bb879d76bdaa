"""What a person typed of a print, checked."""

import pytest

from templategen.app.print_wishes import CuttingWords, checked_wishes
from templategen.errors import InputError
from templategen.trade.cutting_sheet import CuttingSheet


def test_sheets_and_beams_in_both_units() -> None:
    """1 in = 25.4 mm (NIST SP 811, from memory); a size in inches has a gap of 1/8 in."""
    plain = checked_wishes()
    assert (plain.formats, plain.sheet, plain.beam, plain.live_text) == (("pdf",), None, 0.0, False)
    metric = checked_wishes(cutting=CuttingWords(sheet="300x600", beam="0.2"))
    assert metric.sheet == CuttingSheet(width=300.0, height=600.0, gap=3.0)
    assert (metric.formats, metric.beam) == (("svg", "dxf"), 0.2)
    inch = checked_wishes("dxf,pdf", cutting=CuttingWords(sheet="12x24in", beam="1/64 in"))
    assert inch.sheet is not None
    assert (inch.sheet.width, inch.sheet.height) == pytest.approx((304.8, 609.6))
    assert inch.sheet.gap == pytest.approx(25.4 / 8)
    assert inch.beam == pytest.approx(25.4 / 64)
    assert inch.formats == ("pdf", "dxf")
    wide = checked_wishes(cutting=CuttingWords(sheet="300 x 600 mm", gap="1/4 in"))
    assert wide.sheet is not None
    assert wide.sheet.gap == pytest.approx(6.35)


@pytest.mark.parametrize(
    ("formats", "words", "message"),
    [
        ("pfd", {}, "--format: 'pfd' is no format; use pdf, svg or dxf, as pdf,svg"),
        (
            "pdf",
            {"beam": "0.2"},
            "--beam: is for SVG and DXF, which are cut by machine; "
            "add --format svg or --format dxf",
        ),
        (
            None,
            {"live_text": True},
            "--live-text: is for SVG and DXF, which are cut by machine; "
            "add --format svg or --format dxf",
        ),
        (
            "pdf",
            {"sheet": "300x600"},
            "--sheet: is for SVG and DXF, which are cut by machine; "
            "add --format svg or --format dxf",
        ),
        ("svg", {"beam": "x"}, "--beam: 'x' is not a length; write 0.2 or \"0.008 in\""),
        ("svg", {"beam": "-1"}, "--beam: -1 is out of bounds; give more than 0, up to 6 mm"),
        (
            None,
            {"gap": "3"},
            "--gap: is for parts on sheets to cut; add --sheet with a size, as 300x600",
        ),
        (None, {"sheet": "300"}, "--sheet: '300' is no size; write 300x600 or \"12x24in\""),
        (
            None,
            {"sheet": "30x600"},
            "--sheet: 30x600 is out of bounds; give sides of 50 to 3000 mm",
        ),
        (
            None,
            {"sheet": "300x600", "gap": "0.1"},
            "--gap: 0.1 is out of bounds; give 0.5 to 50 mm",
        ),
        (
            None,
            {"sheet": "60x600", "gap": "20"},
            "--gap: a gap of 20 mm leaves too little of the sheet; "
            "name a smaller gap, or a larger sheet",
        ),
    ],
)
def test_a_fault_names_its_option_and_its_mend(
    formats: str | None, words: dict[str, str | bool], message: str
) -> None:
    """One sentence: the option, what is wrong, what to write."""
    with pytest.raises(InputError) as caught:
        checked_wishes(formats, cutting=CuttingWords(**words))  # type: ignore[arg-type]
    assert str(caught.value) == message
