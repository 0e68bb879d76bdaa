"""Job files: the blank, its wood, and the wishes for nest, tenons and print (design.md §10)."""

import datetime
import itertools

from templategen.errors import InputError, InputErrors
from templategen.inputs.record_table import record_to_table
from templategen.inputs.toml_table import TomlTable, raise_faults, two_lengths
from templategen.inputs.wishes import (
    nest_from_table,
    nest_to_table,
    print_from_table,
    tenon_from_table,
)
from templategen.messages import Text, tr
from templategen.trade import defaults
from templategen.trade.quantities import KILOPASCALS, NEWTONS
from templategen.trade.records import (
    UNTITLED,
    Blank,
    DryingWall,
    Job,
    Log,
    Nest,
    Outside,
    OwnWood,
    Rules,
    Shop,
)
from templategen.trade.wood_names import OneWood, match_wood
from templategen.units import Units


def job_from_table(data: object, *, where: Text, shop_defaults: Rules | None = None) -> Job:
    """The job a table states.

    Args:
        data: the table.
        where: names the file in faults.
        shop_defaults: what the table leaves out, or None for the table of defaults.

    Raises:
        InputErrors: every fault of the table.
    """
    _refuse_other_files(data, where)
    base = shop_defaults or Rules()  # what is not stated there depends on the job's unit
    faults: list[InputError] = []
    top = TomlTable(data, where=where, faults=faults)
    units = Units(top.choice("units", "mm", ("mm", "in")))
    top.units = units
    title = top.text("title", UNTITLED)
    date = _date(top)
    shop = top.text("shop")
    wood = _own_wood(top.table("wood"))
    blank = _blank(top.table("blank"))
    nest = nest_from_table(top.table("nest"), base.nest_of(units))
    _check_wanted(top, nest, blank)
    if nest.wall == DryingWall() and wood is None:
        _check_wood(top, blank.wood)
    tenon = tenon_from_table(top.table("tenon"), base.tenon_of(units))
    prints = print_from_table(top.table("print"), base.print_of(units))
    log = _log(top.optional_table("log"))
    top.done()
    raise_faults(faults)
    return Job(
        title=title,
        date=date,
        units=units,
        blank=blank,
        shop=shop,
        nest=nest,
        tenon=tenon,
        wood=wood,
        log=log,
        print=prints,
    )


def _refuse_other_files(data: object, where: Text) -> None:
    """One line for a file that is no job file.

    Raises:
        InputError: it is a shop file or a club's list.
    """
    if not isinstance(data, dict) or "blank" in data:
        return
    if "cutters" in data or "jaws" in data:
        mend = tr("give a job file; it names its shop, or --shop does")
        raise InputError(tr("this is a shop file, not a job file"), where=where, mend=mend)
    if "blanks" in data:
        mend = tr("use: templategen club")
        raise InputError(tr("this is a club's list, not a job file"), where=where, mend=mend)


