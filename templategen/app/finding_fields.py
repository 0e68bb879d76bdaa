"""Which field of the forms a finding speaks of, so that a page can take a person there."""

from templategen.nest.plan import Finding, Plan, Rule
from templategen.trade.records import Jaws

# Rules whose field does not depend on the plan; those of no field are left out.
FIELDS: dict[Rule, str] = {
    Rule.WALL: "nest.wall",
    Rule.FLOOR: "nest.floor",
    Rule.TENON_STOCK: "nest.min_depth",
    Rule.BOWL_SIZE: "nest.min_bowl",
    Rule.BOWL_SHAPE: "nest.min_ratio",
    Rule.LATHE: "blank.diameter",
    Rule.EVEN_WALL: "nest.objective",
    Rule.RELEASE: "blank.wood",
    Rule.RUB: "nest.height_above_centre",
    Rule.TOLERANCE: "nest.setting_tolerance",
    Rule.WANTED: "nest.wanted",
    Rule.WOOD: "blank.wood",
    Rule.CUTTER_HEIGHT: "nest.height_above_centre",
    Rule.DRYING_WALL: "nest.wall",
    Rule.TENTH_OF_DIAMETER: "nest.wall",
    Rule.MASS: "blank.diameter",
    Rule.POWER: "lathe.power",
    Rule.DROOP: "nest.height_above_centre",
}
OF_CUTTERS = {Rule.REACH: "arc", Rule.BLADE: "section"}
OF_TENONS = (Rule.TENON_SHARE, Rule.HELD_AGAIN, Rule.JAWS)


def field_of(finding: Finding, plan: Plan) -> tuple[str, str] | None:
    """Document (job or shop) and key of the field that a finding speaks of.

    Args:
        finding: of the plan.
        plan: its rows of cutters and jaws are those of the form.

    Returns: a key as a fault names it, such as ``cutters[2].arc``; None where no field would
        change what is said, or where it is the setting of one cut.
    """
    rule = finding.rule
    if rule in OF_CUTTERS and finding.places:
        number = _cutter_number(finding, plan, key=OF_CUTTERS[rule])
        return None if number is None else ("shop", f"cutters[{number}].{OF_CUTTERS[rule]}")
    if rule is Rule.CUTTER and not finding.places:  # no cutter frees a bowl as large as wished
        return "job", "nest.min_bowl"
    if rule is Rule.LOG:
        is_short = plan.log is not None and plan.log.count == 0
        return "job", "log.length" if is_short else "log.diameter"
    if rule in OF_TENONS and finding.places:
        bowls = [bowl for bowl in plan.bowls if bowl.place in finding.places]
        if bowls and bowls[0].jaws is None:
            return "shop", f"jaws[{_largest(plan.shop.jaws)}].true_circle"
        return "job", "tenon.share" if "bowl-1" in finding.places else "tenon.core_share"
    if rule not in FIELDS:
        return None
    return "shop" if FIELDS[rule].startswith("lathe.") else "job", FIELDS[rule]


def _cutter_number(finding: Finding, plan: Plan, *, key: str) -> int | None:
    """The row of the first cutter of a finding, one that lacks the figure before the others."""
    used = [cut.cutter.id for cut in plan.cuts if cut.place in finding.places]
    rows = [n for n, cutter in enumerate(plan.shop.cutters, 1) if cutter.id in used]
    lacking = [n for n in rows if getattr(plan.shop.cutters[n - 1], key) is None]
    return next(iter([*lacking, *rows]), None)


def _largest(jaws: tuple[Jaws, ...]) -> int:
    """The row of the largest jaws; 1 where there are none."""
    return max(range(len(jaws)), key=lambda n: jaws[n].true_circle, default=0) + 1
