"""`verify` finds a pack true, and catches every way of spoiling one that is tried here."""

import dataclasses
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from builders import example_plan
from reportlab.pdfgen.canvas import Canvas

from templategen.errors import InputError
from templategen.geometry.shapes import Arc, Box, Transform
from templategen.messages import ENGLISH_WORDING
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.output.pdf import PT, number, write_pdf
from templategen.parts.drawing import LINE_WIDTH, Drawing, Role, line, rectangle
from templategen.parts.drawing import Path as Run
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.pdf_reader import PackFile
from templategen.proof.recipe import NAME, make_recipe, recipe_bytes
from templategen.proof.verify import TOLERANCE, Report, Row, verify
from templategen.sheets.page import Pack, Page, PageFrame, Placement
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.trade.records import PinnedCut

Made = tuple[Plan, Pack, bytes]
KINDS = ("setting card", "cut plate", "cutter arc", "tenon ring", "full circle")


def _made(profile: PrinterProfile | None = None) -> Made:
    plan = example_plan("small-220.toml", with_suggestions=True)
    pack = _packed(plan, "a5", *KINDS, to=profile)
    return plan, pack, _file(plan, pack, pack)


def _packed(plan: Plan, paper: str, *kinds: str, to: PrinterProfile | None = None) -> Pack:
    style = PrintStyle(units=plan.job.units)
    parts = make_parts(plan, kinds=kinds, style=style)
    return make_pack(
        plan, parts, frame=PageFrame(paper=paper_named(paper), profile=to), style=style
    )


def _file(plan: Plan, pack: Pack, stated: Pack) -> bytes:
    """A pack as a file that carries the recipe of another."""
    return write_pdf(pack, title="t", attachments={NAME: recipe_bytes(plan, stated)})


@pytest.fixture(scope="module")
def made() -> Made:
    """The small example (invented) on A5: a plan, a pack with seams, and its file."""
    return _made()


@pytest.fixture
def measure(tmp_path: Path) -> Callable[[bytes], Report]:
    """Verifies a file of given bytes."""

    def run(data: bytes) -> Report:
        path = tmp_path / "pack.pdf"
        path.write_bytes(data)
        with PackFile(path) as file:
            report = verify(file)
        return dataclasses.replace(
            report, **{name: _in_english(getattr(report, name)) for name in ROWS}
        )

    return run


ROWS = ("parts", "seams", "bars", "pages")


def _in_english(rows: tuple[Row, ...]) -> tuple[Row, ...]:
    text = ENGLISH_WORDING.text
    return tuple(dataclasses.replace(r, what=text(r.what), note=text(r.note)) for r in rows)


def _changed(
    pack: Pack, where: Callable[[Placement], bool], change: Callable[[Placement], Placement]
) -> tuple[Pack, Page, Placement]:
    """The pack with its first fitting placement changed; and where that was."""
    for place, page in enumerate(pack.pages):
        for index, placement in enumerate(page.placements):
            if where(placement):
                placements = list(page.placements)
                placements[index] = change(placement)
                pages = list(pack.pages)
                pages[place] = dataclasses.replace(page, placements=tuple(placements))
                return dataclasses.replace(pack, pages=tuple(pages)), page, placement
    raise AssertionError("no such placement")


def _redrawn(placement: Placement, items: tuple[object, ...]) -> Placement:
    drawing = Drawing(items=items)  # type: ignore[arg-type]
    return dataclasses.replace(placement, part=dataclasses.replace(placement.part, drawing=drawing))


def _bad(report: Report) -> list[str]:
    return [f"{row.sheet}: {row.what}: {row.note}" for row in report.rows if not row.is_true]


def test_a_good_pack_is_true(made: Made, measure: Callable[[bytes], Report]) -> None:
    """Everything is measured, and the writer is within a micrometre of the model."""
    _, pack, data = made
    report = measure(data)
    assert report.is_true, _bad(report)
    assert report.worst < 0.001
    placements = [
        p
        for page in pack.pages
        for p in page.placements
        if p.part.kind not in ("work order", "use sketch")
    ]
    assert len(report.parts) == len(placements)
    assert len(report.bars) == 2 * len(pack.pages)
    tiled = {p.part.title for p in placements if p.tile}
    assert tiled
    assert {row.what.rpartition(" ")[0] for row in report.seams} == tiled
    assert report.scale is None


