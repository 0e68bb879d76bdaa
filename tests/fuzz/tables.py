"""Random valid job and shop tables: every field over its whole legal range, edges often."""

from typing import Any

from hypothesis import strategies as st

from templategen.trade.choices import Objective
from templategen.trade.part_kinds import DRAWN_KINDS
from templategen.trade.wood import woods

Tables = st.SearchStrategy[dict[str, Any]]
NAMES = st.sampled_from(["A", "R105", "<b>", "½ \"x\"", "%%d", "=1+1", "木", "a" * 40])  # fmt: skip
WOODS = st.sampled_from([wood.name for wood in woods()])


def figures(low: float, high: float) -> st.SearchStrategy[float]:
    """Figures from `low` to `high`, both often, and those a person would write."""
    whole = [float(n) for n in range(-(-int(low) // 1), int(high) + 1) if low <= n <= high]
    return st.one_of(
        st.sampled_from([low, high]),
        st.sampled_from(whole) if whole else st.just(low),
        st.floats(low, high).map(lambda x: min(high, max(low, round(x, 3)))),
        st.floats(low, high),
    )


def lengths(low: float, high: float) -> st.SearchStrategy[float | str]:
    """Lengths in a file: bare millimetres, or text that says so."""
    figure = figures(low, high)
    return figure | figure.map(lambda x: f"{max(low, min(high, round(x, 3))):.3f} mm")


def _said(low: float, high: float, unit: str) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda x: f"{max(low, min(high, round(x, 3))):.3f} {unit}")


def table(must: dict[str, st.SearchStrategy[Any]], **may: st.SearchStrategy[Any]) -> Tables:
    """A table with all of the first keys and any of the others."""
    return st.fixed_dictionaries(must, optional=may)


TENONS = table(
    {},
    share=figures(0.1, 0.75),
    core_share=figures(0.1, 0.75),
    length=lengths(3, 60),
    shoulder=lengths(0, 100),
)
WALLS = st.one_of(
    st.just("drying"), st.floats(2, 30).map(lambda x: f"{x:.3f} %"), lengths(3, 200)
)  # fmt: skip
PINNED = st.one_of(
    table({"cutter": NAMES, "entry_radius": lengths(1, 750), "depth_at_axis": lengths(1, 1000)}),
    table(
        {
            "cutter": NAMES,
            "pivot_offset": lengths(-1000, 1000),
            "pivot_standoff": lengths(-1000, 1000),
        }
    ),
)
NESTS = table(
    {},
    wall=WALLS,
    finished_wall=lengths(1, 100),
    truing_margin=lengths(0, 50),
    final_moisture=figures(0, 30),
    across=st.sampled_from(["tangential", "radial"]),
    floor=st.just("wall") | lengths(3, 200),
    objective=st.sampled_from([objective.value for objective in Objective]),
    wanted=st.lists(lengths(100, 400), max_size=2),
    wanted_tolerance=lengths(0, 100),
    min_ratio=figures(0, 1),
    height_above_centre=lengths(0, 50),
    relief=st.booleans() | table({}, shift=lengths(0, 50), depth=lengths(0, 300)),
    max_slope=figures(0, 60),
    min_bowl=lengths(20, 1500),
    min_depth=lengths(5, 1000),
    setting_tolerance=lengths(0, 20),
    guard=st.sampled_from(["nominal", "worst"]),
    order=st.sampled_from(["inner-first", "outer-first"]),
    add_cuts=st.booleans(),
    pinned=st.lists(PINNED, max_size=3),
    cutters=st.lists(NAMES, max_size=2, unique=True),
)
CUTTERS = table(
    {"id": NAMES, "radius": lengths(20, 1000), "kerf": lengths(1, 19)},
    max_swing=figures(10, 180),
    section=st.tuples(lengths(1, 60), lengths(1, 100)).map(list),
    arc=figures(20, 350),
    holder=lengths(3, 200),
    relief_angle=figures(1, 60),
)
JAWS = table(
    {"id": NAMES, "true_circle": lengths(10, 600), "depth": lengths(4.5, 60)},
    measured_at=st.sampled_from(["mouth", "bottom"]),
    dovetail_angle=figures(0, 45),
    jaw_count=st.integers(2, 12),
    max_gap=lengths(0, 20),
)
PRINTS = table(
    {},
    paper=st.sampled_from(["a4", "letter", "a5", "a2", "140x140", "1200x1200"]),
    stock=st.lists(lengths(0.5, 100), min_size=1, max_size=8),
    parts=st.lists(st.sampled_from(DRAWN_KINDS).map(str), max_size=3),
    language=st.sampled_from(["en", "de"]),
    has_shop_set=st.booleans(),
)
LOGS = table(
    {"diameter": lengths(2001, 3000), "length": lengths(4001, 20_000)},
    pith=lengths(0, 1000),
    rim=st.sampled_from(["pith", "bark"]),
    end_trim=lengths(0, 2000),
    saw=lengths(0, 30),
)
UNITS = st.sampled_from(["mm", "in"])


def _once(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rows without those whose name has been had."""
    return list({row["id"]: row for row in rows}.values())


SHOPS: Tables = table(
    {"cutters": st.lists(CUTTERS, min_size=1, max_size=4).map(_once)},
    name=NAMES,
    jaws=st.lists(JAWS, max_size=4).map(_once),
    lathe=table(
        {},
        swing=lengths(50, 3000),
        centre_height=lengths(20, 1500),
        power=_said(50, 50000, "W") | _said(0.1, 60, "hp"),
        full_power_speed=figures(20, 5000),
        max_mass=_said(1, 5000, "kg") | _said(3, 10000, "lb"),
    ),
    chuck=table({}, max_mass=_said(1, 5000, "kg"), max_speed=figures(20, 5000)),
    post=table(
        {"min_offset": lengths(-500, 0), "max_offset": lengths(0, 500)},
        min_standoff=lengths(15, 500),
        pin=lengths(3, 16),
        body=lengths(16, 30),
    ),
    rules=table(
        {},
        max_coring_speed=figures(20, 1500),
        caution_share=figures(0.4, 0.75),
        refuse_share=figures(0.1, 0.4),
        dried_share=figures(0.1, 0.75),
        nest=NESTS,
        tenon=TENONS,
        print=PRINTS,
    ),
)
OWN_WOODS = table(
    {},
    radial=figures(0.1, 25),
    tangential=figures(0.1, 25),
    along=figures(0, 5),
    specific_gravity=figures(0.1, 1.3),
    green_moisture=figures(20, 300),
    tension_across=_said(0.1, 50, "MPa"),
    shear_along=_said(15, 14000, "psi"),
    side_hardness=_said(0.1, 50, "kN"),
    source=NAMES,
)


USUAL_JAWS = [(50.0, 9), (68.0, 12), (100.0, 14), (130.0, 14), (165.0, 16), (200.0, 16)]


@st.composite
def _usual_shop(draw: st.DrawFn) -> dict[str, Any]:
    """A shop as turners have them."""
    count = draw(st.integers(1, 6))
    radii = draw(st.lists(st.integers(50, 220), min_size=count, max_size=count))
    cutters = [
        {"id": f"R{radius}", "radius": radius, "kerf": draw(st.sampled_from([6, 8, 9, 10]))}
        for radius in dict.fromkeys(radii)
    ]
    jaws = [{"id": f"{circle:g}", "true_circle": circle, "depth": d} for circle, d in USUAL_JAWS]
    return {"cutters": cutters, "jaws": jaws, "name": "Shed (invented)"}


@st.composite
def _usual_job(draw: st.DrawFn) -> dict[str, Any]:
    """A job as turners have them."""
    blank = {"diameter": draw(st.integers(200, 500)), "height": draw(st.integers(80, 220))}
    nest = {"wall": draw(st.sampled_from(["10 %", "8 %", 20, "drying"])), "max_slope": 20}
    return {"blank": {**blank, "wood": draw(WOODS)}, "nest": nest, "title": "Invented"}


def _mixed(draw: st.DrawFn, usual: Any, wide: Any, one_in: int) -> Any:  # noqa: ANN401 - as drawn
    """The usual table with one in so many of its fields taken from the wide one."""
    mixed = dict(usual)
    for key, value in wide.items():
        if isinstance(value, dict) and key in usual:
            mixed[key] = _mixed(draw, usual[key], value, one_in)
        elif draw(st.integers(1, one_in)) == 1:
            mixed[key] = value
    return mixed


@st.composite
def _wide_job(draw: st.DrawFn) -> dict[str, Any]:
    """A job of any legal figures; a drawn outside runs down inside its blank."""
    blank: dict[str, Any] = {
        "diameter": draw(figures(50, 1500)),
        "height": draw(figures(20, 1000)),
        "wood": draw(WOODS),
        "outside": draw(st.sampled_from(["arc", "cylinder", "points"])),
    }
    keys = {"title": NAMES, "date": st.dates().map(str), "wood": OWN_WOODS, "log": LOGS}
    return {
        **draw(table({}, tenon=TENONS, print=PRINTS, **keys)),
        "blank": blank,
        "nest": draw(NESTS),
    }


def _points(draw: st.DrawFn, diameter: float, height: float) -> list[list[float]]:
    """Points from rim to shoulder: mostly of a bowl, sometimes of anything."""
    least = 0.01 if draw(st.integers(0, 3)) == 0 else 0.4
    radii = draw(st.lists(st.floats(least, 1), min_size=2, max_size=12))
    if least > 0.1:
        radii = [1.0, *sorted(radii, reverse=True)]
    ends = [0.0, *sorted(0.8 * draw(st.floats(0, 1)) for _ in radii[1:])]
    return [[r * diameter / 2, z * height] for r, z in zip(radii, ends, strict=True)]


@st.composite
def jobs_and_shops(
    draw: st.DrawFn, ones_in: tuple[int, ...] = (1, 3, 10, 30)
) -> tuple[dict[str, Any], dict[str, Any]]:
    """A job and a shop: usual ones with one in so many of their fields of any legal figure."""
    one_in = draw(st.sampled_from(ones_in))
    shop = _mixed(draw, draw(_usual_shop()), draw(SHOPS), one_in)
    job = _mixed(draw, draw(_usual_job()), draw(_wide_job()), one_in)
    blank, nest = job["blank"], job["nest"]
    if blank.get("outside") == "points":
        blank["outside"] = _points(draw, float(blank["diameter"]), float(blank["height"]))
    if draw(st.integers(0, 9)):  # else cutters that the shop may not have
        owned = st.sampled_from([cutter["id"] for cutter in shop["cutters"]])
        nest["cutters"] = [draw(owned)] if nest.get("cutters") else []
        nest["pinned"] = [{**pin, "cutter": draw(owned)} for pin in nest.get("pinned", [])]
    return job, shop


def in_unit(table: object, unit: str, *, of_length: bool = False) -> Any:  # noqa: ANN401 - a table
    """A job or shop table for a file of that unit: bare lengths become text in millimetres."""
    bare = {
        "diameter", "height", "outside", "wall", "finished_wall", "truing_margin", "floor",
        "height_above_centre", "shift", "depth", "min_bowl", "min_depth", "setting_tolerance",
        "entry_radius", "depth_at_axis", "pivot_offset", "pivot_standoff", "length", "shoulder",
        "stock", "radius", "kerf", "section", "true_circle", "max_gap", "swing", "centre_height",
        "min_standoff", "min_offset", "max_offset", "wanted", "wanted_tolerance", "holder", "pin",
        "body", "pith", "end_trim", "saw",
    }  # fmt: skip
    if isinstance(table, dict):
        changed = {k: in_unit(v, unit, of_length=k in bare) for k, v in table.items()}
        return {**changed, "units": unit} if "blank" in table or "jaws" in table else changed
    if isinstance(table, list):
        return [in_unit(v, unit, of_length=of_length) for v in table]
    if of_length and unit == "in" and isinstance(table, int | float) and table is not True:
        return f"{table:.9f} mm" if table is not False else False
    return table
