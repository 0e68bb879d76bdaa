"""Parts in other languages: longer words stay on every part and over nothing, none is left over.

The boxes are built by shapely from the letters' own widths in the bundled font. Words are made
35 % longer because German labels are about that much longer than English ones (the width that
guides to localisation commonly leave for sentences, from memory).
"""

import dataclasses
import functools
import re
from collections.abc import Callable, Iterable

import pytest
import shapely
from builders import changed_job, demo_plan, tiny_plan
from part_shapes import body, box, overlaps
from shapely.geometry.base import BaseGeometry

from templategen.inputs.starters import demo_job, demo_shop
from templategen.messages import ENGLISH_WORDING, Catalogue, Wording, languages
from templategen.nest.chart import make_chart
from templategen.nest.identity import identity
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import chart_sheet
from templategen.parts.drawing import Anchor, Part, Role, Text
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.shop_set import shop_parts
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order
from templategen.trade.records import Chuck, Lathe, LengthWall, PinnedCut, Relief
from templategen.units import Units

FIGURES = ("0.5", "50%", "-1")  # how a language writes numbers; no words
LONGER = 0.35
TOUCHING = 0.05  # mm², mm: boxes that touch by less do not overlap
PAGE_WIDE = 178.0  # mm: wording that no frame holds in still fits a page of A4 or letter
AROUND = 90.0  # mm: a figure with its name, beside a section
SYMBOLS = {"mm", "in", "kg", "g", "lb", "lbf", "N", "kN", "m", "s", "ft", "kW", "Ø"}
COMMAND = {
    "templategen",
    "printer",
    "add",
    "NAME",
    "across",
    "down",
    "diagonals",
}  # on the scale sheet
SHOP = dataclasses.replace(  # all that a lathe can state, and a mass limit that the blank breaks
    demo_shop(),
    lathe=Lathe(power_w=800.0, swing=500.0, centre_height=90.0, max_mass_kg=5.0),
    chuck=Chuck(max_speed=700.0, max_mass_kg=40.0),
)


