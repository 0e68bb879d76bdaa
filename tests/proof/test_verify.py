"""`verify` finds a pack true however it was saved, and catches every way of spoiling one here."""

import contextlib
import dataclasses
import functools
import io
import re
import subprocess
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from unittest import mock

import pymupdf
import pypdf
import pypdfium2
import pytest
import spoiled
from builders import example_plan, laid_pack
from fontTools import ttLib
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    FloatObject,
    NameObject,
    NumberObject,
    TextStringObject,
)
from reportlab.pdfgen.canvas import Canvas
from spoiled import (
    alike,
    changed,
    cut_line,
    cut_lines,
    is_tile,
    kind,
    moved,
    names,
    resaved,
    restated,
    reworded,
    scaled,
    state,
    tiled,
    with_content,
    written,
)

from templategen.errors import InputError
from templategen.geometry.shapes import Box, Transform
from templategen.nest.planner import make_plan
from templategen.parts.drawing import Path as Run
from templategen.parts.drawing import Role, line, rectangle
from templategen.parts.drawing import Text as Words
from templategen.proof import verify as comparing
from templategen.proof.pdf_reader import DrawnPage, PackFile
from templategen.proof.recipe import NAME, Recipe, make_recipe
from templategen.proof.remake import Remade
from templategen.proof.report import Report
from templategen.proof.verify import TOLERANCE, verify
from templategen.sheets.page import Placement
from templategen.trade.printer import PrinterProfile
from templategen.trade.records import PinnedCut

PLATE = kind("cut plate")
replace = dataclasses.replace


class _KeptOpen(PackFile):
    """A file whose pages are read once, however often it is compared."""

    def __exit__(self, *_: object) -> None:
        """Stays open."""

    @functools.cached_property
    def kept(self) -> list[DrawnPage]:
        """All pages, open."""
        self.stack = contextlib.ExitStack()
        count = len(self.document)
        return [self.stack.enter_context(PackFile.page(self, n)) for n in range(count)]

    def page(self, index: int) -> AbstractContextManager[DrawnPage]:
        """A page that was opened before."""
        return contextlib.nullcontext(self.kept[index])


@pytest.fixture(autouse=True, scope="module")
def _remade_once() -> Iterator[None]:
    """Each recipe is made again once, and its file is read once, however many files carry it."""
    made: dict[str, Remade] = {}
    files: dict[int, _KeptOpen] = {}

    def remake(recipe: Recipe) -> Remade:
        key = repr(recipe)
        if key not in made:
            made[key] = _remake(recipe)
        return made[key]

    def file(remade: Remade) -> _KeptOpen:
        key = id(remade)
        if key not in files:
            files[key] = _KeptOpen(_file(remade), "pack.pdf")
        return files[key]

    def opened(data: bytes | _KeptOpen, name: str) -> PackFile:
        return data if isinstance(data, _KeptOpen) else PackFile(data, name)

    _remake, _file = comparing.remake, Remade.file
    with (
        mock.patch.object(comparing, "remake", remake),
        mock.patch.object(comparing, "PackFile", opened),
        mock.patch.object(Remade, "file", file),
    ):
        yield


def _report(data: bytes) -> Report:
    return verify(data, "pack.pdf")


def _bad(report: Report) -> list[str]:
    return [f"{row.sheet}: {row.what}: {row.note}" for row in report.rows if not row.is_true]


def test_the_true_pack_is_true() -> None:
    """Nothing differs, no line lies away from its place, and nothing is left out of the kinds."""
    report = _report(spoiled.true_file())
    assert _bad(report) == []
    assert report.is_true
    assert report.worst < 0.001
    assert report.sheets == len(spoiled.pack().pages)
    assert any(row.what == "Cut plate 1, cutter R90" for row in report.rows)
    assert "gauge stick" in [str(name) for name in report.left_out]


