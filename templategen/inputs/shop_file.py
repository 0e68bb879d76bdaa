"""Shop files: cutters, jaws, post, lathe, chuck and the shop's own rules (design.md §10)."""

import dataclasses
from pathlib import Path

from templategen.errors import InputError
from templategen.inputs.record_table import record_to_table
from templategen.inputs.toml_table import (
    TomlTable,
    length_range,
    raise_faults,
    read_toml,
    two_lengths,
)
from templategen.inputs.wishes import (
    LEAST_TENON,
    nest_from_table,
    nest_to_table,
    print_from_table,
    tenon_from_table,
)
from templategen.messages import Text, tr
from templategen.trade import defaults
from templategen.trade.choices import MeasuredAt
from templategen.trade.jaws import flank_spread
from templategen.trade.quantities import KILOGRAMS, WATTS
from templategen.trade.records import (
    UNNAMED,
    Chuck,
    Cutter,
    Jaws,
    Lathe,
    Post,
    Rules,
    Shop,
    nest_defaults,
    post_defaults,
)
from templategen.units import Length, Units

FASTEST = 1500  # rpm; above the default it is cautioned, above this refused; chosen here
LEAST_JAW_DEPTH = LEAST_TENON + defaults.TENON_CLEARANCE.value  # mm; jaws for the shortest tenon
SAME = 1e-6  # mm; lengths that differ by less are equal


def read_shop(path: Path) -> Shop:
    """The shop a file states.

    Raises:
        InputError: with every fault of the file.
    """
    return shop_from_table(read_toml(path), where=path.name)


def shop_from_table(data: object, *, where: Text) -> Shop:
    """The shop a table states; `where` names the file in faults.

    Raises:
        InputErrors: every fault of the table.
    """
    _refuse_other_files(data, where)
    faults: list[InputError] = []
    top = TomlTable(data, where=where, faults=faults)
    units = Units(top.choice("units", "mm", ("mm", "in")))
    top.units = units
    name = top.text("name", UNNAMED)
    cutters = tuple(_cutter(table) for table in top.tables("cutters", most=60))
    jaws = tuple(_jaws(table) for table in top.tables("jaws", most=60))
    if not cutters and top.data.get("cutters", []) == []:
        mend = tr("add a [[cutters]] table with radius and kerf")
        top.fault("cutters", tr("no cutter given"), mend)
    _check_ids(top, "cutters", [c.id for c in cutters])
    _check_ids(top, "jaws", [j.id for j in jaws])
    lathe, chuck = _lathe(top.table("lathe")), _chuck(top.table("chuck"))
    post, rules = _post(top.table("post")), _rules(top.table("rules"))
    top.done()
    raise_faults(faults)
    return Shop(
        name=name,
        units=units,
        cutters=cutters,
        jaws=jaws,
        lathe=lathe,
        chuck=chuck,
        post=post,
        rules=rules,
    )


def _refuse_other_files(data: object, where: Text) -> None:
    """One line for a file that is no shop file.

    Raises:
        InputError: it is a job file or a club's list.
    """
    if not isinstance(data, dict) or "cutters" in data or "jaws" in data:
        return
    mend = tr("a shop file has [[cutters]] and [[jaws]]")
    if "blank" in data:
        raise InputError(tr("this is a job file, not a shop file"), where=where, mend=mend)
    if "blanks" in data:
        raise InputError(tr("this is a club's list, not a shop file"), where=where, mend=mend)


def _check_ids(top: TomlTable, key: str, ids: list[str]) -> None:
    for twice in sorted({i for i in ids if ids.count(i) > 1}):
        what = tr("id {name!r} is used twice", name=twice)
        top.fault(key, what, tr("give each its own id"))


def _id(table: TomlTable) -> str:
    name = table.text("id", longest=40).strip()
    if not name:
        table.fault("id", tr("is missing"), tr("give it a short name in quotes"))
    return name


def _cutter(table: TomlTable) -> Cutter:
    cutter = Cutter(
        id=_id(table),
        radius=table.required_length("radius", 20, 1000),
        kerf=table.required_length("kerf", 1, 20),
        max_swing=table.number("max_swing", defaults.MAX_SWING.value, 10, 180),
        section=_section(table),
        arc=table.optional_number("arc", 20, 350),
        holder=table.optional_length("holder", 3, 200),
        relief_angle=table.optional_number("relief_angle", 1, 60),
    )
    if cutter.kerf >= cutter.radius:
        table.fault("kerf", tr("is not below the radius"), tr("give the width of the tip"))
    table.done()
    return cutter


def _section(table: TomlTable) -> tuple[float, float] | None:
    """Width of a cutter's bar in the plane of the arc, 1 to 60 mm, and its height, 1 to 100 mm."""
    raw = table.raw("section")
    if raw is None:
        return None
    section = two_lengths(raw, table.units)
    if section is None:
        mend = tr("write section = [6, 20]")
        if table.units is Units.IN:
            mend = tr('write section = ["1/4", "3/4"]')
        table.fault("section", tr("is not a width and a height"), mend)
    elif not (1 <= section[0] <= 60 and 1 <= section[1] <= 100):
        width, height = (length_range(1, most, table.units) for most in (60, 100))
        mend = tr(
            "give a width of {low} to {high} and a height of {least} to {most}",
            low=width[0],
            high=width[1],
            least=height[0],
            most=height[1],
        )
        table.fault("section", tr("is out of bounds"), mend)
    return section


