"""The kinds of printed parts, with the step of the work and the material of each (design.md §7).

The values are the words of a job file and of ``--part``.
"""

import enum
from collections.abc import Iterable
from dataclasses import dataclass

from templategen.errors import InputError, known_names, suggestion
from templategen.messages import Message, tr


class Group(enum.StrEnum):
    """A step of the work that parts belong to, in working order."""

    READ_FIRST = "read first"
    LOG = "log"
    TURN = "turn"
    SET = "set"
    CUT = "cut"
    AFTER = "after"
    SHOP = "shop"

    @property
    def heading(self) -> Message:
        """The step as the heading of a sheet says it, such as ``Set the post``."""
        return _GROUP_HEADINGS[self]


_GROUP_HEADINGS = {
    Group.READ_FIRST: tr("Read first"),
    Group.LOG: tr("Saw the blank"),
    Group.TURN: tr("Turn the outside"),
    Group.SET: tr("Set the post"),
    Group.CUT: tr("Make the cuts"),
    Group.AFTER: tr("After the cuts"),
    Group.SHOP: tr("Once for this shop"),
}


class Material(enum.StrEnum):
    """What a printed part is glued to, if anything."""

    PAPER = "paper"
    CARD = "card"
    PLY = "ply"

    @property
    def heading(self) -> Message:
        """What to do with the sheet, as its heading says it; thicknesses in millimetres."""
        return _MATERIAL_HEADINGS[self]

    @property
    def inch_heading(self) -> Message:
        """The heading with thicknesses in inches, the nearest usual ones."""
        return _INCH_HEADINGS[self]


_MATERIAL_HEADINGS = {
    Material.PAPER: tr("paper: keep it flat, do not cut"),
    Material.CARD: tr("glue to card, 1 to 3 mm"),
    Material.PLY: tr("glue to ply, 3 to 6 mm"),
}
_INCH_HEADINGS = {
    **_MATERIAL_HEADINGS,
    Material.CARD: tr("glue to card, 1/32 to 1/8 in"),
    Material.PLY: tr("glue to ply, 1/8 to 1/4 in"),
}


@dataclass(frozen=True, slots=True)
class KindUse:
    """When a kind of part is used, and what it is made of."""

    group: Group
    material: Material


class PartKind(enum.StrEnum):
    """A kind of printed part, in the order of the work."""

    WORK_ORDER = "work order"
    SETTING_CARD = "setting card"
    FIGURES_CARD = "figures card"
    SECTION_SHEET = "section sheet"
    HAND_OUT = "hand out"
    BLANK_DISC = "blank disc"
    LOG_END = "log end"
    LOG_OVERLAY = "log overlay"
    OUTSIDE_TEMPLATE = "outside template"
    TENON_RING = "tenon ring"
    FULL_CIRCLE = "full circle"
    TENON_PROFILE = "tenon profile"
    SETTING_PLATE = "setting plate"
    STANDOFF_BLOCK = "standoff block"
    GAUGE_STICK = "gauge stick"
    GAUGE_BLOCK = "gauge block"
    HEIGHT_STICK = "height stick"
    DEPTH_STICK = "depth stick"
    CUT_PLATE = "cut plate"
    STOP_DIAL = "stop dial"
    TAG = "tag"
    DRYING_SHEET = "drying sheet"
    HOLDING_CARD = "holding card"
    CUTTER_ARC = "cutter arc"
    RADIUS_FINDER = "radius finder"
    JAW_DEPTH_BLOCK = "jaw depth block"
    SCALE_SHEET = "scale sheet"

    @property
    def label(self) -> Message:
        """The kind as people read it, such as ``setting plates``."""
        return _KINDS[self][1]

    @property
    def use(self) -> KindUse:
        """When it is used, and what it is made of."""
        return _KINDS[self][0]

    @property
    def group(self) -> Group:
        """The step of the work it serves."""
        return self.use.group

    @property
    def material(self) -> Material:
        """What it is glued to."""
        return self.use.material


_READ = KindUse(Group.READ_FIRST, Material.PAPER)
_LOG_CARD = KindUse(Group.LOG, Material.CARD)
_TURN_CARD = KindUse(Group.TURN, Material.CARD)
_SET_PLY = KindUse(Group.SET, Material.PLY)
_CUT_CARD = KindUse(Group.CUT, Material.CARD)
_AFTER_CARD = KindUse(Group.AFTER, Material.CARD)
_AFTER_PAPER = KindUse(Group.AFTER, Material.PAPER)
_SHOP_PLY = KindUse(Group.SHOP, Material.PLY)
_SHOP_PAPER = KindUse(Group.SHOP, Material.PAPER)

