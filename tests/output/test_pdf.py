"""The PDF file: readers that are not the writer take it without a warning, and print it true."""

import dataclasses
import io
import json
import logging
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pymupdf
import pypdf
import pypdfium2
import pytest
from builders import demo_plan, example_plan, laid_pack
from hypothesis import given, settings
from hypothesis import strategies as st
from pseudo import MARKED
from reportlab.lib.rl_accel import fp_str

from templategen.geometry.shapes import Point, circle
from templategen.output.pdf import number, write_pdf
from templategen.parts.drawing import Drawing, Part, Role, arc_path
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.layout import lay_out
from templategen.sheets.page import Pack, PageFrame
from templategen.trade.paper import paper_named
from templategen.units import Units


@pytest.fixture(scope="module")
def made() -> tuple[Pack, bytes]:
    """The pack of the small example (invented), as pages and as a file."""
    plan = example_plan("small-220.toml")
    pack = laid_pack(plan)
    data = write_pdf(pack, title=plan.job.title, attachments={NAME: recipe_bytes(plan, pack)})
    return pack, data


def test_pypdf_reads_it_strictly(
    made: tuple[Pack, bytes], caplog: pytest.LogCaptureFixture
) -> None:
    """Pypdf in strict mode reads every page and every bookmark and logs nothing."""
    pack, data = made
    with caplog.at_level(logging.WARNING):
        reader = pypdf.PdfReader(io.BytesIO(data), strict=True)
        assert len(reader.pages) == len(pack.pages)
        assert all(page.extract_text() for page in reader.pages)
        assert reader.outline
    assert not caplog.records


def test_it_is_dated_as_its_job(made: tuple[Pack, bytes]) -> None:
    """Creation and change (ISO 32000-2, 14.3.3) are dated as the job; without a date, not at all.

    The file of a pack without a date is still the same in every run.
    """
    pack, data = made
    undated = dataclasses.replace(pack, date="", pages=pack.pages[:1])
    bare = write_pdf(undated, title="", attachments={})
    assert pack.date == "2026-06-14"
    for held, date in ((data, "D:20260614"), (bare, None)):
        found = pypdf.PdfReader(io.BytesIO(held)).metadata
        assert found is not None
        assert [found.get(key) for key in ("/CreationDate", "/ModDate")] == [date, date]
    assert write_pdf(undated, title="", attachments={}) == bare


def test_what_the_print_dialog_is_asked(made: tuple[Pack, bytes]) -> None:
    """The catalogue's wishes are those of ISO 32000-2, table 147: no scaling, one-sided."""
    reader = pypdf.PdfReader(io.BytesIO(made[1]), strict=True)
    root = reader.trailer["/Root"]
    wishes = root["/ViewerPreferences"]
    assert wishes["/PrintScaling"] == "/None"
    assert wishes["/Duplex"] == "/Simplex"
    assert bool(wishes["/PickTrayByPDFSize"]) is True
    assert reader.pdf_header == "%PDF-1.7"
    assert root["/Lang"] == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Porch cherry (invented)"
    assert reader.page_labels == [page.label for page in made[0].pages]


def test_bookmarks_name_every_part(made: tuple[Pack, bytes]) -> None:
    """Each step of the work, its sheets and each part on them, leading to their own pages."""
    pack, data = made
    reader = pypdf.PdfReader(io.BytesIO(data), strict=True)
    found: list[tuple[str, int | None]] = []

    def walk(entries: list[object]) -> None:
        for entry in entries:
            if isinstance(entry, list):
                walk(entry)
            elif isinstance(entry, pypdf.generic.Destination):
                found.append((str(entry.title), reader.get_destination_page_number(entry)))

    walk(reader.outline)
    wanted: list[tuple[str, int]] = []
    steps: list[str] = []
    for index, page in enumerate(pack.pages):
        assert page.use is not None
        step = str(page.use.group.heading)
        if step not in steps:
            steps.append(step)
            wanted.append((step, index))
        titled = [p for p in page.placements if p.part.kind != "use sketch"]
        names = [f"{p.part.title} {p.tile}".strip() for p in titled]
        if len(names) == 1:
            wanted.append((f"{page.label}: {names[0]}", index))
        else:
            wanted.append((f"{page.label}: {len(names)} parts", index))
            wanted += [(name, index) for name in names]
    assert found == wanted


def test_pdfium_opens_every_page(made: tuple[Pack, bytes]) -> None:
    """Pdfium finds the pages, their sizes to a hundredth of a millimetre, and the recipe."""
    pack, data = made
    document = pypdfium2.PdfDocument(data)
    assert len(document) == len(pack.pages)
    for sheet, page in zip(document, pack.pages, strict=True):
        width, height = sheet.get_size()
        assert width / 72 * 25.4 == pytest.approx(page.paper.width, abs=0.01)
        assert height / 72 * 25.4 == pytest.approx(page.paper.height, abs=0.01)
        sheet.close()
    assert document.count_attachments() == 1
    document.close()


def test_mupdf_draws_every_page_without_a_warning(made: tuple[Pack, bytes]) -> None:
    """MuPDF draws each page, small, and has nothing to warn of."""
    pymupdf.TOOLS.reset_mupdf_warnings()
    with pymupdf.open(stream=made[1], filetype="pdf") as document:
        assert not document.is_repaired
        for page in document:
            assert min(page.get_pixmap(dpi=30).samples) < 255
    assert pymupdf.TOOLS.mupdf_warnings() == ""


