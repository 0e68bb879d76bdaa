"""Parts by the step of the work that they serve and by what they are glued to."""

from collections.abc import Sequence

from templategen.parts.drawing import Part
from templategen.parts.style import PrintStyle
from templategen.trade.part_kinds import Group, KindUse, Material, PartKind
from templategen.units import Units

KINDS: dict[str, PartKind] = {kind.value: kind for kind in PartKind}  # by their names
_GROUPS, _MATERIALS = list(Group), list(Material)
Gathered = tuple[KindUse | None, list[tuple[int, Part]]]


def use_of(kind: str, *, is_shop_set: bool = False) -> KindUse | None:
    """The step and the material of a kind of part; None for what belongs to no step.

    Args:
        kind: of the part.
        is_shop_set: whether everything is made once for a shop, whatever the step it serves.
    """
    known = KINDS.get(kind)
    if known is None:
        return None
    use = known.use
    if not is_shop_set:
        return use
    is_read = use.material is Material.PAPER
    return KindUse(Group.SHOP, Material.PAPER if is_read else Material.PLY)  # it is to last


def gathered(parts: Sequence[Part], *, is_shop_set: bool = False) -> list[Gathered]:
    """The parts of each step and material with their numbers, in the order of the work."""
    found: dict[KindUse | None, list[tuple[int, Part]]] = {}
    for order, part in enumerate(parts):
        found.setdefault(use_of(part.kind, is_shop_set=is_shop_set), []).append((order, part))
    return sorted(found.items(), key=lambda pair: _rank(pair[0]))


def _rank(use: KindUse | None) -> tuple[int, int]:
    if use is None:
        return -1, -1
    return _GROUPS.index(use.group), _MATERIALS.index(use.material)


def heading(uses: Sequence[KindUse | None], style: PrintStyle) -> str:
    """What the head of a sheet says: its steps and the material; empty for no step."""
    known = [use for use in uses if use is not None]
    if not known:
        return ""
    is_inch = style.units.first is Units.IN
    material = known[0].material.inch_heading if is_inch else known[0].material.heading
    return " · ".join(style.text(text) for text in (*(u.group.heading for u in known), material))
