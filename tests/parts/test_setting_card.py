"""The setting card: ten figures a cut, in working order, large; stops are never left out."""

import dataclasses
import math

import pytest
from builders import demo_plan, invented_plan
from part_shapes import MM, STYLES, overlaps, words

from templategen.messages import Wording, tr
from templategen.nest.plan import Finding, Level, Plan, Rule
from templategen.parts import setting_card
from templategen.parts.drawing import Text
from templategen.parts.figure_table import LARGE
from templategen.parts.setting_card import table_rows
from templategen.parts.style import PrintStyle
from templategen.units import Units, format_length


@pytest.mark.parametrize("style", STYLES)
def test_the_card_fits_a_sheet(style: PrintStyle) -> None:
    """On A4 and letter (176 × 235) in one piece, and no text over another."""
    (card,) = setting_card.make(demo_plan(), style=style)
    bounds = card.drawing.bounds()
    assert bounds.width <= 176
    assert bounds.height <= 235
    assert not card.may_tile
    assert not card.may_turn
    assert not overlaps(card)


def test_the_figures_of_each_cut_are_large_and_in_working_order() -> None:
    """12 pt (4.23 mm) or more: what is set at the lathe, each column the cut that it heads."""
    plan = demo_plan()
    (card,) = setting_card.make(plan, style=MM)
    large = [t for t in card.drawing.texts() if t.size >= 12 * 25.4 / 72 - 1e-9]
    numbers = [t for t in large if t.text in {str(n) for n in plan.sequence}]
    top = max(t.at.y for t in numbers)
    heads = sorted((t for t in numbers if t.at.y == top), key=lambda t: t.at.x)
    assert [int(t.text) for t in heads] == list(plan.sequence)
    width = _middle(heads[1]) - _middle(heads[0])
    for head in heads:
        cut = plan.cuts[int(head.text) - 1]
        column = {t.text for t in large if abs(_middle(t) - _middle(head)) < width / 2}
        wanted = [
            cut.cutter.id,
            *(
                format_length(v, Units.MM, unit=False)
                for v in (cut.entry_from_rim, cut.pivot_standoff, abs(cut.pivot_offset))
            ),
        ]
        if cut.stop_angle is not None:
            wanted.append(f"{math.degrees(cut.stop_angle):.1f}°")
        assert plan.speed is not None
        wanted.append(f"{plan.speed.max_rpm:.0f}")
        assert set(wanted) <= column


def _middle(text: Text) -> float:
    box = text.bounds()
    return (box.left + box.right) / 2


def test_no_row_lacks_a_cut() -> None:
    """A heading and ten rows, each with a figure for every cut."""
    plan = demo_plan()
    rows = table_rows(plan, plan.cuts, MM)
    assert len(rows) == 11
    assert all(len(row.figures) == len(plan.cuts) for row in rows)
    assert LARGE >= 12 * 25.4 / 72 - 1e-9


def test_an_offset_past_the_axis_is_said_to_be_so() -> None:
    """Positive offsets lie towards the entry, negative ones past the axis (design §2)."""
    plan = demo_plan()
    for offset, side in ((7.5, "towards the entry"), (-7.5, "past the axis"), (0.0, "on the axis")):
        cut = dataclasses.replace(plan.cuts[0], pivot_offset=offset)
        small = [row.figures[0].small for row in table_rows(plan, [cut], MM)]
        assert side in small


def test_no_stop_is_dropped() -> None:
    """However many findings there are, each that forbids the work is on the card."""
    calls = [Finding(level=Level.CAUTION, rule=Rule.MARKS, text=tr(f"care {n}")) for n in range(9)]
    stops = [
        Finding(level=Level.STOP, rule=Rule.WALL, text=tr(f"forbidden zebra {n}")) for n in range(5)
    ]
    crowded = dataclasses.replace(invented_plan(), findings=(*calls, *stops))
    said = words(setting_card.make(crowded, style=MM)[0])
    assert all(f"zebra {n}" in said for n in range(5))


def _many(plan: Plan, count: int) -> Plan:
    cuts = tuple(dataclasses.replace(plan.cuts[0], number=n) for n in range(1, count + 1))
    bowls = tuple(dataclasses.replace(plan.bowls[0], number=n) for n in range(1, count + 2))
    order = tuple(range(1, count + 1))
    return dataclasses.replace(plan, cuts=cuts, bowls=bowls, sequence=order)


def test_no_cut_is_dropped() -> None:
    """Nine cuts are nine columns, in as many tables as they need."""
    (part,) = setting_card.make(_many(invented_plan(), 9), style=MM)
    texts = {t.text for t in part.drawing.texts() if t.size > 4.0}
    assert {str(n) for n in range(1, 10)} <= texts
    assert part.may_tile == (part.drawing.bounds().height > 235)


def test_a_german_card_is_german() -> None:
    """Names of rows and what stands below the figures come from the catalogue."""
    style = PrintStyle(units=Units.MM, wording=Wording("de"))
    said = words(setting_card.make(demo_plan(), style=style)[0])
    for german in ("Einstichmarke, vom Rand", "U/min, höchstens", "zum Einstich hin"):
        assert german in said


def test_without_a_known_strength_the_card_says_stop_early() -> None:
    """Where no stop is known both rows and the last line say the same: early."""
    plan = demo_plan()
    unknown = [dataclasses.replace(c, stop_angle=None, stop_depth=None) for c in plan.cuts]
    (card,) = setting_card.make(dataclasses.replace(plan, cuts=tuple(unknown)), style=MM)
    texts = [text.text for text in card.drawing.texts()]
    assert texts.count("early") == 2 * len(plan.cuts)
    assert any(text.startswith("Stop early: lathe off") for text in texts)
    assert "–" not in texts