@pytest.mark.parametrize(("across", "down"), [(0.9956, 1.004), (0.92, 1.08)])
def test_corrected_packs_are_true(
    across: float, down: float, measure: Callable[[bytes], Report]
) -> None:
    """A pack corrected for a printer verifies: the recipe inside says for which."""
    plan, pack, data = _made(PrinterProfile(name="study", across=across, down=down))
    report = measure(data)
    assert report.is_true, _bad(report)
    assert report.worst < 0.001
    # The same pages with a recipe that claims no correction are not true.
    plain = dataclasses.replace(
        pack,
        pages=tuple(dataclasses.replace(p, correction=Transform()) for p in pack.pages),
        frame=PageFrame(paper=pack.paper),
    )
    report = measure(_file(plan, pack, plain))
    assert not report.is_true
    if across > 0.99:  # beyond, the margin is another too, and the bars are not where they were
        assert report.scale == pytest.approx((1 / across, 1 / down), abs=1e-4)


def _scaled(data: bytes, *, paper_too: bool) -> bytes:
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(data))
    for page in writer.pages:
        if paper_too:
            page.scale_by(0.97)
        else:
            page.add_transformation(pypdf.Transformation().scale(0.97))
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.mark.parametrize("paper_too", [False, True])
def test_a_pack_scaled_to_97_percent(
    paper_too: bool, made: Made, measure: Callable[[bytes], Report]
) -> None:
    """Every bar reads 97 %, the report says so, and no part passes."""
    report = measure(_scaled(made[2], paper_too=paper_too))
    assert report.scale == pytest.approx((0.97, 0.97), abs=1e-4)
    assert not any(row.is_true for row in report.parts + report.bars)
    assert report.bars[0].note == "106.700 mm of 110.000 mm"
    assert bool(report.pages) == paper_too


def test_a_pack_fitted_by_another_program(made: Made, measure: Callable[[bytes], Report]) -> None:
    """Pages put into new ones as forms, scaled to 95 %, as programs that fit pages do."""
    _, _, data = made
    source = pypdfium2.PdfDocument(data)
    target = pypdfium2.PdfDocument.new()
    for index in range(len(source)):
        width, height = source.get_page_size(index)
        form = source.page_as_xobject(index, target)
        page = target.new_page(width, height)
        shown = form.as_pageobject()
        shown.set_matrix(pypdfium2.PdfMatrix().scale(0.95, 0.95))
        page.insert_obj(shown)
        page.gen_content()
    held = source.get_attachment(0)
    target.new_attachment(NAME).set_data(bytes(held.get_data()))
    out = io.BytesIO()
    target.save(out)
    report = measure(out.getvalue())
    assert report.scale == pytest.approx((0.95, 0.95), abs=1e-4)
    assert not report.is_true


def test_a_shifted_tile(made: Made, measure: Callable[[bytes], Report]) -> None:
    """One tile laid 0.3 mm aside: its row and its seam say 0.3 mm, nothing else."""
    plan, pack, _ = made
    aside = Transform.move(0.3, 0.0)
    spoiled, page, tile = _changed(
        pack,
        lambda p: p.tile in ("B1", "A2") and p.part.kind != "setting card",
        lambda p: dataclasses.replace(p, transform=p.transform.then(aside)),
    )
    report = measure(_file(plan, spoiled, pack))
    bad = [row for row in report.rows if not row.is_true]
    assert [row.what for row in bad] == [
        f"{tile.part.title} {tile.tile}",
        next(r.what for r in report.seams if r.what.startswith(tile.part.title)),
    ]
    assert bad[0].sheet == page.number
    assert bad[0].deviation == pytest.approx(0.3, abs=0.01)
    assert bad[1].deviation == pytest.approx(0.3, abs=0.01)


def test_a_shifted_page(made: Made, measure: Callable[[bytes], Report]) -> None:
    """All content of one page moved by 1 mm in the file: that page's rows, and no other's."""
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(made[2]))
    number = next(p.number for p in made[1].pages if any(q.tile for q in p.placements))
    writer.pages[number - 1].add_transformation(pypdf.Transformation().translate(0, 72 / 25.4))
    out = io.BytesIO()
    writer.write(out)
    report = measure(out.getvalue())
    bad = [row for row in report.rows if not row.is_true]
    assert {row.sheet for row in bad if row not in report.seams} == {number}
    assert max(row.deviation or 0 for row in bad) == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("labels", [True, False])
