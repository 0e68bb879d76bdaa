"""Job files: the blank, the nest, tenons and print (design.md §10)."""

import datetime
import itertools
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

from templategen.errors import InputError, InputErrors
from templategen.inputs.own_wood import own_wood_to_table, read_own_wood
from templategen.inputs.toml_table import REQUIRED, TomlTable, finish, meant, read_toml, shown
from templategen.messages import ENGLISH, languages, mark, say
from templategen.trade import defaults
from templategen.trade.records import (
    Blank,
    DryingWall,
    Job,
    LengthWall,
    Nest,
    Pinned,
    Print,
    Relief,
    Rules,
    ShareWall,
    Shop,
    Tenon,
    Wall,
)
from templategen.units import Units, parse_length, written_length

MOST_PINNED = 20
UNTITLED = mark("Untitled blank")  # the title of a job that states none


def read_job(path: Path, *, known_wood: Callable[[str], str | None]) -> Job:
    """The job a file states.

    Args:
        path: the file.
        known_wood: None for a known wood, else the nearest name, or '' if none is near.

    Raises:
        InputError: with every fault of the file.
    """
    return job_from_table(read_toml(path), where=path.name, known_wood=known_wood)


def job_from_table(
    data: object,
    *,
    where: str,
    known_wood: Callable[[str], str | None],
    usual: Rules | None = None,
) -> Job:
    """The job a table states.

    Args:
        data: the table.
        where: names the file in faults.
        known_wood: None for a known wood, else the nearest name, or '' if none is near.
        usual: the shop's own defaults, or None for those of the table of defaults.

    Raises:
        InputErrors: every fault of the table.
    """
    own = usual or Rules()
    faults: list[InputError] = []
    top = TomlTable(data, where=where, faults=faults)
    units = Units(top.choice("units", "mm", ("mm", "in")))
    top.units = units
    title = top.text("title", UNTITLED)
    date = _date(top)
    shop = top.text("shop")
    wood = read_own_wood(top.table("wood"))
    blank = _blank(top.table("blank"), (lambda _: None) if wood else known_wood)
    nest = nest_from_table(top.table("nest"), own.nest)
    if nest.wall == DryingWall() and not blank.wood and wood is None:
        mend = say("name it, or give nest.wall")
        top.fault("blank.wood", say("a drying wall needs the wood"), mend)
    tenon = tenon_from_table(top.table("tenon"), own.tenon)
    prints = print_from_table(top.table("print"), own.print or usual_print(units))
    top.done()
    return finish(
        faults,
        lambda: Job(
            title=title,
            date=date,
            units=units,
            blank=blank,
            shop=shop,
            nest=nest,
            tenon=tenon,
            wood=wood,
            print=prints,
        ),
    )


def check_cutters(job: Job, shop: Shop) -> None:
    """Every cutter the job names is in the shop.

    Raises:
        InputErrors: one fault for each that is not.
    """
    owned = [c.id for c in shop.cutters]
    faults = [
        InputError(
            say("no cutter {name!r} in the shop", name=name),
            where=say("job: {key}", key="nest.cutters"),
            mend=say("the shop has {names}", names=", ".join(owned)),
        )
        for name in job.nest.cutters
        if name not in owned
    ]
    if faults:
        raise InputErrors(faults)


def _date(top: TomlTable) -> str:
    value = top.raw("date")
    if value is None:
        return ""
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    try:
        return datetime.date.fromisoformat(str(value)).isoformat()
    except ValueError:
        top.fault("date", say("is not a date"), say("write it as 2026-05-02"))
        return ""


def _blank(table: TomlTable, known_wood: Callable[[str], str | None]) -> Blank:
    diameter = table.length("diameter", REQUIRED, 50, 1500)
    height = table.length("height", REQUIRED, 20, 1000)
    wood = table.text("wood", longest=80)
    near = known_wood(wood) if wood else None
    if near is not None:
        mend = meant(near) if near else say("leave it out and give nest.wall")
        table.fault("wood", say("unknown wood {name!r}", name=wood), mend)
    raw = table.raw("outside")
    outside: str | tuple[tuple[float, float], ...] = defaults.OUTSIDE.value
    if isinstance(raw, str):
        outside = table.choice("outside", defaults.OUTSIDE.value, ("arc", "cylinder"))
    elif raw is not None:
        outside = _points(table, raw, diameter, height)
    table.done()
    return Blank(diameter=diameter, height=height, wood=wood, outside=outside)