@pytest.mark.parametrize("way", ["mupdf", "mupdf, cleaned", "qpdf", "qpdf, packed", "pypdf"])
def test_a_pack_that_was_saved_anew_is_true(way: str, tmp_path: Path) -> None:
    """Programs that save a file without drawing it anew change nothing that is compared."""
    data = spoiled.true_file()
    path, other = tmp_path / "a.pdf", tmp_path / "b.pdf"
    path.write_bytes(data)
    if way.startswith("mupdf"):
        clean = {"garbage": 4, "clean": True, "deflate": True}
        data = pymupdf.open(path).tobytes(**clean if "," in way else {"use_objstms": 1})
    elif way == "pypdf":
        data = resaved(lambda writer: writer.compress_identical_objects())
    else:
        options = ["--object-streams=generate", "--recompress-flate", "--linearize"]
        try:
            subprocess.run(["qpdf", *options[: 3 * ("," in way)], path, other], check=True)
        except FileNotFoundError:
            pytest.skip("no qpdf here")
        data = other.read_bytes()
    assert data != spoiled.true_file()
    report = _report(data)
    assert report.is_true, _bad(report)


def _hidden_by_clip(placement: Placement) -> Placement:
    return replace(placement, clip=placement.clip.grown(-4.0))


def _form(writer: pypdf.PdfWriter) -> None:
    for page in writer.pages:
        page.add_transformation(pypdf.Transformation().scale(0.97))


def _fitted() -> bytes:
    """Pages put into new ones as forms, scaled to 95 %, as programs that fit pages do."""
    source, target = pypdfium2.PdfDocument(spoiled.true_file()), pypdfium2.PdfDocument.new()
    for index in range(len(source)):
        form = source.page_as_xobject(index, target)
        page = target.new_page(*source.get_page_size(index))
        shown = form.as_pageobject()
        shown.set_matrix(pypdfium2.PdfMatrix().scale(0.95, 0.95))
        page.insert_obj(shown)
        page.gen_content()
    target.new_attachment(NAME).set_data(bytes(source.get_attachment(0).get_data()))
    out = io.BytesIO()
    target.save(out)
    return out.getvalue()


def _under_a_script(writer: pypdf.PdfWriter) -> None:
    action = names(S="JavaScript")
    action[NameObject("/JS")] = TextStringObject("app.alert(1)")
    writer.root_object[NameObject("/OpenAction")] = action


def _soft_mask() -> bytes:
    form = DecodedStreamObject()
    form.set_data(b"")
    form.update(names(Type="XObject", Subtype="Form", Group=names(S="Transparency")))
    form[NameObject("/BBox")] = ArrayObject([FloatObject(v) for v in (0, 0, 1, 1)])
    mask = names(Type="Mask", S="Luminosity", G=form)
    return with_content(cut_line("/GS gs\n"), PLATE, ExtGState=state(SMask=mask))


def _moved_words(words: Words) -> Words:
    return replace(words, at=type(words.at)(words.at.x + 2, words.at.y))