def test_a_missing_page(labels: bool, made: Made, measure: Callable[[bytes], Report]) -> None:
    """The sheet that is not there is named, with the page labels kept or lost."""
    _, pack, data = made
    reader = pypdf.PdfReader(io.BytesIO(data))
    lost = next(p.number for p in pack.pages if any(q.tile for q in p.placements))
    writer = pypdf.PdfWriter()
    for index, page in enumerate(reader.pages):
        if index != lost - 1:
            writer.add_page(page)
            if labels:
                writer.set_page_label(len(writer.pages) - 1, len(writer.pages) - 1,
                                      prefix=pack.pages[index].label)  # fmt: skip
    writer.add_attachment(NAME, reader.attachments[NAME][0])
    out = io.BytesIO()
    writer.write(out)
    report = measure(out.getvalue())
    assert [(row.sheet, row.note) for row in report.pages] == [(lost, "is missing")]
    seams = [row for row in report.seams if not row.is_true]
    assert seams
    assert seams[0].note == "a registration mark has no partner"
    assert all(row.is_true for row in report.parts + report.bars)


def test_a_page_too_many(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A sheet that comes twice, and a page that is no sheet, are named."""
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(made[2]))
    writer.add_page(writer.pages[2])
    writer.add_blank_page()
    out = io.BytesIO()
    writer.write(out)
    rows = measure(out.getvalue()).pages
    last = len(made[1].pages)
    assert [(r.what, r.note) for r in rows] == [
        (f"page {last + 1}", "is another sheet 3"),
        (f"page {last + 2}", f"is another sheet {last}"),  # it takes over the last label
    ]


def test_a_changed_arc(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A cutter arc whose radius is 0.1 mm out is told, with that figure."""
    plan, pack, _ = made

    def wider(placement: Placement) -> Placement:
        items = []
        for item in placement.part.drawing.items:
            if isinstance(item, Run) and item.role is Role.CUT:
                segments = tuple(
                    dataclasses.replace(s, radius=s.radius + 0.1)
                    if isinstance(s, Arc) and s.radius > 20
                    else s
                    for s in item.segments
                )
                item = dataclasses.replace(item, segments=segments)
            items.append(item)
        return _redrawn(placement, tuple(items))

    spoiled, _, arc = _changed(pack, lambda p: p.part.kind == "cutter arc", wider)
    (bad,) = [row for row in measure(_file(plan, spoiled, pack)).rows if not row.is_true]
    assert bad.what == arc.part.title
    assert bad.deviation == pytest.approx(0.1, abs=0.005)


def test_a_bent_arc(made: Made, measure: Callable[[bytes], Report]) -> None:
    """One curve of the file bent by its control points alone, its ends left: caught."""
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(made[2]))
    sheet = next(
        page.number
        for page in made[1].pages
        if any(p.part.kind == "cutter arc" for p in page.placements)
    )
    page = writer.pages[sheet - 1]
    content = page.get_contents()
    assert content is not None
    text = content.get_data().decode("latin-1")
    # The hatching and the use sketches stand before and after the cut lines, which are measured.
    cut = text.index(f"{number(LINE_WIDTH[Role.CUT] * PT)} w")
    curve = re.compile(r"((?:-?[\d.]+ ){6})c\b").search(text, cut)
    assert curve is not None
    figures = [float(word) for word in curve[1].split()]
    figures[0] += 0.1
    figures[2] += 0.1
    bent = " ".join(f"{figure:.5f}" for figure in figures)
    stream = pypdf.generic.StreamObject()
    stream.set_data(f"{text[: curve.start()]}{bent} c{text[curve.end() :]}".encode("latin-1"))
    page[pypdf.generic.NameObject("/Contents")] = writer._add_object(stream)
    out = io.BytesIO()
    writer.write(out)
    report = measure(out.getvalue())
    assert len(_bad(report)) == 1, _bad(report)
    # A cubic's middle moves by 3/4 of what its two inner points are moved: 0.075 pt at most.
    assert TOLERANCE < report.worst <= 0.075 / 72 * 25.4 + 0.001