def _points(
    table: TomlTable, raw: object, diameter: float, height: float
) -> str | tuple[tuple[float, float], ...]:
    mend = say("write [[r, z], …] from the rim (z = 0) to the shoulder, z rising")
    if not isinstance(raw, list) or not 2 <= len(raw) <= 500:
        table.fault("outside", say("is not a list of 2 to 500 points"), mend)
        return defaults.OUTSIDE.value
    if not all(isinstance(point, list) for point in raw):
        table.fault("outside", say("holds something that is no point"), mend)
        return defaults.OUTSIDE.value
    try:
        points = tuple((parse_length(r, table.units), parse_length(z, table.units)) for r, z in raw)
    except (TypeError, ValueError, AttributeError):
        table.fault("outside", say("holds something that is no point"), mend)
        return defaults.OUTSIDE.value
    falling = any(b[1] < a[1] for a, b in itertools.pairwise(points))
    inside = all(0 < r <= diameter / 2 and 0 <= z <= height for r, z in points)
    if points[0][1] != 0 or falling or not inside:
        what = say("does not run from the rim down inside the blank")
        table.fault("outside", what, mend)
        return defaults.OUTSIDE.value
    return points


def usual_print(units: Units) -> Print:
    """Paper and plies usual where a unit is in use."""
    if units is Units.MM:
        return Print()
    return Print(paper=defaults.INCH_PAPER.value, stock=defaults.INCH_STOCK.value)


def print_from_table(table: TomlTable, base: Print) -> Print:
    """How to print, as a table states it; what it leaves out is as in `base`."""
    prints = Print(
        paper=table.text("paper", base.paper, longest=40),
        parts=table.texts("parts") if "parts" in table.data else base.parts,
        stock=table.lengths("stock", base.stock, 0.5, 100),
        language=table.choice("language", ENGLISH, languages())
        if "language" in table.data
        else base.language,
    )
    table.known += ["parts", "language"]
    table.done()
    return prints


def tenon_from_table(table: TomlTable, base: Tenon) -> Tenon:
    """The tenon wishes a table states; what it leaves out is as in `base`."""
    tenon = Tenon(
        share=table.number("share", base.share, 0.1, 0.75),
        core_share=table.number("core_share", base.core_share, 0.1, 0.75),
        length=table.length("length", base.length, 3, 60),
        shoulder=table.length("shoulder", base.shoulder, 0, 100),
    )
    table.done()
    return tenon


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
        what = say("{value} is not a share", value=shown(raw))
        table.fault("wall", what, say("give 2 % to 30 %"))
        return base
    return LengthWall(float(table.length("wall", REQUIRED, 3, 200)))


def nest_from_table(table: TomlTable, base: Nest) -> Nest:
    """How to core, as a table states it; what it leaves out is as in `base`."""
    wall = _wall(table, base.wall)
    floor = base.floor if table.raw("floor") is None else None
    if table.raw("floor") not in (None, "wall"):
        floor = table.length("floor", None, 3, 200)
    relief: Relief | None = base.relief
    raw = table.raw("relief")
    if raw is False:
        relief = None
    elif raw is True:
        relief = base.relief or Relief()
    elif raw is not None:
        inner, usual = table.table("relief"), base.relief or Relief()
        relief = Relief(
            shift=inner.length("shift", usual.shift, 0, 50),
            depth=inner.length("depth", usual.depth, 0, 300),
        )
        inner.done()
    nest = Nest(
        wall=wall,
        finished_wall=table.length("finished_wall", base.finished_wall, 1, 100),
        truing_margin=table.length("truing_margin", base.truing_margin, 0, 50),
        final_moisture=table.number("final_moisture", base.final_moisture, 0, 30),
        across=table.member("across", base.across),
        floor=floor,
        objective=table.member("objective", base.objective),
        cutters=table.texts("cutters") or base.cutters,
        height_above_centre=table.length("height_above_centre", base.height_above_centre, 0, 50),
        relief=relief,
        max_slope=table.number("max_slope", base.max_slope, 0, 60),
        min_bowl=table.length("min_bowl", base.min_bowl, 20, 1500),
        min_depth=table.length("min_depth", base.min_depth, 5, 1000),
        setting_tolerance=table.length("setting_tolerance", base.setting_tolerance, 0, 20),
        guard=table.member("guard", base.guard),
        order=table.member("order", base.order),
        pinned=tuple(_pinned(inner) for inner in table.tables("pinned", most=MOST_PINNED))
        or base.pinned,
        add_cuts=table.flag("add_cuts", base.add_cuts),
    )
    table.done()
    return nest