LINE_OFF, DIFFERS = "from its place", "looks otherwise"
Make = Callable[[], bytes]
SPOILED: dict[str, tuple[Make, str]] = {
    # wording
    "bar of 150 said to be 140": (lambda: reworded("110", "100"), "instead of"),
    "radius of a cutter": (lambda: reworded(r"R90\b", "R60"), "R60"),
    "figures on the work order": (
        lambda: written(changed(kind("work order"), spoiled.redrawn(_other_figure))),
        "instead of",
    ),
    "labels of two plates exchanged": (spoiled.exchanged_titles, "instead of"),
    "print at 97 %": (lambda: reworded("100 %", "97 %"), "'97' instead of '100'"),
    "minus lost": (lambda: reworded(r"-(?=\d)", ""), "instead of"),
    "decimal point lost": (lambda: reworded(r"(\d)\.(\d)", r"\1\2"), "instead of"),
    "another unit": (lambda: reworded(r"\bmm\b", "in"), "'in' instead of 'mm'"),
    "number of a sheet": (lambda: reworded("Sheet 3", "Sheet 8"), "instead of"),
    "a caution left out": (lambda: reworded("[Ss]hield.*", ""), "is missing"),
    "a word added": (lambda: reworded("$", " not"), "'not' was added"),
    "words in white": (lambda: with_content(_white_words, PLATE), DIFFERS),
    "words that are not painted": (
        lambda: with_content(lambda text: f"3 Tr\n{text}", PLATE),
        DIFFERS,
    ),
    "words elsewhere": (lambda: spoiled.other_words(_moved_words, PLATE), DIFFERS),
    "words smaller": (
        lambda: spoiled.other_words(lambda w: replace(w, size=w.size * 0.8), PLATE),
        DIFFERS,
    ),
    "title of the file": (
        lambda: resaved(lambda w: w.add_metadata({"/Title": "Other"})),
        "the title is 'Other'",
    ),
    "bookmarks": (
        lambda: resaved(lambda w: w.add_outline_item(title="x", page_number=0)),
        "bookmarks",
    ),
    "label of a page": (
        lambda: resaved(lambda w: w.set_page_label(0, 0, prefix="Sheet 9")),
        "viewers call the page",
    ),
    # hiding
    "cut line in white": (
        lambda: with_content(spoiled.inside_cut_line("0 G", "1 G"), PLATE),
        "another colour",
    ),
    "cut line in pale grey": (
        lambda: with_content(spoiled.inside_cut_line("0 G", ".9 G"), PLATE),
        "another colour",
    ),
    "cut line dashed": (
        lambda: written(changed(PLATE, cut_lines(lambda r: replace(r, dashed=True)))),
        "dashed otherwise",
    ),
    "cut line 2 mm wide": (
        lambda: written(changed(PLATE, cut_lines(lambda r: replace(r, width=2.0)))),
        "2.00 mm wide, not 0.30 mm",
    ),
    "cut line too thin to see": (
        lambda: written(changed(PLATE, cut_lines(lambda r: replace(r, width=0.005)))),
        "wide, not 0.30 mm",
    ),
    "cut line transparent": (
        lambda: with_content(cut_line("/GS gs\n"), PLATE, ExtGState=state(CA=0.2)),
        "/ExtGState",
    ),
    "cut line behind a mask": (_soft_mask, "/Luminosity"),
    "cut line blended away": (
        lambda: with_content(cut_line("/GS gs\n"), PLATE, ExtGState=state(BM="Screen")),
        "/BM",
    ),
    "cut line behind a clip": (
        lambda: with_content(cut_line("0 0 9 9 re W n\n"), PLATE),
        DIFFERS,
    ),
    "cut line under a white line": (
        lambda: written(changed(PLATE, _painted_over)),
        "a line too many",
    ),
    "part under a white patch": (
        lambda: written(changed(PLATE, spoiled.added(_patch()))),
        "a line too many",
    ),
    "part in a hidden layer": (lambda: resaved(spoiled.layered), "/OC"),
    "part under a picture": (lambda: resaved(spoiled.covered), "a picture was added"),
    "part under a picture in the page's own operators": (
        lambda: with_content(
            lambda text: f"{text}\nq 90 0 0 90 90 90 cm BI /W 1 /H 1 /BPC 8 /CS /G ID \xff EI Q",
            PLATE,
        ),
        "a picture was added",
    ),
    "part under a note": (lambda: resaved(spoiled.annotated("Square")), "/Annot"),
    "a note that is printed": (
        lambda: resaved(spoiled.annotated("Stamp", Name="Approved")),
        "/Annot",
    ),
    "window of a part too narrow": (
        lambda: written(changed(PLATE, _hidden_by_clip)),
        DIFFERS,
    ),
    # lines
    "stray cut line": (lambda: _stray(0.3), "a line too many"),
    "stray mark": (lambda: _stray(0.15), "a line too many"),
    "stray line of a width of its own": (lambda: _stray(0.22), "a line too many"),
    "cut line gone": (
        lambda: written(changed(PLATE, cut_lines(lambda _: None))),
        "a line is missing",
    ),
    "radius 0.1 mm larger": (
        lambda: written(changed(PLATE, cut_lines(spoiled.wider_arcs(0.1), most=9))),
        "",
    ),
    "curve bent between its ends": (lambda: with_content(spoiled.bent, PLATE), LINE_OFF),
    "part 0.3 mm aside": (
        lambda: written(changed(PLATE, moved(Transform.move(0.3, 0)))),
        "lies 0.30 mm from its place",
    ),
    "tile 0.3 mm aside": (
        tiled(lambda: written(changed(is_tile, moved(Transform.move(0, 0.3))))),
        "lies 0.30 mm from its place",
    ),
    "part mirrored": (
        lambda: written(changed(PLATE, lambda p: replace(
            p, transform=Transform.scale(-1, 1).then(p.transform)))),
        LINE_OFF,
    ),
    "page moved": (
        lambda: resaved(lambda w: w.pages[2].add_transformation(
            pypdf.Transformation().translate(0, 0.1))),
        LINE_OFF,
    ),
    # recipe and drawing alike
    "part at 95 %": (lambda: alike(changed(PLATE, scaled(0.95))), LINE_OFF),
    "tile at 99 %": (tiled(lambda: alike(changed(is_tile, scaled(0.99)))), LINE_OFF),
    "marks apart": (tiled(lambda: alike(changed(is_tile, _marks_apart))), LINE_OFF),
    "plates left out": (lambda: alike(spoiled.without("cut plate")), "other than its job"),
    "window narrower": (lambda: alike(changed(PLATE, _hidden_by_clip)), DIFFERS),
    "all pages for a printer that is not named": (
        lambda: alike(spoiled.corrected(Transform.scale(0.98, 0.98))),
        LINE_OFF,
    ),
    # the recipe alone
    "date": (lambda: restated(job__date="2026-06-01"), "instead of"),
    "units": (lambda: restated(print__units="in"), "instead of"),
    "printer": (
        lambda: restated(print__printer={"name": "x", "across": 0.99, "down": 1.0}),
        LINE_OFF,
    ),
    "paper": (lambda: restated(print__paper="a4"), ""),
    "findings": (lambda: restated(plan__findings=[]), "plan.findings"),
    "place of a part": (
        lambda: restated(pages__3__parts__0__transform=lambda t: [*t[:5], t[5] + 1]),
        "pages[4].parts[1].transform[6]",
    ),
    # the file
    "unit of a page": (
        lambda: resaved(spoiled.on_page("UserUnit", FloatObject(1.02))),
        "/UserUnit",
    ),
    "print scaling as the program likes": (
        lambda: resaved(lambda w: w.root_object["/ViewerPreferences"].pop("/PrintScaling")),
        "no longer asks the print dialog",
    ),
    "page turned": (lambda: resaved(lambda w: w.pages[0].rotate(180)), "the page is turned"),
    "page cropped": (
        lambda: resaved(spoiled.on_page("CropBox", ArrayObject([FloatObject(v) for v in
                                                                (0, 0, 300, 500)]))),
        "the page is",
    ),
    "trimmed in another viewer": (
        lambda: resaved(spoiled.on_page("TrimBox", ArrayObject([FloatObject(v) for v in
                                                                (9, 9, 300, 500)]))),
        "/TrimBox",
    ),
    "page scaled to 97 %": (lambda: resaved(_form), LINE_OFF),
    "page and paper scaled": (
        lambda: resaved(lambda w: [page.scale_by(0.97) for page in w.pages]),
        "the page is",
    ),
    "page missing": (lambda: resaved(spoiled.without_page), "is missing"),
    "page twice": (lambda: resaved(lambda w: w.add_page(w.pages[2])), "is no sheet of the pack"),
    "blank page added": (lambda: resaved(lambda w: w.add_blank_page()), "is no sheet of the pack"),
    "pages exchanged": (lambda: resaved(spoiled.exchanged_pages), "lies on page 3"),
    "pages put into forms": (_fitted, LINE_OFF),
    "script": (lambda: resaved(_under_a_script), "/JavaScript"),
    "figures of another font": (lambda: resaved(_exchanged_glyphs), DIFFERS),
    "letters wider apart": (lambda: with_content(lambda text: f".3 Tc\n{text}", PLATE), DIFFERS),
    "page turned by a fiftieth of a degree": (
        lambda: resaved(lambda w: w.pages[2].add_transformation(
            pypdf.Transformation().rotate(0.02))),
        LINE_OFF,
    ),
    "words that nobody sees": (
        lambda: with_content(lambda text: f"{text}\nBT /F1+0 9 Tf 3 Tr (R999) Tj ET", PLATE),
        "'R999' was added",
    ),
    "five copies": (
        lambda: resaved(lambda w: w.root_object["/ViewerPreferences"].__setitem__(
            NameObject("/NumCopies"), NumberObject(5))),
        "/NumCopies",
    ),
}  # fmt: skip


