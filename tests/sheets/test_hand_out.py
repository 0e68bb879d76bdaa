"""A bench's hand-out: one or two pages, its number and name large, every figure of each cut."""

import dataclasses
import re

import pytest
from builders import (
    EXAMPLES,
    changed_job,
    example_plan,
    invented_plan,
    make_cutters,
    make_job,
    make_shop,
)
from part_shapes import overlaps

from templategen.messages import Wording
from templategen.nest.plan import Level, Plan, Rule
from templategen.nest.planner import make_plan
from templategen.parts.drawing import BODY, Role
from templategen.parts.hand_out import numbered_title
from templategen.parts.lettering import text_width
from templategen.parts.registry import make_parts
from templategen.parts.setting_card import table_rows
from templategen.parts.style import PrintStyle
from templategen.proof.untrusted import read_logo
from templategen.sheets.furniture import content_area
from templategen.sheets.letterhead import Letterhead
from templategen.sheets.page import Pack, PageFrame
from templategen.sheets.work_order import make_pack, with_letterhead
from templategen.trade.paper import paper_named
from templategen.trade.records import LengthWall
from templategen.units import Units

TITLE = numbered_title(17, "Jürgen, near the door", "Lakeside sycamore")
KINDS = ("hand-out",)


def _titled(plan: Plan, title: str = TITLE) -> Plan:
    return dataclasses.replace(plan, job=changed_job(plan.job, title=title))


def _pack(plan: Plan, paper: str, style: PrintStyle) -> Pack:
    """A hand-out with a club's name and picture at its head."""
    head = Letterhead(name="Invented club", logo=read_logo(EXAMPLES / "club-logo.svg"))
    frame = PageFrame(paper=paper_named(paper))
    parts = make_parts(plan, kinds=KINDS, style=style)
    return with_letterhead(make_pack(plan, parts, frame=frame, style=style, head=head.height), head)


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    ("name", "paper", "units"),
    [("lakeside-400.toml", "a4", Units.MM), ("inch-15.toml", "letter", Units.BOTH_IN)],
)
def test_two_pages_at_most_and_all_on_them(
    name: str, paper: str, units: Units, language: str
) -> None:
    """Number and name stand large, each foot names both; nothing is cut, clipped or covered."""
    style = PrintStyle(units=units, wording=Wording(language))
    plan = _titled(example_plan(name))
    pack = _pack(plan, paper, style)
    assert len(pack.pages) <= 2
    area = content_area(pack.frame).grown(0.5)
    for page in pack.pages:
        assert any(TITLE in text.text for text in page.furniture.texts())
        boxes = [p.part.drawing.moved(p.transform).bounds() for p in page.placements]
        assert all(area.left <= b.left and b.right <= area.right for b in boxes)
        assert all(area.bottom <= b.bottom and b.top <= area.top for b in boxes)
        tops = [b.top for b in boxes]
        assert all(one.bottom > top for one, top in zip(boxes, tops[1:], strict=False))
    parts = [p.part for page in pack.pages for p in page.placements]
    assert not any(part.drawing.paths(Role.CUT) or overlaps(part) for part in parts)
    texts = [text for part in parts for text in part.drawing.texts()]
    (number,) = [text for text in texts if text.text == "17"]
    (name_row,) = [text for text in texts if text.text == "Jürgen, near the door"]
    assert number.size > 2 * name_row.size > 3 * BODY
    assert all(text.size >= BODY - 1e-9 for text in texts)
    shown = " ".join(text.text for text in texts)
    for row in table_rows(plan, plan.cuts, style):
        assert all(figure.large in shown for figure in row.figures)
    for bowl in plan.bowls:
        assert style.lengths((bowl.rim_diameter,)) in shown


def test_two_pages_hold_many_cuts() -> None:
    """Five cuts, German, letter paper with a club's picture, a long name and many findings.

    No caution is only counted where the first page has room for it.
    """
    shop = make_shop(cutters=make_cutters(60, 75, 90, 105, 135, 170, 190, kerf=7))
    job = changed_job(
        make_job(760, 330), wall=LengthWall(14.0), min_bowl=80.0, min_depth=20.0, title=TITLE * 2
    )
    plan = make_plan(job, shop, with_suggestions=False)
    assert len(plan.cuts) >= 5
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    pack = _pack(plan, "letter", style)
    assert len(pack.pages) == 2
    cautions = [f for f in plan.findings if f.level is not Level.NOTE and f.rule is not Rule.SPEED]
    assert len(cautions) > 6
    words = " ".join(text.text for p in pack.pages[0].placements for text in p.part.drawing.texts())
    for caution in cautions:  # several may be one sentence
        assert set(re.findall(r"\d+,\d+ mm|\d+ %", style.text(caution.text))) <= {
            *re.findall(r"\d+,\d+ mm|\d+ %", words)
        }


def test_a_long_name_is_never_cut_short() -> None:
    """A hundred letters, and a title without a number, are written whole within the width."""
    for title in (numbered_title(10_000, "Oberhuber " * 9), "Oberhuber " * 10):
        plan = _titled(invented_plan(), title.strip())
        part = make_parts(plan, kinds=KINDS, style=PrintStyle(units=Units.MM))[0]
        large = [t for t in part.drawing.texts() if t.size > 1.5 * BODY]
        assert sum(t.text.count("Oberhuber") for t in large) == title.count("Oberhuber")
        for text in large:
            wide = text_width(text.text, size=text.size, bold=text.bold)
            assert text.at.x + wide <= 174.0 + 1e-6


def test_on_small_paper_a_hand_out_is_a_pack_like_any_other() -> None:
    """On A5 its parts do not fit whole: they are tiled behind a work order, none is lost."""
    plan = _titled(invented_plan(300.0, 130.0))
    pack = _pack(plan, "a5", PrintStyle(units=Units.MM))
    keys = {p.part.key for page in pack.pages for p in page.placements}
    assert {"hand-out-nest", "hand-out-figures", "hand-out-cautions"} <= keys
    assert "work-order-1" in keys
