"""Parts in other languages: longer words stay on every part and over nothing, none is left over.

The boxes are built by shapely from the letters' own widths in the bundled font. Words are made
35 % longer because German labels are about that much longer than English ones (the width that
guides to localisation commonly leave for sentences, from memory).
"""

import dataclasses
import functools
import gettext
import itertools
import re
from collections.abc import Callable, Iterable

import pytest
from shapely.geometry import Polygon

from templategen.geometry.shapes import Arc
from templategen.inputs.starters import demo_job, demo_shop
from templategen.messages import Catalogue, languages, speaking, wording_in_use
from templategen.nest.chart import make_chart
from templategen.nest.identity import identity
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.parts import chart_sheet
from templategen.parts.drawing import Part, Path, Role, Text
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.parts.style import PrintStyle
from templategen.trade.records import Blank, Chuck, Lathe, LengthWall, Pinned, Relief, Shop
from templategen.units import Units

FIGURES = ("0.5", "50%")  # how a language writes numbers; no words
LONGER = 0.35
HAIR = 0.05  # mm², mm: boxes that touch by less do not overlap
PAGE_WIDE = 178.0  # mm: wording that no frame holds in still fits a page of A4 or letter
AROUND = 70.0  # mm: a figure with its name, beside a section
SYMBOLS = {"mm", "in", "kg", "g", "lb", "lbf", "N", "kN", "m", "s", "ft", "kW", "Ø"}
COMMAND = {"templategen", "printer", "add", "NAME", "across", "down"}  # on the scale sheet


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

    pieces = re.split(r"(\{[^}]*\})", message)
    pieces[::2] = [re.sub(r"[^\W\d_]{2,}", longer, piece) for piece in pieces[::2]]
    return "".join(pieces)


def _bracketed(message: str) -> str:
    return f"⟦{message}⟧"


def _stretching() -> gettext.NullTranslations:
    return _Changed(_stretched)


WAYS: dict[str, tuple[str, Callable[[], gettext.NullTranslations] | None]] = {
    **{code: (code, None) for code in languages() if code != "en"},
    "longer": ("en", _stretching),
}


def _lathe_shop(shop: Shop) -> Shop:
    """The shop with all that a lathe can state, and a mass limit that the blank breaks."""
    return dataclasses.replace(
        shop,
        lathe=Lathe(power_w=800.0, swing=500.0, centre_height=90.0, max_mass_kg=5.0),
        chuck=Chuck(max_speed=700.0, max_mass_kg=40.0),
    )


def _demo() -> Plan:
    return make_plan(demo_job(), demo_shop(), with_mends=False)


def _outer_first() -> Plan:
    """An invented blank whose cores are held again, with every word a card can have."""
    job = demo_job()
    job = dataclasses.replace(
        job,
        date="",
        blank=Blank(diameter=360.0, height=150.0, wood="sugar maple"),
        nest=dataclasses.replace(job.nest, order="outer-first", relief=Relief(shift=2, depth=12)),
    )
    return make_plan(job, _lathe_shop(demo_shop()), with_mends=False)


def _broken() -> Plan:
    """A pinned cut that breaks rules: a plan of many findings, without a named wood."""
    job, shop = demo_job(), demo_shop()
    cutter = sorted(shop.cutters, key=lambda c: c.radius)[-1]
    pin = Pinned(cutter=cutter.id, entry_radius=150.0, depth_at_axis=110.0)
    nest = dataclasses.replace(job.nest, pinned=(pin,), add_cuts=True, wall=LengthWall(30.0))
    blank = Blank(diameter=400.0, height=150.0)
    job = dataclasses.replace(job, blank=blank, nest=nest)
    return make_plan(job, _lathe_shop(shop), with_mends=True)


def _set() -> Plan:
    return shop_plan(_lathe_shop(demo_shop()), date="2026-05-02")


PLANS: dict[str, Callable[[], Plan]] = {
    "demo": _demo,
    "outer-first": _outer_first,
    "broken": _broken,
    "tiny": tiny_plan,
    "set": _set,
}