def test_a_line_gone_and_a_line_too_many(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A missing cut line, an added one, and a window drawn too narrow are each named."""
    plan, pack, _ = made
    gone, _, ring = _changed(
        pack,
        lambda p: p.part.kind == "tenon ring" and not p.tile,
        lambda p: _redrawn(p, p.part.drawing.items[1:]),
    )
    report = measure(_file(plan, gone, pack))
    (bad,) = [row for row in report.rows if not row.is_true]
    assert (bad.what, bad.note) == (ring.part.title, "1 line missing")
    more, _, plate = _changed(
        pack,
        lambda p: p.part.kind == "cut plate",
        lambda p: _redrawn(p, (*p.part.drawing.items, line(2, -2, 9, -9, role=Role.CUT))),
    )
    assert _bad(measure(_file(plan, more, pack)))[0].endswith(
        "cut lines of no part: 1 more than the model has"
    )
    narrow, _, _ = _changed(
        pack,
        lambda p: p.part.key == plate.part.key,
        lambda p: dataclasses.replace(p, clip=p.clip.grown(-4.0)),
    )
    assert "cut off by its window" in _bad(measure(_file(plan, narrow, pack)))[0]


def test_a_lost_mark(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A tile without its registration marks is not true, nor is its seam."""
    plan, pack, _ = made
    spoiled, _, tile = _changed(
        pack,
        lambda p: p.tile == "A1" and p.part.kind != "setting card",
        lambda p: _redrawn(p, p.part.drawing.items[:-6]),
    )
    report = measure(_file(plan, spoiled, pack))
    assert f"{tile.part.title} A1" in {row.what for row in report.parts if not row.is_true}
    assert not all(row.is_true for row in report.seams)


def test_a_tile_left_out_of_file_and_recipe(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A pack that leaves a tile out of its pages and of its recipe alike is not whole."""
    plan, pack, _ = made
    spoiled, _, tile = _changed(
        pack,
        lambda p: p.tile in ("B1", "A2") and p.part.kind != "setting card",
        lambda p: dataclasses.replace(p, clip=p.clip.grown(-1000.0)),
    )
    pages = tuple(
        dataclasses.replace(page, placements=tuple(p for p in page.placements if p.clip.width > 0))
        for page in spoiled.pages
    )
    less = dataclasses.replace(pack, pages=pages)
    bad = _bad(measure(_file(plan, less, less)))
    assert any(row.endswith(f"{tile.part.title}: is not printed whole") for row in bad)


def test_something_laid_over(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A white patch over a part is told."""
    plan, pack, _ = made
    patch = rectangle(Box(0, 0, 30, 30), role=Role.NOTE, fill=1.0, width=0.0)
    spoiled, _, _ = _changed(
        pack,
        lambda p: p.part.kind == "tenon ring" and not p.tile,
        lambda p: _redrawn(p, (*p.part.drawing.items, patch)),
    )
    assert "filled shapes of no part" in _bad(measure(_file(plan, spoiled, pack)))[0]


def test_a_plan_that_does_not_follow(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A recipe whose plan is not what its job and shop give is refused."""
    plan, pack, _ = made
    recipe = make_recipe(plan, pack)
    recipe["plan"]["cuts"][0]["pivot_offset"] += 0.5
    data = write_pdf(pack, title="t", attachments={NAME: json.dumps(recipe).encode()})
    with pytest.raises(InputError, match=r"recipe: plan\.cuts\[1\]\.pivot_offset is .* pack the"):
        measure(data)


def test_a_plan_of_another_version(measure: Callable[[bytes], Report]) -> None:
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
    nest = dataclasses.replace(job.nest, pinned=(pin,), add_cuts=False)
    other = dataclasses.replace(make_plan(dataclasses.replace(job, nest=nest), shop), job=job)
    assert other.cuts[0].pivot_standoff == pytest.approx(cut.pivot_standoff + 1.0)
    assert not other.has_stop
    pack = _packed(other, "a4", "cut plate", "gauge stick")
    report = measure(_file(other, pack, pack))
    assert report.is_true, _bad(report)


def test_a_page_that_draws_far_too_much(made: Made, measure: Callable[[bytes], Report]) -> None:
    """A page of a hundred thousand lines is refused with a line, soon and in little memory."""
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(made[2]))
    page = writer.pages[1]
    content = page.get_contents()
    assert content is not None
    stream = pypdf.generic.StreamObject()
    stream.set_data(content.get_data() + b"\n100 100 m 101 101 l S" * 100_000)
    page[pypdf.generic.NameObject("/Contents")] = writer._add_object(stream.flate_encode())
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(InputError, match=r"draws too much to be a pack; this is no pack"):
        measure(out.getvalue())


def test_no_recipe(tmp_path: Path) -> None:
    """A PDF from elsewhere is refused with a line."""
    path = tmp_path / "other.pdf"
    canvas = Canvas(str(path))
    canvas.drawString(100, 100, "Sheet 1")
    canvas.save()
    with (
        pytest.raises(InputError, match=r"carries no templategen-pack\.json"),
        PackFile(path) as file,
    ):
        verify(file)
