"""How many sheets the packs of the examples (invented) need without the parts made once a shop."""

import pytest
from builders import example_plan

from templategen.parts.registry import make_parts, usual_kinds
from templategen.parts.style import PrintStyle
from templategen.sheets.page import PageFrame
from templategen.sheets.use_notes import USE_NOTE, has_sketch, noted_kind
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.trade.part_kinds import Group, PartKind

MOST = {  # sheets, as reached; fewer are welcome, more cost a reader paper and glue
    ("lakeside-400", "a4"): 10,
    ("lakeside-400", "letter"): 11,
    ("small-220", "a4"): 7,
    ("small-220", "letter"): 7,
    ("inch-15", "a4"): 10,
    ("inch-15", "letter"): 10,
}


@pytest.mark.parametrize(("name", "paper"), MOST)
def test_a_pack_needs_no_more_sheets_than_it_did(name: str, paper: str) -> None:
    """The work order and all sheets of the steps, in English.

    Each sheet has one material and one step, or the two before the lathe; its heading names them.
    The use of every kind of part is sketched, beside a part or on the work order.
    """
    plan = example_plan(f"{name}.toml", with_suggestions=True)
    kinds = [kind for kind in usual_kinds(plan) if kind.group is not Group.SHOP]
    style = PrintStyle(units=plan.job.units)
    parts = make_parts(plan, kinds=kinds, style=style)
    pack = make_pack(plan, parts, frame=PageFrame(paper=paper_named(paper)), style=style)
    assert len(pack.pages) <= MOST[name, paper]
    tiled = [lying.part.key for page in pack.pages for lying in page.placements if lying.tile]
    assert not {"section-sheet", "height-stick"} & set(tiled)
    for page in pack.pages:
        kinds = [PartKind(p.part.kind) for p in page.placements if p.part.kind != USE_NOTE]
        steps = {kind.group for kind in kinds}
        assert len({kind.material for kind in kinds}) == 1
        assert len(steps) == 1 or steps == {Group.LOG, Group.TURN}
        head = max(page.furniture.texts(), key=lambda text: text.at.y).text
        assert all(style.text(step.heading) in head for step in steps)
    order = {text.text.lower() for text in pack.pages[0].placements[0].part.drawing.texts()}
    notes = [p.part for page in pack.pages for p in page.placements if p.part.kind == USE_NOTE]
    sketched = {noted_kind(note) for note in notes if has_sketch(note)}
    placed = {p.part.kind for page in pack.pages for p in page.placements} - {USE_NOTE}
    for kind in {PartKind(kind) for kind in placed} - sketched - {PartKind.WORK_ORDER}:
        assert style.text(kind.label).lower() in order, kind