def check_cutters(job: Job, shop: Shop) -> None:
    """Every cutter the job names is in the shop.

    Raises:
        InputErrors: one fault for each that is not.
    """
    owned = [c.id for c in shop.cutters]
    faults = [
        InputError(
            tr("no cutter {name!r} in the shop", name=name),
            where=tr("job: {key}", key="nest.cutters"),
            mend=tr("the shop has {names}", names=", ".join(owned)),
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
        top.fault("date", tr("is not a date"), tr("write it as 2026-05-02"))
        return ""


def _check_wood(top: TomlTable, name: str) -> None:
    """A drying wall needs one wood; without it a name that means none is a caution of the plan."""
    match = match_wood(name)
    if not name:
        mend = tr("name it, or give nest.wall")
        top.fault("blank.wood", tr("a drying wall needs the wood"), mend)
    elif not isinstance(match, OneWood):
        top.fault("blank.wood", match.what, match.mend)


def _blank(table: TomlTable) -> Blank:
    diameter = table.required_length("diameter", 50, 1500)
    height = table.required_length("height", 20, 1000)
    wood = table.text("wood", longest=80)
    raw = table.raw("outside")
    outside: Outside = defaults.OUTSIDE.value
    if isinstance(raw, str):
        outside = table.member("outside", defaults.OUTSIDE.value)
    elif raw is not None:
        outside = _points(table, raw, diameter, height)
    table.done()
    return Blank(diameter=diameter, height=height, wood=wood, outside=outside)


def _points(table: TomlTable, raw: object, diameter: float, height: float) -> Outside:
    """The points of an outside, from the rim at z = 0 to the shoulder, mm."""
    points = [two_lengths(point, table.units) for point in raw] if isinstance(raw, list) else []
    known = [point for point in points if point is not None]
    if not 2 <= len(points) <= 500:
        what = tr("is not a list of 2 to 500 points")
    elif len(known) < len(points):
        what = tr("holds something that is no point")
    elif (
        known[0][1] != 0
        or any(b[1] < a[1] for a, b in itertools.pairwise(known))
        or not all(0 < r <= diameter / 2 and 0 <= z <= height for r, z in known)
    ):
        what = tr("does not run from the rim down inside the blank")
    else:
        return tuple(known)
    mend = tr("write [[r, z], …] from the rim (z = 0) to the shoulder, z rising")
    table.fault("outside", what, mend)
    return defaults.OUTSIDE.value


def _own_wood(table: TomlTable) -> OwnWood | None:
    """The job's own figures for its wood, or None where it gives none.

    Shrinkage is in % of the green size; specific gravity is ovendry mass over green volume;
    green moisture is in % of the dry mass.
    """
    own = OwnWood(
        radial=table.optional_number("radial", 0.1, 25),
        tangential=table.optional_number("tangential", 0.1, 25),
        along=table.optional_number("along", 0, 5),
        specific_gravity=table.optional_number("specific_gravity", 0.1, 1.3),
        green_moisture=table.optional_number("green_moisture", 20, 300),
        tension_across_kpa=table.quantity("tension_across", KILOPASCALS, 100, 50_000),
        shear_along_kpa=table.quantity("shear_along", KILOPASCALS, 100, 100_000),
        side_hardness_n=table.quantity("side_hardness", NEWTONS, 100, 50_000),
        source=table.text("source", longest=120),
    )
    table.done()
    return None if own == OwnWood(source=own.source) else own


def _check_wanted(top: TomlTable, nest: Nest, blank: Blank) -> None:
    """A wanted rim is one that a bowl of the blank can have."""
    for n, rim in enumerate(nest.wanted, start=1):
        if rim > blank.diameter + nest.wanted_tolerance:
            what = tr("is wider than the blank")
        elif rim < nest.min_bowl - nest.wanted_tolerance:
            what = tr("is below {key}", key="nest.min_bowl")
        else:
            continue
        top.fault(f"nest.wanted[{n}]", what, tr("give the rim of a bowl that may come out"))


def _log(table: TomlTable | None) -> Log | None:
    """The log that the blank is cut from, or None where the job states none."""
    if table is None:
        return None
    log = Log(
        diameter=table.required_length("diameter", 50, 3000),
        length=table.required_length("length", 50, 20_000),
        pith=table.length("pith", defaults.LOG_PITH.of(table.units), 0, 1000),
        rim=table.member("rim", defaults.LOG_RIM.value),
        end_trim=table.length("end_trim", defaults.LOG_END_TRIM.of(table.units), 0, 2000),
        saw=table.length("saw", defaults.LOG_SAW.of(table.units), 0, 30),
    )
    if log.pith >= log.diameter / 2:
        what = tr("is not below half the diameter")
        table.fault("pith", what, tr("measure from the pith to the plane of the blank"))
    if 2 * log.end_trim >= log.length:
        table.fault("end_trim", tr("leaves nothing of the log"), tr("give what one end loses"))
    table.done()
    return log


def job_to_table(job: Job) -> dict[str, object]:
    """The job as the table of a job file in the job's own unit; reading it back gives the job.

    Figures are millimetres throughout: plain numbers in a millimetre job, texts such as
    ``"22.225 mm"`` in an inch job, so that its unit and its 1/64 in grid are kept.
    """
    table: dict[str, object] = {
        "title": job.title,
        "units": job.units.value,
        "blank": record_to_table(job.blank, job.units),
        "nest": nest_to_table(job.nest, job.units),
        "tenon": record_to_table(job.tenon, job.units),
        "print": record_to_table(job.print, job.units),
    }
    if job.wood:
        table["wood"] = record_to_table(job.wood, job.units)
    if job.log:
        table["log"] = record_to_table(job.log, job.units)
    if job.date:
        table["date"] = job.date
    if job.shop:
        table["shop"] = job.shop
    return table