def _exchanged_glyphs(writer: pypdf.PdfWriter) -> None:
    """Exchanges how 3 and 8 look; what they mean to a program stays."""
    fonts = writer.pages[spoiled.place_of(PLATE)]["/Resources"].get_object()["/Font"]
    for font in fonts.values():
        about = font.get_object()["/FontDescriptor"].get_object()
        letters = ttLib.TTFont(io.BytesIO(about["/FontFile2"].get_object().get_data()))
        for table in letters["cmap"].tables:
            shapes = table.cmap
            for three in {0x33, 0xF033} & shapes.keys():
                shapes[three], shapes[three + 5] = shapes[three + 5], shapes[three]
        out, program = io.BytesIO(), DecodedStreamObject()
        letters.save(out)
        program.set_data(out.getvalue())
        about[NameObject("/FontFile2")] = writer._add_object(program)


def _other_figure(item: object) -> object:
    """Swaps the digits of the first figure of two different digits."""
    if isinstance(item, Words) and len(item.text) >= 2 and item.text[:2].isdigit():
        return replace(item, text=item.text[1::-1] + item.text[2:])
    return item


def _white_words(text: str) -> str:
    return text.replace("0 g\nBT", "1 g\nBT")


def _painted_over(placement: Placement) -> Placement:
    cut = next(i for i in placement.part.drawing.items
               if isinstance(i, Run) and i.role is Role.CUT)  # fmt: skip
    return spoiled.added(replace(cut, fill=1.0, width=0.0))(placement)