def _pinned(table: TomlTable) -> Pinned:
    """One pinned cut: entry and depth, or offset and standoff."""
    pairs = (("entry_radius", "depth_at_axis"), ("pivot_offset", "pivot_standoff"))
    given = [[key for key in pair if table.raw(key) is not None] for pair in pairs]
    first, second = given
    if (len(first), len(second)) not in ((2, 0), (0, 2)):
        have = ", ".join(first + second)
        table.fault(
            "",
            say("one pair is needed, this has {keys}", keys=have)
            if have
            else say("one pair is needed, this has neither"),
            say("give entry_radius and depth_at_axis, or pivot_offset and pivot_standoff"),
        )
    pin = Pinned(
        cutter=table.text("cutter", longest=40),
        entry_radius=table.length("entry_radius", None, 1, 750) if first else None,
        depth_at_axis=table.length("depth_at_axis", None, 1, 1000) if first else None,
        pivot_offset=table.length("pivot_offset", None, -1000, 1000) if second else None,
        pivot_standoff=table.length("pivot_standoff", None, -1000, 1000) if second else None,
    )
    table.done()
    return pin


def _pinned_to_table(pin: Pinned, units: Units) -> dict[str, Any]:
    figures = {
        "entry_radius": pin.entry_radius,
        "depth_at_axis": pin.depth_at_axis,
        "pivot_offset": pin.pivot_offset,
        "pivot_standoff": pin.pivot_standoff,
    }
    given = {k: written_length(v, units) for k, v in figures.items() if v is not None}
    return {"cutter": pin.cutter, **given}


def job_to_table(job: Job) -> dict[str, Any]:
    """The job as the table of a job file in the job's own unit; reading it back gives the job.

    Figures are millimetres throughout: plain numbers in a millimetre job, texts such as
    ``"22.225 mm"`` in an inch job, so that its unit and its 1/64 in grid are kept.
    """
    blank = job.blank

    def mm(length: float) -> float | str:
        return written_length(length, job.units)

    table: dict[str, Any] = {
        "title": job.title,
        "units": job.units.value,
        "blank": {
            "diameter": mm(blank.diameter),
            "height": mm(blank.height),
            "wood": blank.wood,
            "outside": blank.outside
            if isinstance(blank.outside, str)
            else [[mm(r), mm(z)] for r, z in blank.outside],
        },
        "nest": nest_to_table(job.nest, job.units),
        "tenon": tenon_to_table(job.tenon, job.units),
        "print": print_to_table(job.print, job.units),
    }
    if job.wood:
        table["wood"] = own_wood_to_table(job.wood)
    if job.date:
        table["date"] = job.date
    if job.shop:
        table["shop"] = job.shop
    return table


def nest_to_table(nest: Nest, units: Units) -> dict[str, Any]:
    """The table that `nest_from_table` reads back in a file of those units."""

    def mm(length: float) -> float | str:
        return written_length(length, units)

    wall: object
    match nest.wall:
        case ShareWall(share):
            wall = f"{(Decimal(repr(share)) * 100).normalize():f} %"
        case LengthWall(length):
            wall = mm(length)
        case DryingWall():
            wall = "drying"
    relief = nest.relief
    return {
        "wall": wall,
        "finished_wall": mm(nest.finished_wall),
        "truing_margin": mm(nest.truing_margin),
        "final_moisture": nest.final_moisture,
        "across": nest.across.value,
        "floor": "wall" if nest.floor is None else mm(nest.floor),
        "objective": nest.objective.value,
        "cutters": list(nest.cutters),
        "height_above_centre": mm(nest.height_above_centre),
        "relief": {"shift": mm(relief.shift), "depth": mm(relief.depth)} if relief else False,
        "max_slope": nest.max_slope,
        "min_bowl": mm(nest.min_bowl),
        "min_depth": mm(nest.min_depth),
        "setting_tolerance": mm(nest.setting_tolerance),
        "guard": nest.guard.value,
        "order": nest.order.value,
        "pinned": [_pinned_to_table(pin, units) for pin in nest.pinned],
        "add_cuts": nest.add_cuts,
    }


def tenon_to_table(tenon: Tenon, units: Units) -> dict[str, Any]:
    """The table that `tenon_from_table` reads back in a file of those units."""
    return {
        "share": tenon.share,
        "core_share": tenon.core_share,
        "length": written_length(tenon.length, units),
        "shoulder": written_length(tenon.shoulder, units),
    }


def print_to_table(prints: Print, units: Units) -> dict[str, Any]:
    """The table that `print_from_table` reads back in a file of those units."""
    return {
        "paper": prints.paper,
        "parts": list(prints.parts),
        "stock": [written_length(ply, units) for ply in prints.stock],
        **({"language": prints.language} if prints.language else {}),
    }