_KINDS: dict[PartKind, tuple[KindUse, Message]] = {
    PartKind.WORK_ORDER: (_READ, tr("how tiled parts go together")),
    PartKind.SETTING_CARD: (_READ, tr("setting card")),
    PartKind.FIGURES_CARD: (_READ, tr("figures and grounds")),
    PartKind.SECTION_SHEET: (_READ, tr("section sheet")),
    PartKind.HAND_OUT: (_READ, tr("hand-out")),
    PartKind.BLANK_DISC: (_LOG_CARD, tr("trammel strip")),
    PartKind.LOG_END: (_LOG_CARD, tr("log card")),
    PartKind.LOG_OVERLAY: (_LOG_CARD, tr("log overlay")),
    PartKind.OUTSIDE_TEMPLATE: (_TURN_CARD, tr("outside template")),
    PartKind.TENON_RING: (_TURN_CARD, tr("tenon rings")),
    PartKind.FULL_CIRCLE: (_TURN_CARD, tr("full circles")),
    PartKind.TENON_PROFILE: (_TURN_CARD, tr("tenon profiles")),
    PartKind.SETTING_PLATE: (_SET_PLY, tr("setting plates")),
    PartKind.STANDOFF_BLOCK: (_SET_PLY, tr("standoff blocks")),
    PartKind.GAUGE_STICK: (_SET_PLY, tr("gauge stick")),
    PartKind.GAUGE_BLOCK: (_SET_PLY, tr("spacing blocks")),
    PartKind.HEIGHT_STICK: (_SET_PLY, tr("height stick")),
    PartKind.DEPTH_STICK: (_SET_PLY, tr("depth stick")),
    PartKind.CUT_PLATE: (_CUT_CARD, tr("cut plates")),
    PartKind.STOP_DIAL: (_CUT_CARD, tr("stop dials")),
    PartKind.TAG: (_AFTER_CARD, tr("tags")),
    PartKind.DRYING_SHEET: (_AFTER_PAPER, tr("drying sheets")),
    PartKind.HOLDING_CARD: (_AFTER_CARD, tr("holding cards")),
    PartKind.CUTTER_ARC: (_SHOP_PLY, tr("cutter arcs")),
    PartKind.RADIUS_FINDER: (_SHOP_PLY, tr("radius finder")),
    PartKind.JAW_DEPTH_BLOCK: (_SHOP_PLY, tr("jaw depth blocks")),
    PartKind.SCALE_SHEET: (_SHOP_PAPER, tr("scale sheet")),
}

# The work order is part of every pack: nobody asks for it by name.
DRAWN_KINDS = tuple(kind for kind in PartKind if kind is not PartKind.WORK_ORDER)


def kinds_meant(name: str, known: Iterable[PartKind] = DRAWN_KINDS) -> tuple[PartKind, ...]:
    """The kinds a name may mean: one if it is clear, several if not, none if nothing fits.

    A whole name comes before whole words of it, and those before their beginnings; capitals,
    hyphens and a plural count the same.

    >>> kinds_meant("rings"), kinds_meant("Cut-Plates"), kinds_meant("tenon")
    ((<PartKind.TENON_RING: 'tenon ring'>,), (<PartKind.CUT_PLATE: 'cut plate'>,), \
(<PartKind.TENON_RING: 'tenon ring'>, <PartKind.TENON_PROFILE: 'tenon profile'>))
    """
    kinds = tuple(known)
    words = [_singular(word) for word in name.casefold().replace("-", " ").split()]
    if not words:
        return ()
    whole = tuple(kind for kind in kinds if kind.split() == words)
    by_word = tuple(kind for kind in kinds if all(word in kind.split() for word in words))
    by_start = tuple(
        kind
        for kind in kinds
        if all(any(own.startswith(word) for own in kind.split()) for word in words)
    )
    return whole or by_word or by_start


def _singular(word: str) -> str:
    """The word without the s of a plural; the kinds' own words have none but 'figures'."""
    plural = len(word) > 1 and word.endswith("s") and word != "figures"
    return word[:-1] if plural else word


def part_kind_named(name: str, known: Iterable[PartKind] = DRAWN_KINDS) -> PartKind:
    """The kind a name means: its own name, a plural, a word of it or a beginning.

    Args:
        name: as a person typed it.
        known: the kinds there are.

    Raises:
        InputError: the name fits several kinds, or none; the nearest ones are offered.
    """
    kinds = tuple(known)
    meant = kinds_meant(name, kinds)
    if len(meant) == 1:
        return meant[0]
    if meant:
        raise InputError(
            tr("{kind!r} fits several kinds of part", kind=name),
            where=tr("part"),
            mend=tr("it may be: {names}", names=", ".join(meant)),
        )
    names = [kind.value for kind in kinds]
    raise InputError(
        tr("unknown kind of part {kind!r}", kind=name),
        where=tr("part"),
        mend=suggestion(name, names, known_names(names)),
    )