def _jaws(table: TomlTable) -> Jaws:
    jaws = Jaws(
        id=_id(table),
        true_circle=table.required_length("true_circle", 10, 600),
        depth=table.required_length("depth", LEAST_JAW_DEPTH, 60),
        measured_at=table.member("measured_at", defaults.MEASURED_AT.value),
        dovetail_angle=table.number("dovetail_angle", defaults.DOVETAIL_ANGLE.value, 0, 45),
        jaw_count=table.whole("jaw_count", defaults.JAW_COUNT.value, 2, 12),
        max_gap=table.length("max_gap", defaults.MAX_GAP.of(table.units), 0, 20),
    )
    spread = flank_spread(jaws.depth, jaws.dovetail_angle)
    if jaws.measured_at is MeasuredAt.BOTTOM and jaws.true_circle <= spread:
        what = tr("leaves no neck: the flanks meet inside the jaws")
        table.fault("dovetail_angle", what, tr("check angle, depth and measured_at"))
    table.done()
    return jaws


def _lathe(table: TomlTable) -> Lathe:
    lathe = Lathe(
        swing=table.optional_length("swing", 50, 3000),
        centre_height=table.optional_length("centre_height", 20, 1500),
        power_w=table.quantity("power", WATTS, 50, 50_000),
        full_power_speed=table.optional_number("full_power_speed", 20, 5000),
        max_mass_kg=table.quantity("max_mass", KILOGRAMS, 1, 5000),
    )
    table.done()
    return lathe


def _chuck(table: TomlTable) -> Chuck:
    chuck = Chuck(
        max_mass_kg=table.quantity("max_mass", KILOGRAMS, 1, 5000),
        max_speed=table.optional_number("max_speed", 20, 5000),
    )
    table.done()
    return chuck


def _post(table: TomlTable) -> Post:
    base = post_defaults(table.units)
    post = Post(
        min_standoff=table.length("min_standoff", base.min_standoff, 0, 500),
        min_offset=table.length("min_offset", base.min_offset, -500, 500),
        max_offset=table.length("max_offset", base.max_offset, -500, 500),
        pin=table.optional_length("pin", 3, 60),
        body=table.optional_length("body", 8, 200),
    )
    if post.min_offset > post.max_offset:
        what = tr("is above {key}", key="max_offset")
        table.fault("min_offset", what, tr("swap the two"))
    if post.pin is not None and post.body is not None and post.pin > post.body:
        table.fault("pin", tr("is above {key}", key="body"), tr("swap the two"))
    if post.body is not None and post.body / 2 > post.min_standoff + SAME:
        half = Length(post.body / 2, table.units)
        mend = tr("raise min_standoff to {length}", length=half)
        table.fault("body", tr("would stand in the wood: half of it is over min_standoff"), mend)
    table.done()
    return post


def _rules(table: TomlTable) -> Rules:
    base = Rules()
    nest, tenon, prints = (table.table(name) for name in ("nest", "tenon", "print"))
    tables = {"nest": nest, "tenon": tenon, "print": prints}
    own = base.nest
    if "relief" in nest.data:  # which may state one figure of the two
        own = dataclasses.replace(own, relief=nest_defaults(table.units).relief)
    rules = Rules(
        max_coring_speed=table.number("max_coring_speed", base.max_coring_speed, 20, FASTEST),
        caution_share=table.number("caution_share", base.caution_share, 0.1, 0.75),
        refuse_share=table.number("refuse_share", base.refuse_share, 0.1, 0.75),
        dried_share=table.number("dried_share", base.dried_share, 0.1, 0.75),
        nest=nest_from_table(nest, own),
        tenon=tenon_from_table(tenon, base.tenon),
        print=print_from_table(prints, base.print),
        stated=tuple(f"{name}.{key}" for name, inner in tables.items() for key in inner.data),
    )
    if rules.refuse_share > rules.caution_share:
        what = tr("is above {key}", key="caution_share")
        table.fault("refuse_share", what, tr("swap the two"))
    table.done()
    return rules


def shop_to_table(shop: Shop) -> dict[str, object]:
    """The shop as the table of a shop file in its own unit; reading it back gives the shop.

    Figures are millimetres throughout: plain numbers in a millimetre shop, texts such as
    ``"101.6 mm"`` in an inch shop.
    """
    units, rules = shop.units, shop.rules
    return {
        "units": units.value,
        "name": shop.name,
        "lathe": record_to_table(shop.lathe, units),
        "chuck": record_to_table(shop.chuck, units),
        "post": record_to_table(shop.post, units),
        "cutters": [record_to_table(cutter, units) for cutter in shop.cutters],
        "jaws": [record_to_table(jaws, units) for jaws in shop.jaws],
        "rules": record_to_table(
            rules,
            units,
            nest=_stated(nest_to_table(rules.nest, units), "nest", rules),
            tenon=_stated(record_to_table(rules.tenon, units), "tenon", rules),
            print=_stated(record_to_table(rules.print, units), "print", rules),
            stated=None,
        ),
    }


def _stated(table: dict[str, object], name: str, rules: Rules) -> dict[str, object] | None:
    """The keys of a table that the shop's rules state, in their order; None if there are none."""
    stated = [key.partition(".") for key in rules.stated]
    return {key: table[key] for first, _, key in stated if first == name} or None