def _patch() -> Run:
    return rectangle(Box(0, 0, 30, 30), role=Role.NOTE, fill=1.0, width=0.0)


def _stray(width: float) -> bytes:
    stray = replace(line(2, -2, 9, -9, role=Role.CUT), width=width)
    return written(changed(PLATE, spoiled.added(stray)))


def _marks_apart(placement: Placement) -> Placement:
    """Moves what a tile draws last: its registration marks."""
    *items, last = placement.part.drawing.items
    drawing = replace(placement.part.drawing, items=(*items, last.moved(Transform.move(1, 0))))
    return replace(placement, part=replace(placement.part, drawing=drawing))


@pytest.mark.parametrize("way", SPOILED)
def test_a_spoiled_pack_is_not_true(way: str) -> None:
    """Whatever a person would read, see or glue otherwise is told, with its part and in words."""
    make, message = SPOILED[way]
    report = _report(make())
    assert not report.is_true
    assert any(message in row for row in _bad(report)), _bad(report)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"job__blank__wood": "black walnut"}, "so other than its job and shop give"),
        ({"shop__jaws__0__depth": 15}, "so other than its job and shop give"),
        ({"plan__cuts__0__pivot_offset": lambda value: value + 0.5}, "plan.cuts[1].pivot_offset"),
        ({"plan__bowls__0__wall": 3}, "plan.bowls[1].wall is 3"),
    ],
)
def test_a_recipe_that_gives_another_plan(change: dict[str, object], message: str) -> None:
    """Where job and shop do not give the plan inside, nothing is compared: a line says so."""
    with pytest.raises(InputError, match=re.escape(message)):
        _report(restated(**change))


def test_the_part_and_the_words_are_named() -> None:
    """A row says where the difference is; a patch over one part is a row of that part alone."""
    report = _report(reworded(r"R90\b", "R60"))
    (row,) = [row for row in report.rows if not row.is_true]
    assert row.what == "Work order"
    report = _report(written(changed(PLATE, spoiled.added(_patch()))))
    assert {str(row.what) for row in report.rows if not row.is_true} == {"Cut plate 1, cutter R90"}
    assert str(report.rows[0].note) == ""


