"""Shop files: cutters, jaws, post and lathe (design.md §10)."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from templategen.inputs.driving import (
    chuck_to_table,
    read_chuck,
    read_section,
    section_to_table,
)
from templategen.inputs.job_file import (
    nest_from_table,
    nest_to_table,
    print_from_table,
    print_to_table,
    tenon_from_table,
    tenon_to_table,
    usual_print,
)
from templategen.inputs.toml_table import REQUIRED, WATTS_PER_HP, TomlTable, finish, read_toml
from templategen.messages import mark, say
from templategen.trade import defaults
from templategen.trade.records import Cutter, Jaws, Lathe, Nest, Post, Rules, Shop, Tenon
from templategen.units import Units, written_length

if TYPE_CHECKING:
    from templategen.errors import InputError

UNNAMED = mark("shop")  # the name of a shop that states none
FASTEST = 1500  # rpm; above the default it is cautioned, above this refused; chosen here


def read_shop(path: Path) -> Shop:
    """The shop a file states.

    Raises:
        InputError: with every fault of the file.
    """
    return shop_from_table(read_toml(path), where=path.name)


def shop_from_table(data: object, *, where: str) -> Shop:
    """The shop a table states; `where` names the file in faults.

    Raises:
        InputErrors: every fault of the table.
    """
    faults: list[InputError] = []
    top = TomlTable(data, where=where, faults=faults)
    units = Units(top.choice("units", "mm", ("mm", "in")))
    top.units = units
    name = top.text("name", UNNAMED)
    cutters = [_cutter(t) for t in top.tables("cutters", most=60)]
    jaws = [_jaws(t) for t in top.tables("jaws", most=60)]
    if not cutters and top.data.get("cutters", []) == []:
        mend = say("add a [[cutters]] table with radius and kerf")
        top.fault("cutters", say("no cutter given"), mend)
    for key, ids in (("cutters", [c.id for c in cutters]), ("jaws", [j.id for j in jaws])):
        for twice in sorted({i for i in ids if ids.count(i) > 1}):
            what = say("id {name!r} is used twice", name=twice)
            top.fault(key, what, say("give each its own id"))
    base = Lathe()
    table = top.table("lathe")
    lathe = Lathe(
        swing=table.length("swing", base.swing, 50, 3000),
        centre_height=table.length("centre_height", base.centre_height, 20, 1500),
        power_w=table.quantity("power", {"W": 1, "kW": 1000, "hp": WATTS_PER_HP}, 50, 50000),
        max_mass_kg=table.quantity("max_mass", {"kg": 1, "lb": 0.45359237}, 1, 5000),
    )
    table.done()
    chuck = read_chuck(top.table("chuck"))
    table = top.table("post")
    post = Post(
        min_standoff=table.length("min_standoff", Post().min_standoff, 0, 500),
        min_offset=table.length("min_offset", Post().min_offset, -500, 500),
        max_offset=table.length("max_offset", Post().max_offset, -500, 500),
    )
    if post.min_offset > post.max_offset:
        what = say("is above {key}", key="max_offset")
        table.fault("min_offset", what, say("swap the two"))
    table.done()
    table = top.table("rules")
    rules = Rules(
        max_coring_speed=table.number("max_coring_speed", Rules().max_coring_speed, 20, FASTEST),
        caution_share=table.number("caution_share", Rules().caution_share, 0.1, 0.75),
        refuse_share=table.number("refuse_share", Rules().refuse_share, 0.1, 0.75),
        nest=nest_from_table(table.table("nest"), Nest()),
        tenon=tenon_from_table(table.table("tenon"), Tenon()),
        print=print_from_table(table.table("print"), usual_print(units))
        if "print" in table.data
        else None,
    )
    table.known.append("print")
    if rules.refuse_share > rules.caution_share:
        what = say("is above {key}", key="caution_share")
        table.fault("refuse_share", what, say("swap the two"))
    table.done()
    top.done()
    return finish(
        faults,
        lambda: Shop(
            name=name,
            units=units,
            cutters=tuple(cutters),
            jaws=tuple(jaws),
            lathe=lathe,
            chuck=chuck,
            post=post,
            rules=rules,
        ),
    )


def name_of(shop: Shop) -> str:
    """The shop's name for people: in the language in use where the shop states none."""
    return say(UNNAMED) if shop.name == UNNAMED else shop.name


