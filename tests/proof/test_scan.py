"""A printer measured by scans of what it printed: simulated ones, of known printers and scanners.

The pages are drawn by MuPDF and spoilt with numpy and scipy; pdfium, on whose drawing they are
registered, has no part in them. What a flatbed does to a picture is from general knowledge.
"""

import dataclasses
import functools
import io
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from builders import example_plan, laid_pack
from PIL import ExifTags, Image, ImageChops, PngImagePlugin
from scans import TRUE, Grey, as_file, printer, scanned, turn, with_rule
from scipy import ndimage

from templategen.errors import InputError
from templategen.output.pdf import write_pdf
from templategen.parts.style import PrintStyle
from templategen.proof.scan import RuleMarks, ScanWishes, measure
from templategen.proof.scan_picture import read_scan
from templategen.sheets.page import PageFrame
from templategen.sheets.scale_page import scale_pack
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

PRINTER = printer(0.9956, 1.0031, 0.0012)
SCANNER = np.array([[1.0021, 0.0007], [0.0, 0.9984]])
A5, A5_GLASS = "148x210", (160.0, 224.0)


@functools.cache
def scale_sheet(paper: str = A5, profile: PrinterProfile | None = None) -> bytes:
    """The scale sheet of a paper, with the same words whether it is corrected for a printer."""
    frame = PageFrame(paper=paper_named(paper))
    pack = scale_pack(frame, PrintStyle(units=Units.MM))
    if profile is not None:
        page = dataclasses.replace(pack.pages[0], correction=profile.correction(frame.paper))
        pack = dataclasses.replace(pack, pages=(page,))
    return write_pdf(pack, title="Scale sheet", attachments={})


@functools.cache
def small_pack() -> bytes:
    """The pack of the small example (invented) on A4."""
    pack = laid_pack(example_plan("small-220.toml"))
    return write_pdf(pack, title="Invented", attachments={})


@functools.cache
def plain_scan() -> Grey:
    """The scale sheet on A5 at 150 dpi."""
    return scanned(scale_sheet(), 0, turn(1.3) @ PRINTER, dpi=150, glass=A5_GLASS)


def measured(pdf: bytes, picture: bytes, **wishes: Any) -> dict[str, Any]:  # noqa: ANN401 - of `ScanWishes`
    """What `measure` finds; its files are called scan.png and pack.pdf."""
    wanted = ScanWishes(name="scan.png", pack_name="pack.pdf", **wishes)
    answer, _ = measure(pdf, picture, wanted)
    return {**answer, **answer["found"]}


def far_off(found: dict[str, Any], wanted: np.ndarray) -> tuple[float, float]:
    """The greatest error, mm in 180 mm, and the greatest one as a share of what is stated."""
    true = wanted[0, 0], wanted[1, 1], wanted[0, 1] / wanted[1, 1]
    errors = [abs(found[k] - t) for k, t in zip(("across", "down", "skew"), true, strict=True)]
    stated = [found[f"{name}_off"] for name in ("across", "down", "skew")]
    return 180 * max(errors), max(e / s for e, s in zip(errors, stated, strict=True))


def test_a_page_of_a_pack_at_300_dpi() -> None:
    """Turned by 1.3 degrees, with noise, blur and uneven light: within 0.006 mm in 180 mm.

    It is found among all pages of its pack, and the stated uncertainty is under 0.01 mm.
    """
    pdf = small_pack()
    grey = scanned(pdf, 2, turn(1.3) @ PRINTER, dpi=300, glass=(216, 304))
    found = measured(pdf, as_file(grey, dpi=300, compress_level=1))
    assert found["page"] == 3
    error, share = far_off(found, PRINTER)
    assert error < 0.006
    assert share < 1
    assert 180 * max(found["across_off"], found["down_off"], found["skew_off"]) < 0.01