class _Changed(Catalogue):
    """English with each message changed, its placeholders left alone."""

    def __init__(self, change: Callable[[str], str]) -> None:
        super().__init__()
        self.change = change

    def gettext(self, message: str) -> str:
        return message if message in FIGURES else self.change(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def _stretched(message: str) -> str:
    """Each word of a message longer by the share, without a new place to break the line."""

    def longer(word: re.Match[str]) -> str:
        return word[0] + "n" * round(LONGER * len(word[0]))

    bowls = re.split(r"(\{[^}]*\})", message)
    bowls[::2] = [re.sub(r"[^\W\d_]{2,}", longer, bowl) for bowl in bowls[::2]]
    return "".join(bowls)


def _bracketed(message: str) -> str:
    return f"⟦{message}⟧"


BRACKETED = Wording("en", _Changed(_bracketed))
WAYS = {
    **{code: Wording(code) for code in languages() if code != "en"},
    "longer": Wording("en", _Changed(_stretched)),
}


@functools.cache
def _outer_first() -> Plan:
    """An invented blank whose cores are held again, with every word a card can have."""
    job = changed_job(
        date="",
        diameter=360.0,
        height=150.0,
        wood="sugar maple",
        order=Order.OUTER_FIRST,
        relief=Relief(shift=2, depth=12),
    )
    return make_plan(job, SHOP, with_suggestions=False)


@functools.cache
def _broken() -> Plan:
    """A pinned cut that breaks rules: a plan of many findings, without a named wood."""
    cutter = max(SHOP.cutters, key=lambda c: c.radius)
    pin = PinnedCut(cutter=cutter.id, entry_radius=150.0, depth_at_axis=110.0)
    job = changed_job(
        diameter=400.0,
        height=150.0,
        wood="",
        pinned=(pin,),
        add_cuts=True,
        wall=LengthWall(30.0),
    )
    return make_plan(job, SHOP, with_suggestions=True)


PLANS: dict[str, Callable[[], Plan]] = {
    "demo": demo_plan,
    "outer-first": _outer_first,
    "broken": _broken,
    "tiny": tiny_plan,
}
CASES = [  # each in the units whose figures are longest, the demo also in one alone
    ("demo", Units.MM),
    ("demo", Units.BOTH),
    ("outer-first", Units.IN),
    ("outer-first", Units.BOTH_IN),
    ("broken", Units.BOTH_IN),
    ("tiny", Units.BOTH_IN),
    ("shop set", Units.BOTH),
]


@functools.cache
def _parts(name: str, units: Units, wording: Wording = ENGLISH_WORDING) -> tuple[Part, ...]:
    style = PrintStyle(units=units, wording=wording)
    if name in PLANS:
        return make_parts(PLANS[name](), kinds=tuple(KINDS), style=style)
    return shop_parts(SHOP, date="2026-05-02", style=style)


def _english_like(name: str, units: Units, way: str) -> list[Part]:
    """The English part of the same key; a card that is split only for length its whole card."""
    english = {part.key: part for part in _parts(name, units)}
    return [english.get(part.key, part) for part in _parts(name, units, WAYS[way])]


def _cut_out(part: Part) -> BaseGeometry | None:
    """What is cut out, and a little around it; None if nothing is cut."""
    if not part.drawing.paths(Role.CUT):
        return None
    kept: BaseGeometry = body(part).buffer(TOUCHING)
    shapely.prepare(kept)
    return kept


def _lies_on(part: Part, text: Text, home: Part, kept: BaseGeometry | None) -> bool:
    """Whether a text is whole on what is cut out, or inside the frame, or no wider than a page."""
    own = box(text)
    if kept is not None:
        return bool(kept.covers(own))
    frames = [p for p in part.drawing.paths(Role.NOTE) if p.closed and p.bounds().left == 0.0]
    if frames and part.kind != "section sheet":
        frame = max((p.bounds() for p in frames), key=lambda b: b.width * b.height)
        return bool(shapely.box(*frame).buffer(TOUCHING).contains(own))
    around, place = home.drawing.bounds(), text.bounds()
    if part.kind == "section sheet":  # its figures stand where they find room
        return part.drawing.bounds().width <= max(PAGE_WIDE, around.width + AROUND)
    wide = max(around.right, around.left + PAGE_WIDE)
    across = around.left - TOUCHING <= place.left and place.right <= wide + TOUCHING
    grows = part.kind == "hand out"  # downwards, see the test of its sheets
    return across and (grows or place.bottom >= around.bottom - TOUCHING)


@pytest.mark.parametrize(("name", "units"), CASES)
@pytest.mark.parametrize("way", WAYS)
def test_longer_words_stay_on_the_part_and_over_nothing(way: str, name: str, units: Units) -> None:
    """Every text of every part lies on it, and overlaps no more than in English."""
    others = _parts(name, units, WAYS[way])
    for part, home in zip(others, _english_like(name, units, way), strict=True):
        texts, kept = part.drawing.texts(), _cut_out(part)
        for text in texts:
            assert _lies_on(part, text, home, kept), (part.key, text.text)
        over = overlaps(part)
        before = max(overlaps(home).values(), default=0.0) if over else 0.0
        for (one, two), area in over.items():
            assert area <= before + TOUCHING, (part.key, texts[one].text, texts[two].text)
        if part.kind == "drying sheet":
            assert 2 * part.drawing.bounds().height + 4 <= 236.4, part.key  # two on letter


@pytest.mark.parametrize("way", WAYS)
def test_every_wall_and_floor_still_has_its_figure(way: str) -> None:
    """No figure of the section sheet is lost for want of room."""
    for name, units in (("demo", Units.MM), ("outer-first", Units.IN), ("tiny", Units.BOTH_IN)):
        parts = _parts(name, units, WAYS[way])
        (sheet,) = [part for part in parts if part.kind == "section sheet"]
        figures = [t for t in sheet.drawing.texts() if t.anchor is Anchor.MIDDLE and not t.bold]
        assert len(figures) >= 3 * len(PLANS[name]().cuts), name  # two walls and a floor each


def _letters_outside(texts: Iterable[str]) -> set[str]:
    """The words that stand in no message; rows of one message follow one another."""
    depth, kept = 0, []
    for character in " ".join(texts):
        depth += {"⟦": 1, "⟧": -1}.get(character, 0)
        assert depth >= 0
        kept.append(" " if depth or character == "⟧" else character)
    assert depth == 0
    return set(re.findall(r"[^\W\d_]+", "".join(kept)))


def _users_words(plan: Plan | None) -> str:
    words = [SHOP.name, *(c.id for c in SHOP.cutters), *(j.id for j in SHOP.jaws)]
    if plan is not None:
        words += [plan.shop.name, plan.job.title, plan.job.blank.wood]
        words += [*(c.cutter.id for c in plan.cuts), *(j.id for j in plan.shop.jaws)]
        words += [ENGLISH_WORDING.text(identity(plan.job, bowl.number)) for bowl in plan.bowls]
    return " ".join(words).lower()


@pytest.mark.parametrize(("name", "units"), CASES)
def test_every_word_of_every_part_goes_through_the_catalogue(name: str, units: Units) -> None:
    """With each message in brackets, only names, symbols and the user's words stand outside."""
    own = _users_words(PLANS[name]() if name in PLANS else None)
    keys = {part.key for part in _parts(name, units)}
    for part in _parts(name, units, BRACKETED):
        outside = _letters_outside(text.text for text in part.drawing.texts())
        known = SYMBOLS | (COMMAND if part.kind == "scale sheet" else set())
        left = {word for word in outside - known if word.lower() not in own}
        assert not left, (part.key, left)
        assert part.title.startswith("⟦"), part.title
        assert part.key in keys or "card" in part.key  # cards are split by their length


@pytest.mark.parametrize("name", PLANS)
def test_every_finding_goes_through_the_catalogue(name: str) -> None:
    """Findings are messages; a bracketing catalogue brackets them from the first letter."""
    for finding in PLANS[name]().findings:
        assert BRACKETED.text(finding.text).startswith("⟦")


def test_the_chart_makes_room_for_longer_words() -> None:
    """Tables of a chart in each language: every text in the frame, none over another."""
    chart = make_chart(
        demo_job(), demo_shop(), diameters=(200.0, 300.0), heights=(80.0, 120.0, 160.0)
    )
    for wording in WAYS.values():
        for sheet in chart_sheet.make(chart, style=PrintStyle(units=Units.BOTH, wording=wording)):
            assert not overlaps(sheet)
            kept = _cut_out(sheet)
            assert all(_lies_on(sheet, text, sheet, kept) for text in sheet.drawing.texts())
    (sheet, *_) = chart_sheet.make(chart, style=PrintStyle(units=Units.MM, wording=BRACKETED))
    letters = set(chart_sheet.letters_of(chart.shop).values())
    outside = _letters_outside(text.text for text in sheet.drawing.texts())
    assert all(set(word) <= letters for word in outside - SYMBOLS), outside