def _id(table: TomlTable) -> str:
    name = table.text("id", longest=40).strip()
    if not name:
        table.fault("id", say("is missing"), say("give it a short name in quotes"))
    return name


def _cutter(table: TomlTable) -> Cutter:
    cutter = Cutter(
        id=_id(table),
        radius=table.length("radius", REQUIRED, 20, 1000),
        kerf=table.length("kerf", REQUIRED, 1, 20),
        max_swing=table.number("max_swing", defaults.MAX_SWING.value, 10, 180),
        section=read_section(table),
    )
    if cutter.kerf >= cutter.radius:
        table.fault("kerf", say("is not below the radius"), say("give the width of the tip"))
    table.done()
    return cutter


def _jaws(table: TomlTable) -> Jaws:
    jaws = Jaws(
        id=_id(table),
        true_circle=table.length("true_circle", REQUIRED, 10, 600),
        depth=table.length("depth", REQUIRED, 3, 60),
        dovetail_angle=table.number("dovetail_angle", defaults.DOVETAIL_ANGLE.value, 0, 45),
        jaw_count=table.whole("jaw_count", defaults.JAW_COUNT.value, 2, 12),
        max_gap=table.length("max_gap", defaults.MAX_GAP.value, 0, 20),
    )
    table.done()
    return jaws


def shop_to_table(shop: Shop) -> dict[str, Any]:
    """The shop as the table of a shop file in its own unit; reading it back gives the shop.

    Figures are millimetres throughout: plain numbers in a millimetre shop, texts such as
    ``"101.6 mm"`` in an inch shop.
    """

    def mm(length: float) -> float | str:
        return written_length(length, shop.units)

    def known(**figures: object) -> dict[str, object]:
        return {key: figure for key, figure in figures.items() if figure is not None}

    lathe, rules = shop.lathe, shop.rules
    return {
        "units": shop.units.value,
        "name": shop.name,
        "lathe": known(
            swing=None if lathe.swing is None else mm(lathe.swing),
            centre_height=None if lathe.centre_height is None else mm(lathe.centre_height),
            power=None if lathe.power_w is None else f"{lathe.power_w!r} W",
            max_mass=None if lathe.max_mass_kg is None else f"{lathe.max_mass_kg!r} kg",
        ),
        "chuck": chuck_to_table(shop.chuck),
        "post": {
            "min_standoff": mm(shop.post.min_standoff),
            "min_offset": mm(shop.post.min_offset),
            "max_offset": mm(shop.post.max_offset),
        },
        "cutters": [
            {"id": c.id, "radius": mm(c.radius), "kerf": mm(c.kerf), "max_swing": c.max_swing}
            | section_to_table(c)
            for c in shop.cutters
        ],
        "jaws": [
            {
                "id": j.id,
                "true_circle": mm(j.true_circle),
                "depth": mm(j.depth),
                "dovetail_angle": j.dovetail_angle,
                "jaw_count": j.jaw_count,
                "max_gap": mm(j.max_gap),
            }
            for j in shop.jaws
        ],
        "rules": known(
            max_coring_speed=rules.max_coring_speed,
            caution_share=rules.caution_share,
            refuse_share=rules.refuse_share,
            nest=nest_to_table(rules.nest, shop.units) if rules.nest != Nest() else None,
            tenon=tenon_to_table(rules.tenon, shop.units) if rules.tenon != Tenon() else None,
            print=print_to_table(rules.print, shop.units) if rules.print else None,
        ),
    }
