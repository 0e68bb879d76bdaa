"""The file itself: readers that are not the writer take it without a warning, and print it true."""

import io
import logging
import shutil
import subprocess
from pathlib import Path

import pymupdf
import pypdf
import pypdfium2
import pytest

from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.cover import make_pack
from templategen.sheets.page import Pack
from templategen.trade.paper import paper_named
from templategen.trade.wood import nearest_wood

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.fixture(scope="module")
def made() -> tuple[Pack, bytes]:
    """The pack of the small example (invented), as pages and as a file."""
    job = read_job(EXAMPLES / "small-220.toml", known_wood=nearest_wood)
    plan = make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)
    parts = make_parts(plan, kinds=(), style=PrintStyle(units=job.units))
    pack = make_pack(plan, parts, paper=paper_named("a4"), units=job.units)
    data = write_pdf(pack, title=job.title, attachments={NAME: recipe_bytes(plan, pack)})
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
    """Each sheet has its bookmark, and below it each part on it, leading to its own page."""
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
    for index, page in enumerate(pack.pages):
        names = [f"{p.part.title} {p.tile}".strip() for p in page.placements]
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