def _parts(name: str, units: Units) -> tuple[Part, ...]:
    plan = PLANS[name]()
    if name == "set":
        return shop_parts(plan, style=PrintStyle(units=units, wording=wording_in_use()))
    return make_parts(
        plan, kinds=tuple(KINDS), style=PrintStyle(units=units, wording=wording_in_use())
    )


@functools.cache
def _english(name: str, units: Units) -> tuple[Part, ...]:
    with speaking("en"):
        return _parts(name, units)


@functools.cache
def _other(name: str, units: Units, way: str) -> tuple[Part, ...]:
    language, make = WAYS[way]
    with speaking(language, make() if make else None):
        return _parts(name, units)


def _overlaps(part: Part) -> dict[tuple[int, int], float]:
    """Pairs of texts, by their places, whose boxes overlap, and by how much, mm²."""
    boxes = [Polygon(text.corners()) for text in part.drawing.texts()]
    pairs = itertools.combinations(enumerate(boxes), 2)
    areas = {(n, m): one.intersection(two).area for (n, one), (m, two) in pairs}
    return {pair: area for pair, area in areas.items() if area > HAIR}


def _outline(path: Path) -> Polygon:
    points: list[tuple[float, float]] = []
    for segment in path.segments:
        if isinstance(segment, Arc):
            first, sweep = segment.from_angle, segment.sweep
            points += [segment.at(first + sweep * n / 200) for n in range(201)]
        else:
            points += [segment.start, segment.end]
    return Polygon([(round(x, 7), round(y, 7)) for x, y in points])


def _lies_on(part: Part, text: Text, home: Part) -> bool:
    """Whether a text is whole on what is cut out, or inside the frame, or no wider than a page."""
    box = Polygon(text.corners())
    cut = sorted((_outline(p) for p in part.drawing.paths(Role.CUT)), key=lambda o: -o.area)
    if cut:
        held = cut[0].buffer(HAIR)
        return bool(held.contains(box)) and not any(hole.intersects(box) for hole in cut[1:])
    frames = [p for p in part.drawing.paths(Role.NOTE) if p.closed and p.bounds().left == 0.0]
    if frames and part.kind != "section sheet":
        frame = max((p.bounds() for p in frames), key=lambda b: b.width * b.height)
        return bool(Polygon(_corners(frame)).buffer(HAIR).contains(box))
    around, own = home.drawing.bounds(), text.bounds()
    wide = max(around.right, around.left + PAGE_WIDE)
    if part.kind == "section sheet":  # its figures stand where they find room
        return part.drawing.bounds().width <= max(PAGE_WIDE, around.width + AROUND)
    high = own.bottom >= around.bottom - HAIR
    return around.left - HAIR <= own.left and own.right <= wide + HAIR and high


def _corners(box: Iterable[float]) -> list[tuple[float, float]]:
    left, bottom, right, top = box
    return [(left, bottom), (right, bottom), (right, top), (left, top)]


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("way", WAYS)
def test_longer_words_stay_on_the_part_and_over_nothing(way: str, name: str, units: Units) -> None:
    """Every text of every part lies on it, and overlaps no more than in English."""
    for part, home in zip(_other(name, units, way), _english_like(name, units, way), strict=True):
        assert part.key == home.key
        for text in part.drawing.texts():
            assert _lies_on(part, text, home), (part.key, text.text)
        before = max(_overlaps(home).values(), default=0.0)
        texts = part.drawing.texts()
        for (one, two), area in _overlaps(part).items():
            assert area <= before + HAIR, (part.key, texts[one].text, texts[two].text)
        if part.kind == "drying sheet":
            assert 2 * part.drawing.bounds().height + 4 <= 236.4, part.key  # two on letter


def _english_like(name: str, units: Units, way: str) -> list[Part]:
    """The English part of the same key; a card that is split only for length its whole card."""
    english = {part.key: part for part in _english(name, units)}
    return [english.get(part.key, part) for part in _other(name, units, way)]