@pytest.mark.parametrize("paper_too", [False, True])
def test_pages_scaled_alike_are_told(paper_too: bool) -> None:
    """All pages at 97 %, as print programs make them: the scale is named."""
    shrink = (lambda page: page.scale_by(0.97)) if paper_too else _shrunk
    report = _report(resaved(lambda writer: [shrink(page) for page in writer.pages]))
    assert report.scale == pytest.approx((0.97, 0.97), abs=1e-4)
    assert not any(row.is_true for row in report.rows if row.deviation is not None)


def _shrunk(page: pypdf.PageObject) -> None:
    page.add_transformation(pypdf.Transformation().scale(0.97))


@pytest.mark.parametrize("far", [0.02, 0.008])
def test_the_bound_on_lines(far: float) -> None:
    """A part moved by more than the tolerance is not true; one moved by less is."""
    report = _report(written(changed(PLATE, moved(Transform.move(far, 0)))))
    assert report.is_true == (far < TOLERANCE)
    assert report.worst == pytest.approx(far, abs=0.001)


def test_a_pack_for_a_measured_printer() -> None:
    """Stretched and leaning for a printer it is true; with another printer named it is not."""
    profile = PrinterProfile(name="Shed", across=0.995, down=1.004, skew=0.002)
    laid = laid_pack(spoiled.plan(), paper="a5", kinds=("cut plate",), profile=profile)
    stated = make_recipe(spoiled.plan(), laid)
    assert _report(written(laid, stated)).is_true
    stated["print"]["printer"]["across"] = 0.996
    assert not _report(written(laid, stated)).is_true


def test_a_pack_of_another_release() -> None:
    """Its lines alone are compared, and it is never called true; where they differ, likewise."""
    for data, as_laid in (
        (restated(release="0.0.1"), True),
        (restated(release=""), True),
        (_released(reworded("100 %", "97 %")), True),
        (_released(_stray(0.3)), False),
    ):
        report = _report(data)
        assert not report.is_true
        assert report.is_as_laid == as_laid
        assert report.release in ("0.0.1", "?")


def _released(data: bytes) -> bytes:
    """The file said to be of another release; the recipe stands in it as it was written."""
    held = pypdf.PdfReader(io.BytesIO(data)).attachments[NAME][0]
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(data))
    writer.root_object["/Names"].pop("/EmbeddedFiles")
    writer.add_attachment(NAME, held.replace(b'"release": "0.1.0"', b'"release": "0.0.1"'))
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def test_a_plan_of_another_version() -> None:
    """Cuts that this planner would not choose, yet allows, are kept: the pack is still true.

    The other version is played by a job with a pinned cut, whose pin the recipe does not tell.
    """
    best = example_plan("small-220.toml")
    job, shop = best.job, best.shop
    cut = best.cuts[0]
    pin = PinnedCut(
        cutter=cut.cutter.id,
        pivot_offset=cut.pivot_offset,
        pivot_standoff=cut.pivot_standoff + 1.0,
    )
    nest = replace(job.nest, pinned=(pin,), add_cuts=False)
    other = replace(make_plan(replace(job, nest=nest), shop), job=job)
    assert other.cuts[0].pivot_standoff == pytest.approx(cut.pivot_standoff + 1.0)
    assert not other.has_stop
    laid = laid_pack(other, kinds=("cut plate", "gauge stick"))
    report = _report(written(laid, make_recipe(other, laid)))
    assert report.worst < 0.001
    assert all(row.is_true for row in report.rows if row.deviation is not None), _bad(report)


def test_a_page_that_draws_far_too_much() -> None:
    """A page of sixty-one thousand lines is refused with a line, soon and in little memory."""
    more = "\n100 100 m 101 101 l S" * 61_000
    data = with_content(lambda text: text + more, PLATE)
    with pytest.raises(InputError, match=r"draws too much to be a pack; this is no pack"):
        _report(data)


def test_no_recipe() -> None:
    """A PDF from elsewhere is refused with a line."""
    out = io.BytesIO()
    canvas = Canvas(out)
    canvas.drawString(100, 100, "Sheet 1")
    canvas.save()
    with pytest.raises(InputError, match=r"carries no templategen-pack\.json"):
        _report(out.getvalue())
    with pytest.raises(InputError, match=r"carries more files than"):
        _report(resaved(lambda writer: writer.add_attachment("other.json", b"{}")))