@pytest.mark.parametrize(
    "words",
    [
        ["qpdf", "--check"],
        ["gs", "-q", "-dNOPAUSE", "-dBATCH", "-dPDFSTOPONWARNING", "-sDEVICE=nullpage"],
    ],
    ids=lambda w: w[0],
)
def test_other_readers_find_no_fault(
    words: list[str], made: tuple[Pack, bytes], tmp_path: Path
) -> None:
    """The readers a print shop has read it without an error or a warning."""
    if shutil.which(words[0]) is None:
        pytest.skip(f"{words[0]} is not installed here")
    path = tmp_path / "pack.pdf"
    path.write_bytes(made[1])
    done = subprocess.run([*words, str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "warning" not in (done.stdout + done.stderr).lower()
    assert not done.stderr


def test_the_recipe_inside_names_every_page(made: tuple[Pack, bytes]) -> None:
    """The attachment is the recipe; every font that a page uses is embedded."""
    pack, data = made
    reader = pypdf.PdfReader(io.BytesIO(data), strict=True)
    recipe = json.loads(reader.attachments[NAME][0])
    assert recipe["format"] == "templategen-pack/2"
    assert len(recipe["pages"]) == len(reader.pages) == len(pack.pages)
    for font in reader.pages[0]["/Resources"]["/Font"].values():
        assert "/FontFile2" in font.get_object()["/FontDescriptor"]


def test_the_pdf_states_its_language() -> None:
    """Catalogue entry Lang (ISO 32000-2, 14.9.2), outlines and subject, read by another library."""
    style = PrintStyle(units=Units.MM, wording=MARKED)
    laid = laid_pack(demo_plan(), kinds=("gauge stick",), style=style)
    reader = pypdf.PdfReader(io.BytesIO(write_pdf(laid, title="T", attachments={})))
    assert reader.trailer["/Root"]["/Lang"] == "de"
    assert reader.metadata is not None
    assert str(reader.metadata.subject).startswith("⟦")
    steps = [str(entry.title) for entry in reader.outline if not isinstance(entry, list)]
    assert steps == ["⟦Read first⟧", "⟦Set the post⟧"]
    inner = [entry for entry in reader.outline if isinstance(entry, list)]
    sheets = [str(e.title) for held in inner for e in held if not isinstance(e, list)]
    assert len(sheets) == len(laid.pages)
    assert all("⟦Sheet " in title for title in sheets)
    assert all(label.startswith("⟦Sheet ") for label in reader.page_labels)


def test_letters_print_right() -> None:
    """Special and accented letters come back out of the PDF as they went in."""
    title = "Ø ° × ± ½ ″ Łukasz Ærø ñ"
    plan = demo_plan()
    named = dataclasses.replace(plan, job=dataclasses.replace(plan.job, title=title))
    data = write_pdf(laid_pack(named, kinds=("setting card",)), title=title, attachments={})
    assert title in pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text()


def _picture(data: bytes, page: int) -> tuple[np.ndarray, float, float]:
    """Grey 0..255, and pixels a millimetre across and down, at 600 dpi."""
    document = pypdfium2.PdfDocument(data)
    sheet = document[page]
    bitmap = sheet.render(scale=600 / 72, grayscale=True)
    grey = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).copy()
    width, height = sheet.get_size()
    scales = (bitmap.width / (width / 72 * 25.4), bitmap.height / (height / 72 * 25.4))
    sheet.close()
    document.close()
    return grey, *scales


@pytest.mark.rendered
@pytest.mark.parametrize(
    ("paper", "units", "bar"), [("a4", Units.MM, 150.0), ("letter", Units.IN, 152.4)]
)
def test_bar_and_arc_measure_true(paper: str, units: Units, bar: float) -> None:
    """Pdfium at 600 dpi: the bars and a cut circle are within 0.02 mm."""
    part = Part(
        kind="test",
        key="ring",
        title="Ring",
        drawing=Drawing(items=(arc_path(circle(Point(0, 0), 80.0), role=Role.CUT),)),
    )
    frame, style = PageFrame(paper=paper_named(paper)), PrintStyle(units=units)
    pack = lay_out((part,), frame=frame, style=style, job_title="", date="")
    data = write_pdf(pack, title="t", attachments={})
    grey, px, py = _picture(data, 0)
    rows, columns = grey.shape
    page = pack.pages[0]
    centre = page.placements[0].transform.apply(Point(0, 0))
    ys, xs = np.nonzero(grey < 242)
    x, y = (xs + 0.5) / px, (rows - ys - 0.5) / py
    distance = np.hypot(x - centre.x, y - centre.y)
    near = abs(distance - 80.0) < 0.5
    weight = 1 - grey[ys, xs] / 255
    assert np.average(distance[near], weights=weight[near]) == pytest.approx(80.0, abs=0.02)

    # The first end ticks stand 19 mm from the left and 23.5 mm from the foot of the page.
    def tick(low: float, high: float, y0: float, y1: float) -> float:
        inside = (x > low) & (x < high) & (y > y0) & (y < y1)
        return float(np.average(x[inside], weights=weight[inside]))

    left, right = tick(18.5, 19.5, 17.1, 17.6), tick(18.5 + bar, 19.5 + bar, 17.1, 17.6)
    assert right - left == pytest.approx(bar, abs=0.02)
    ends = []
    for level in (23.5, 23.5 + bar):
        inside = (x > 16.6) & (x < 17.2) & (abs(y - level) < 0.5)
        ends.append(float(np.average(y[inside], weights=weight[inside])))
    assert ends[1] - ends[0] == pytest.approx(bar, abs=0.02)
    assert columns > rows * 0.5


@settings(deadline=None)
@given(st.one_of(st.floats(-2e4, 2e4), st.floats(-12, 12), st.floats(-1e-5, 1e-5)))
def test_numbers_are_written_as_reportlab_writes_them(value: float) -> None:
    """Against reportlab's own writer of numbers."""
    assert number(value) == fp_str(value)