@pytest.mark.parametrize("way", WAYS)
def test_every_wall_and_floor_still_has_its_figure(way: str) -> None:
    """No figure of the section sheet is lost for want of room."""
    for name in ("demo", "outer-first", "tiny"):
        counts = []
        for parts in (_english(name, Units.MM), _other(name, Units.MM, way)):
            (sheet,) = [part for part in parts if part.kind == "section sheet"]
            low = min(b.bottom for b in (p.bounds() for p in sheet.drawing.paths(Role.MARK)))
            counts.append(sum(text.at.y > low for text in sheet.drawing.texts()))
        assert counts[0] == counts[1], name


def _letters_outside(texts: Iterable[str]) -> set[str]:
    """The words that stand in no message; rows of one message follow one another."""
    depth, kept = 0, []
    for character in " ".join(texts):
        depth += {"⟦": 1, "⟧": -1}.get(character, 0)
        assert depth >= 0
        kept.append(" " if depth or character == "⟧" else character)
    assert depth == 0
    return set(re.findall(r"[^\W\d_]+", "".join(kept)))


def _users_words(plan: Plan) -> str:
    words = [plan.job.title, plan.job.blank.wood, plan.shop.name]
    words += [*(c.id for c in plan.shop.cutters), *(j.id for j in plan.shop.jaws)]
    words += [identity(plan.job, piece.number) for piece in plan.bowls]
    return " ".join(words).lower()


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("name", PLANS)
def test_every_word_of_every_part_goes_through_the_catalogue(name: str, units: Units) -> None:
    """With each message in brackets, only names, symbols and the user's words stand outside."""
    with speaking("en", _Changed(_bracketed)):
        plan, parts = PLANS[name](), _parts(name, units)
    own = _users_words(plan)
    keys = {part.key for part in _english(name, units)}
    for part in parts:
        outside = _letters_outside(text.text for text in part.drawing.texts())
        known = SYMBOLS | (COMMAND if part.kind == "scale sheet" else set())
        left = {word for word in outside - known if word.lower() not in own}
        assert not left, (part.key, left)
        assert part.title.startswith("⟦"), part.title
        assert part.key in keys or "card" in part.key  # cards are split by their length
    for finding in plan.findings:
        assert finding.text.startswith("⟦"), finding.text
        assert "⟦" not in finding.rule + finding.level


def test_the_chart_makes_room_for_longer_words() -> None:
    """Tables of a chart in each language: every text in the frame, none over another."""
    job, shop = demo_job(), demo_shop()
    chart = make_chart(job, shop, diameters=(200.0, 300.0), heights=(80.0, 120.0, 160.0))
    for language, make in WAYS.values():
        with speaking(language, make() if make else None):
            sheets = chart_sheet.make(
                chart, style=PrintStyle(units=Units.BOTH, wording=wording_in_use())
            )
        for sheet in sheets:
            assert not _overlaps(sheet)
            assert all(_lies_on(sheet, text, sheet) for text in sheet.drawing.texts())
    with speaking("en", _Changed(_bracketed)):
        (sheet, *_) = chart_sheet.make(
            chart, style=PrintStyle(units=Units.MM, wording=wording_in_use())
        )
    letters = set(chart_sheet.letters_of(chart).values())
    outside = _letters_outside(text.text for text in sheet.drawing.texts())
    assert all(set(word) <= letters for word in outside - SYMBOLS), outside


def test_a_piece_that_no_jaws_hold_is_told_in_the_language_in_use() -> None:
    """The card's cells for what is not there are wording too."""
    with speaking("de"):
        plan = make_plan(demo_job(), demo_shop(), with_mends=False)
        bare = dataclasses.replace(plan.bowls[0], jaws=None)
        plan = dataclasses.replace(plan, bowls=(bare, *plan.bowls[1:]))
        parts = make_parts(
            plan,
            kinds=("setting card",),
            style=PrintStyle(units=Units.MM, wording=wording_in_use()),
        )
    texts = [t.text for p in parts for t in p.drawing.texts()]
    assert "keine" in texts
    assert "none" not in texts