CASES = {
    "upside down, TIFF of 16 bits": (150, 178.5, "TIFF", "I;16", {}),
    "a quarter turn, 200 dpi, JPEG in colours": (200, 91.0, "JPEG", "RGB", {"quality": 60}),
    "turned by 6 degrees, with transparency": (150, 6.0, "PNG", "RGBA", {}),
    "600 dpi, black and white": (600, -0.7, "PNG", "1", {}),
}


@pytest.mark.parametrize("case", CASES)
def test_ways_to_scan_a_sheet(case: str) -> None:
    """Each lies within what is stated of it, and within 0.015 mm in 180 mm on a sheet of A5."""
    dpi, angle, kind, mode, how = CASES[case]
    glass = A5_GLASS if abs(angle) < 45 or abs(angle) > 135 else A5_GLASS[::-1]
    drawn = min(dpi, 300)  # a finer one has the same lines, for less time
    grey = scanned(scale_sheet(), 0, turn(angle) @ PRINTER, dpi=drawn, glass=glass)
    if dpi > drawn:
        grey = np.repeat(np.repeat(grey, dpi // drawn, axis=0), dpi // drawn, axis=1)
    found = measured(scale_sheet(), as_file(grey, dpi=dpi, kind=kind, mode=mode, **how))
    error, share = far_off(found, PRINTER)
    assert error < 0.015
    assert share < 1


def test_what_lies_on_the_glass_does_no_harm() -> None:
    """A dark lid beside the sheet and strokes of a pen move nothing by 0.02 mm in 180 mm."""
    grey = plain_scan().copy()
    grey[:, :20] = grey[-25:, :] = 0.15
    rows, columns = np.mgrid[: grey.shape[0], : grey.shape[1]]
    for n in range(6):
        wave = 200 + 150 * n + 60 * np.sin(columns / (40 + 9 * n))
        grey[np.abs(rows - wave) < 3] = 0.1
    assert far_off(measured(scale_sheet(), as_file(grey, dpi=150)), PRINTER)[0] < 0.02


def test_a_page_fitted_to_the_paper_is_measured() -> None:
    """94 %, as A4 on letter paper (arithmetic), and unlike both ways: told as it is."""
    fitted = printer(0.94, 0.955, 0.0)
    grey = scanned(scale_sheet(), 0, turn(-2) @ fitted, dpi=150, glass=A5_GLASS)
    assert far_off(measured(scale_sheet(), as_file(grey, dpi=150)), fitted)[0] < 0.015


@pytest.mark.parametrize("paper", [A5, "210x148"])
def test_a_profile_from_a_scan_makes_the_next_print_true(paper: str) -> None:
    """Printed with what a scan told, the sheet comes out true: signs of the skew, turned paper.

    A page wider than high goes through the printer turned by a quarter, either way round.
    """
    wide = paper != A5
    glass = A5_GLASS[::-1] if wide else A5_GLASS
    prints = turn(90).T @ PRINTER @ turn(90) if wide else PRINTER
    first = scanned(scale_sheet(paper), 0, turn(1) @ prints, dpi=150, glass=glass)
    found = measured(scale_sheet(paper), as_file(first, dpi=150))
    assert far_off(found, PRINTER)[0] < 0.015
    names = "across", "down", "skew"
    profile = PrinterProfile(name="invented", **{name: found[name] for name in names})
    again = scanned(scale_sheet(paper, profile), 0, turn(-1) @ prints, dpi=150, glass=glass)
    # Measured against the sheet as it was wanted: what is printed is true.
    true = measured(scale_sheet(paper), as_file(again, dpi=150))
    assert far_off(true, TRUE)[0] < 0.02
    assert true["residual"] is None
    # Against the corrected page the printer is found again, and what is left of its error.
    found = measured(scale_sheet(paper, profile), as_file(again, dpi=150))
    assert far_off(found, PRINTER)[0] < 0.015
    assert found["residual"] == pytest.approx((1.0, 1.0, 0.0), abs=0.02 / 180)


def test_the_scanner_s_own_error_falls_out() -> None:
    """A second scan, turned, tells the scanner's skew and the ratio of its scales; a rule the rest.

    The second scan is cut off, as on a glass that is too narrow for it. What is stated of the
    scanner is what it was made with.
    """
    straight = scanned(scale_sheet(), 0, SCANNER @ turn(1) @ PRINTER, dpi=150, glass=(180, 224))
    lying = scanned(scale_sheet(), 0, SCANNER @ turn(-89) @ PRINTER, dpi=150, glass=(160, 165))
    straight, places = with_rule(straight, SCANNER, dpi=150, length=190)
    one, two = as_file(straight, dpi=150), as_file(lying, dpi=150)
    marks = RuleMarks(places=places, length=190.0)
    plain = measured(scale_sheet(), one)
    turned = measured(scale_sheet(), one, turned=two)
    both = measured(scale_sheet(), one, turned=two, rule=marks)
    assert far_off(plain, PRINTER)[0] > 0.2  # what the scanner adds
    assert plain["scanner"] is None
    ratio = turned["across"] / turned["down"] / (PRINTER[0, 0] / PRINTER[1, 1])
    assert 180 * abs(ratio - 1) < 0.015
    assert 180 * abs(turned["skew"] - 0.0012) < 0.015
    error, share = far_off(both, PRINTER)
    assert error < 0.03  # the marks are read to 0.015 mm each
    assert share < 1.2
    assert both["scanner"] == pytest.approx((0.0021, -0.0016, 0.0007), abs=2e-4)


def test_an_uneven_carriage_is_told() -> None:
    """A wave of 0.15 mm, which no scale can undo, is in the stated uncertainty."""
    grey = plain_scan()
    rows, columns = np.mgrid[: grey.shape[0], : grey.shape[1]]
    waved = ndimage.map_coordinates(
        grey, [rows + 0.15 / 25.4 * 150 * np.sin(rows / 150), columns], order=1, mode="nearest"
    )
    found = measured(scale_sheet(), as_file(waved, dpi=150))
    error, share = far_off(found, PRINTER)
    assert error > 0.02
    assert share < 1.2


def _of(grey: Grey, **how: Any) -> bytes:  # noqa: ANN401 - of `as_file`
    return as_file(grey, **{"dpi": 150, **how})


def _photograph(grey: Grey) -> Grey:
    """The sheet seen from an angle."""
    rows, columns = np.mgrid[: grey.shape[0], : grey.shape[1]].astype(np.float64)
    lean = 1 + 6e-5 * columns
    return ndimage.map_coordinates(grey, [rows * lean, columns], order=1, mode="nearest")


def _huge() -> bytes:
    """A picture of 400 million pixels in a few kilobytes."""
    out = io.BytesIO()
    Image.new("1", (20_000, 20_000)).save(out, "PNG", dpi=(300, 300))
    return out.getvalue()


BAD = {
    "blank": (lambda g: _of(np.full_like(g, 0.9)), "nothing printed is to be seen"),
    "cut off": (lambda g: _of(g[:, : int(0.75 * g.shape[1])]), "% of the page"),
    "photograph": (lambda g: _of(_photograph(g)), "no page of this file|does not fit the page"),
    "coarse": (lambda g: _of(g[::2, ::2], dpi=75), "75 dpi is outside 150 to 4800"),
    "no dpi": (lambda g: _of(g, dpi=None), "does not say its resolution"),
    "no picture": (lambda _: b"GIF89a" + b"\0" * 99, "is no PNG, JPEG or TIFF picture"),
    "half a file": (lambda g: _of(g)[:20_000], "is a broken picture"),
    "tiny": (lambda g: _of(g[:3, :900]), "900 × 3 pixels"),
    "huge": (lambda _: _huge(), "pixels"),
}


@pytest.mark.parametrize("case", BAD)
def test_bad_scans_are_refused(case: str) -> None:
    """One line says what is wrong and what to do; nothing is measured."""
    made, says = BAD[case]
    with pytest.raises(InputError, match=says) as caught:
        measured(scale_sheet(), made(plain_scan()))
    assert len(caught.value.lines()) == 1
    assert str(caught.value).startswith("scan.png: ")
    assert caught.value.mend


def _clear_black(picture: Image.Image) -> tuple[Image.Image, dict[str, Any]]:
    """Black all over, and clear where the paper is."""
    black = Image.new("L", picture.size, 0)
    return Image.merge("LA", (black, ImageChops.invert(picture))), {}


def _turned(orientation: int) -> Image.Exif:
    """What a file says of the way its picture is to be turned (Exif 2.32, 4.6.4)."""
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    return exif


FORMS: dict[str, tuple[str, Callable[[Image.Image], tuple[Image.Image, dict[str, Any]]]]] = {
    "16 bits": (
        "PNG",
        lambda p: (Image.fromarray(np.asarray(p).astype(np.uint16) * 257), {}),
    ),
    "four inks": ("TIFF", lambda p: (p.convert("CMYK"), {})),
    "palette with a clear colour": (
        "PNG",
        lambda p: (p.convert("P"), {"transparency": bytes([255] * 255 + [0])}),
    ),
    "ink on clear": ("PNG", _clear_black),
    "lying, as a telephone keeps it": (
        "JPEG",
        lambda p: (p.transpose(Image.Transpose.ROTATE_90), {"exif": _turned(6), "quality": 100}),
    ),
    "lying in a TIFF": (
        "TIFF",
        lambda p: (p.transpose(Image.Transpose.ROTATE_270), {"exif": _turned(8)}),
    ),
    "first of many pages": (
        "TIFF",
        lambda p: (p, {"save_all": True, "append_images": [Image.new("L", (9, 9))] * 300}),
    ),
}


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_a_picture_is_read_alike(form: str) -> None:
    """However a scanner keeps its greys, the same ones are measured."""
    kind, change = FORMS[form]
    grey = np.full((600, 500), 250, np.uint8)
    grey[100:140, 50:300] = 5
    grey[200:500, 400:420] = 90
    out = io.BytesIO()
    made, how = change(Image.fromarray(grey))
    made.save(out, kind, dpi=(150, 150), **how)
    dark = read_scan(out.getvalue(), where="x").dark
    assert np.abs(dark - (1 - grey / 255.0)).max() < 0.03


def test_texts_in_a_picture_do_not_swell() -> None:
    """Packed texts of 80 MB in a small PNG: a line, not memory."""
    out, info = io.BytesIO(), PngImagePlugin.PngInfo()
    for n in range(40):
        info.add_text(f"k{n}", "x" * 2_000_000, zip=True)
    Image.new("L", (600, 600), 255).save(out, "PNG", dpi=(150, 150), pnginfo=info)
    with pytest.raises(InputError, match="is a broken picture"):
        read_scan(out.getvalue(), where="x")


def test_another_sheet_is_refused() -> None:
    """A sheet of another pack, or another page than the one that is named.

    All sheets share bars, foot and caution at the same places.
    """
    pdf = small_pack()
    grey = as_file(scanned(pdf, 3, turn(0.5) @ PRINTER, dpi=150, glass=(216, 304)), dpi=150)
    with pytest.raises(InputError, match="shows page 4, not page 3"):
        measured(pdf, grey, page=3)
    with pytest.raises(InputError, match="shows no page of this file"):
        measured(scale_sheet("a4"), grey)


def test_wishes_that_do_not_fit_the_scan() -> None:
    """A page that there is not, a second scan that is not turned, marks that are no rule's."""
    pdf, grey = scale_sheet(), as_file(plain_scan(), dpi=150)
    with pytest.raises(InputError, match="there is no page 2"):
        measured(pdf, grey, page=2)
    with pytest.raises(InputError, match="turned by 0° against the first scan"):
        measured(pdf, grey, turned=grey)
    with pytest.raises(InputError, match="mm apart on the scan"):
        measured(pdf, grey, rule=RuleMarks(places=((9, 9), (9, 200)), length=100.0))
