"""The tables [nest], [tenon] and [print] (design.md §10).

A job file states them; a shop file states them under [rules] as the defaults of its jobs.
"""

from decimal import Decimal

from templategen.errors import InputError
from templategen.inputs.record_table import record_to_table
from templategen.inputs.toml_table import TomlTable, shown
from templategen.messages import languages, tr
from templategen.trade.paper import paper_named
from templategen.trade.part_kinds import DRAWN_KINDS
from templategen.trade.records import (
    DryingWall,
    LengthWall,
    Nest,
    PinnedCut,
    Print,
    Relief,
    ShareWall,
    Tenon,
    Wall,
    nest_defaults,
)
from templategen.units import Units, written_length

MOST_PINNED = 20
LEAST_TENON = 3.0  # mm; chosen here


def print_from_table(table: TomlTable, base: Print) -> Print:
    """How to print, as a table states it; what it leaves out is as in `base`."""
    prints = Print(
        paper=_paper(table, base.paper),
        parts=table.members("parts", base.parts, DRAWN_KINDS),
        stock=table.lengths("stock", base.stock, 0.5, 100),
        language=table.choice("language", base.language, languages()),
        has_shop_set=table.flag("has_shop_set", base.has_shop_set),
    )
    table.done()
    return prints


def _paper(table: TomlTable, default: str) -> str:
    name = table.text("paper", default, longest=40)
    try:
        paper_named(name)
    except InputError as error:
        table.fault("paper", error.what, error.mend)
        return default
    return name


def tenon_from_table(table: TomlTable, base: Tenon) -> Tenon:
    """The tenon wishes a table states; what it leaves out is as in `base`."""
    tenon = Tenon(
        share=table.number("share", base.share, 0.1, 0.75),
        core_share=table.number("core_share", base.core_share, 0.1, 0.75),
        length=table.length("length", base.length, LEAST_TENON, 60),
        shoulder=table.length("shoulder", base.shoulder, 0, 100),
    )
    table.done()
    return tenon


def nest_from_table(table: TomlTable, base: Nest) -> Nest:
    """How to core, as a table states it; what it leaves out is as in `base`."""
    wall = _wall(table, base.wall)
    floor = _floor(table, base.floor)
    relief = _relief(table, base.relief)
    nest = Nest(
        wall=wall,
        finished_wall=table.length("finished_wall", base.finished_wall, 1, 100),
        truing_margin=table.length("truing_margin", base.truing_margin, 0, 50),
        final_moisture=table.number("final_moisture", base.final_moisture, 0, 30),
        across=table.member("across", base.across),
        floor=floor,
        objective=table.member("objective", base.objective),
        wanted=table.lengths("wanted", base.wanted, 20, 1500, least=0),
        wanted_tolerance=table.length("wanted_tolerance", base.wanted_tolerance, 0, 100),
        cutters=table.texts("cutters") or base.cutters,
        height_above_centre=table.length("height_above_centre", base.height_above_centre, 0, 50),
        relief=relief,
        max_slope=table.number("max_slope", base.max_slope, 0, 60),
        min_bowl=table.length("min_bowl", base.min_bowl, 20, 1500),
        min_depth=table.length("min_depth", base.min_depth, 5, 1000),
        min_ratio=table.number("min_ratio", base.min_ratio, 0, 1),
        setting_tolerance=table.length("setting_tolerance", base.setting_tolerance, 0, 20),
        guard=table.member("guard", base.guard),
        order=table.member("order", base.order),
        pinned=tuple(_pinned(inner) for inner in table.tables("pinned", most=MOST_PINNED))
        or base.pinned,
        add_cuts=table.flag("add_cuts", base.add_cuts),
    )
    table.done()
    return nest


def _wall(table: TomlTable, base: Wall) -> Wall:
    raw = table.raw("wall")
    if raw is None:
        return base
    if raw == "drying":
        return DryingWall()
    if isinstance(raw, str) and raw.strip().endswith("%"):
        try:
            share = float(Decimal(raw.strip()[:-1].strip()) / 100)
        except (ArithmeticError, ValueError):
            share = -1.0
        if 0.02 <= share <= 0.3:
            return ShareWall(share)
        what = tr("{value} is not a share", value=shown(raw))
        table.fault("wall", what, tr("give 2 % to 30 %"))
        return base
    return LengthWall(table.required_length("wall", 3, 200))


def _floor(table: TomlTable, base: float | None) -> float | None:
    """The floor, mm, or None for "as the wall"."""
    raw = table.raw("floor")
    if raw is None:
        return base
    return None if raw == "wall" else table.optional_length("floor", 3, 200)


def _relief(table: TomlTable, base: Relief | None) -> Relief | None:
    raw = table.raw("relief")
    inherited = base or nest_defaults(table.units).relief or Relief()
    if raw is None:
        return base
    if isinstance(raw, bool):
        return inherited if raw else None
    inner = table.table("relief")
    relief = Relief(
        shift=inner.length("shift", inherited.shift, 0, 50),
        depth=inner.length("depth", inherited.depth, 0, 300),
    )
    for key, value in (("shift", relief.shift), ("depth", relief.depth)):
        if value == 0:
            mend = tr("give shift and depth over 0, or write relief = false")
            table.fault(f"relief.{key}", tr("is 0: no relief cut"), mend)
    inner.done()
    return relief


def _pinned(table: TomlTable) -> PinnedCut:
    """One fixed cut: entry and depth, or offset and standoff."""
    bounds = {
        "entry_radius": (1, 750),
        "depth_at_axis": (1, 1000),
        "pivot_offset": (-1000, 1000),
        "pivot_standoff": (-1000, 1000),
    }
    given = [key for key in bounds if table.raw(key) is not None]
    if given not in (list(bounds)[:2], list(bounds)[2:]):
        what = (
            tr("one pair is needed, this has {keys}", keys=", ".join(given))
            if given
            else tr("one pair is needed, this has neither")
        )
        mend = tr("give entry_radius and depth_at_axis, or pivot_offset and pivot_standoff")
        table.fault("", what, mend)
    cut = PinnedCut(
        cutter=table.text("cutter", longest=40),
        **{key: table.optional_length(key, *bounds[key]) for key in given},
    )
    table.done()
    return cut


def nest_to_table(nest: Nest, units: Units) -> dict[str, object]:
    """The table that `nest_from_table` reads back in a file of those units."""
    wall: object
    match nest.wall:
        case ShareWall(share):
            wall = f"{(Decimal(repr(share)) * 100).normalize():f} %"
        case LengthWall(length):
            wall = written_length(length, units)
        case DryingWall():
            wall = "drying"
    floor = "wall" if nest.floor is None else written_length(nest.floor, units)
    relief = record_to_table(nest.relief, units) if nest.relief else False
    return record_to_table(nest, units, wall=wall, floor=floor, relief=relief)
