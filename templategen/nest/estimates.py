"""Wood, holding and driving of a finished plan: figures for card and tags, and findings.

Everything here is an estimate, never a rating; the makers' limits come first. Lengths mm,
masses kg, forces N, torques N·m, speeds rpm.
"""

import math
from dataclasses import dataclass

from templategen.messages import Figure, Joined, Message, Written, tr, tr_noop
from templategen.nest.identity import identity
from templategen.nest.plan import Bowl, Cut, Finding, Level, Plan, Rule
from templategen.nest.rules import required_wall
from templategen.trade import defaults, drying, lathe, tenon
from templategen.trade.jaws import COIN, Grip, Hold, choose_jaws, hold
from templategen.trade.records import Jaws
from templategen.trade.wood import Wood, wood_of, wood_problem
from templategen.units import Length, Units

LEAST_MARGIN = 0.0
VERY_HARD_N = defaults.VERY_HARD.value
HEIGHT_VERY_HARD = defaults.HEIGHT_VERY_HARD.value  # mm above centre
NO_DRIED_SIZES = {
    "radial": tr_noop("no radial shrinkage is known for {wood}: no dried sizes; give wood.radial"),
    "tangential": tr_noop(
        "no tangential shrinkage is known for {wood}: no dried sizes; give wood.tangential"
    ),
}
SPEED_STEP = 10.0  # rpm; speeds are rounded down to it
NEAR = 0.4  # mm; less than a turner can mark: a wall short by less is no finding
POUND_KG = 0.45359237  # kilograms in a pound, NIST SP 811
POUND_N = 4.448222  # newtons in a pound-force, NIST SP 811
POUND_FOOT_NM = 1.355818  # newton metres in a pound-force foot, NIST SP 811
FOOT_M = 0.3048  # metres in a foot, exact


@dataclass(frozen=True, slots=True, kw_only=True)
class Mass:
    """Least and greatest mass, kg; `at_most` where only the water it can hold is known."""

    low: float
    high: float
    at_most: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BowlFigures:
    """What the wood and the jaws make of a bowl; None where a figure is not known.

    Args:
        number: of the bowl.
        identity: what its tag is called.
        thumb_wall: a tenth of the rim (common practice, no source), mm.
        wall: as parted, or for the solid core the wall that is to be left in it, mm.
        wanted_left: finished wall and truing margin, mm.
        dried: the size at the final moisture.
        dried_tenon: short and long diameter of the tenon at the final moisture, mm.
        dried_jaws: the shop's jaws that hold that tenon once it is turned true again.
        hold: how the jaws hold it while green.
        strength: over a tenon of half the rim, d³.
        break_force: at the rim, square to the axis, N: an estimate.
        margin: break estimate over the motor's steady force at that place.
        wet: green mass.
        dry_mass: ovendry, kg.
        target_mass: at the final moisture, kg.
        target_share: mass at the final moisture over the green mass, least and greatest.
    """

    number: int
    identity: str
    thumb_wall: float
    wall: float | None
    wanted_left: float
    dried: drying.Dried | None
    dried_tenon: tuple[float, float] | None
    dried_jaws: Jaws | None
    hold: Hold | None
    strength: float
    break_force: float | None
    margin: float | None
    wet: Mass | None
    dry_mass: float | None
    target_mass: float | None
    target_share: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFigures:
    """What the lathe does at a cut.

    Args:
        number: of the cut.
        tip_force: the motor's whole power at the entry, N; None without the lathe's power.
        droop: of the cutter's tip under that force, held at the pivot's line, mm; None without
            the cutter's section too.
    """

    number: int
    tip_force: float | None
    droop: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Wood, holding and driving of a plan.

    Args:
        wood: the job's wood, or None.
        mass: of the whole green blank.
        rough_speed: 6000 over the inches across, rpm; common practice, no source.
        rule_speed: 9000 over the inches across, rpm; common practice, no source.
        coring_speed: the slowest of the shop's cap, the rule and the chuck's limit, rpm.
        start_speed: where to begin: the rule's slow end, not above the coring speed, rpm.
        rim_speed: at the coring speed, m/s.
        torque: of the motor at the coring speed, N·m.
        least_height: the cutter above centre that its droop asks for, mm.
        bowls: by number.
        cuts: by number, from the rim.
    """

    wood: Wood | None
    mass: Mass | None
    rough_speed: float
    rule_speed: float
    coring_speed: float
    start_speed: float
    rim_speed: float
    torque: float | None
    least_height: float | None
    bowls: tuple[BowlFigures, ...]
    cuts: tuple[CutFigures, ...]


def figures_of(plan: Plan) -> Figures:
    """The figures of a plan's wood, holding and driving."""
    wood = wood_of(plan.job)
    blank, shop = plan.job.blank, plan.shop
    rough, rule = lathe.speed_rule(blank.diameter)
    limits = [shop.rules.max_coring_speed, rule]
    if shop.chuck.max_speed is not None:
        limits.append(shop.chuck.max_speed)
    speed = _stepped(min(limits))
    torque = None if shop.lathe.power_w is None else lathe.torque(shop.lathe.power_w, speed)
    cuts = tuple(_cut(cut, torque) for cut in plan.cuts)
    droops = [cut.droop for cut in cuts if cut.droop is not None]
    return Figures(
        wood=wood,
        mass=_mass(math.pi * blank.diameter**2 / 4 * blank.height, wood),
        rough_speed=rough,
        rule_speed=rule,
        coring_speed=speed,
        start_speed=min(speed, _stepped(rough)),
        rim_speed=lathe.rim_speed(blank.diameter, speed),
        torque=torque,
        least_height=max(droops) if droops else None,
        bowls=tuple(_bowl(plan, bowl, wood, torque, cuts) for bowl in plan.bowls),
        cuts=cuts,
    )


def _stepped(speed: float) -> float:
    return max(SPEED_STEP, math.floor(speed / SPEED_STEP + 1e-9) * SPEED_STEP)


def _cut(cut: Cut, torque: float | None) -> CutFigures:
    force = None if torque is None else lathe.tip_force(torque, cut.entry_radius)
    droop = None
    if force is not None and cut.cutter.section is not None:
        droop = lathe.cutter_droop(
            force,
            radius=cut.cutter.radius,
            section=cut.cutter.section,
            angle=math.acos(-cut.pivot_offset / cut.cutter.radius),
        )
    return CutFigures(number=cut.number, tip_force=force, droop=droop)


def _mass(volume: float, wood: Wood | None) -> Mass | None:
    """Green mass of a volume in mm³, or None without the wood's specific gravity."""
    if wood is None or wood.specific_gravity is None:
        return None
    gravity, moisture = wood.specific_gravity, wood.green_moisture
    if moisture is None:
        full = drying.density(gravity, drying.most_water(gravity))
        return Mass(low=volume / 1e9 * full, high=volume / 1e9 * full, at_most=True)
    low, high = (
        volume / 1e9 * drying.density(gravity, m, volumetric_percent=wood.volumetric)
        for m in moisture
    )
    return Mass(low=low, high=high, at_most=False)


def _bowl(
    plan: Plan,
    bowl: Bowl,
    wood: Wood | None,
    torque: float | None,
    cuts: tuple[CutFigures, ...],
) -> BowlFigures:
    job, jaws = plan.job, bowl.jaws
    nest = job.nest
    wet = _mass(bowl.volume, wood)
    dry = target = share = None
    if wood is not None and wood.specific_gravity is not None:
        dry = drying.dry_mass(bowl.volume, wood.specific_gravity)
        target = drying.mass_at(dry, nest.final_moisture)
        if wet is not None and not wet.at_most:
            share = (target / wet.high, target / wet.low)
    force = margin = None
    if wood is not None and wood.tension_perp_kpa is not None:
        angle = jaws.dovetail_angle if jaws else 0.0
        root = tenon.root_diameter(bowl.tenon_diameter, bowl.tenon_length, angle)
        force = tenon.break_force(root, wood.tension_perp_kpa, bowl.depth)
        if torque is not None:
            steady = lathe.tip_force(torque, bowl.rim_diameter / 2)
            if bowl.number == 0:  # holds the blank at every cut
                steady = max([steady, *[c.tip_force for c in cuts if c.tip_force is not None]])
            margin = force / steady
    dried, dried_tenon = _dried(plan, bowl, wood), _dried_tenon(plan, bowl, wood)
    return BowlFigures(
        number=bowl.number,
        identity=identity(job, bowl.number),
        thumb_wall=drying.rule_of_thumb_wall(bowl.rim_diameter),
        wall=bowl.wall,
        wanted_left=nest.finished_wall + nest.truing_margin,
        dried=dried,
        dried_tenon=dried_tenon,
        dried_jaws=_dried_jaws(plan, dried, dried_tenon),
        hold=hold(
            jaws,
            neck=bowl.tenon_diameter,
            length=bowl.tenon_length,
            rim_diameter=bowl.rim_diameter,
        )
        if jaws
        else None,
        strength=tenon.strength_share(bowl.tenon_diameter, bowl.rim_diameter),
        break_force=force,
        margin=margin,
        wet=wet,
        dry_mass=dry,
        target_mass=target,
        target_share=share,
    )


def _dried(plan: Plan, bowl: Bowl, wood: Wood | None) -> drying.Dried | None:
    nest = plan.job.nest
    across = None if wood is None else wood.across(nest.across)
    if wood is None or across is None:
        return None
    other = "tangential" if nest.across == "radial" else "radial"
    wall = bowl.wall
    if wall is None:  # the solid core is hollowed to the wall the job asks of it
        wall = min(required_wall(plan.job, rim_radius=bowl.rim_diameter / 2), bowl.rim_diameter / 2)
    return drying.dried_size(
        rim_diameter=bowl.rim_diameter,
        wall=wall,
        depth=bowl.depth,
        across_percent=across,
        along_percent=wood.along,
        depth_percent=wood.across(other),
        final_moisture=nest.final_moisture,
    )


def _dried_tenon(plan: Plan, bowl: Bowl, wood: Wood | None) -> tuple[float, float] | None:
    nest = plan.job.nest
    across = None if wood is None else wood.across(nest.across)
    if wood is None or across is None:
        return None
    sizes = [
        bowl.tenon_diameter * (1 - drying.shrinkage(percent, nest.final_moisture))
        for percent in (across, wood.along)
    ]
    return min(sizes), max(sizes)


def _dried_jaws(
    plan: Plan, dried: drying.Dried | None, dried_tenon: tuple[float, float] | None
) -> Jaws | None:
    """The largest of the shop's jaws that close on the dried tenon and hold enough of the rim."""
    if dried is None or dried_tenon is None:
        return None
    return choose_jaws(
        [j for j in plan.shop.jaws if j.true_circle <= dried_tenon[0]],
        rim_diameter=dried.circle,
        share=dried_tenon[0] / dried.circle,
        refuse_share=plan.shop.rules.refuse_share,
    )


def estimate_findings(plan: Plan) -> list[Finding]:
    """What wood, holding and driving have to say of a plan: stop, caution or note, with why.

    The shares of the tenons and the swing of the lathe are judged where the plan is made.
    """
    figures = figures_of(plan)
    return [
        *_wood_findings(plan, figures),
        *_wall_findings(plan, figures),
        *_mass_findings(plan, figures),
        *_drive_findings(plan, figures),
        *_tenon_findings(plan, figures),
    ]


def _finding(level: Level, rule: Rule, text: Message) -> Finding:
    return Finding(level=level, rule=rule, text=text)


def _wood_findings(plan: Plan, figures: Figures) -> list[Finding]:
    wood = figures.wood
    found: list[Finding] = []
    if wood is None:
        text = tr("the job names no wood: no dried sizes, masses or strengths; give blank.wood")
        return [_finding(Level.NOTE, Rule.WOOD, text)]
    problem = wood_problem(plan.job)
    if problem is not None:
        level = Level.CAUTION if plan.job.wood is None else Level.NOTE
        found.append(_finding(level, Rule.WOOD, problem))
    if wood.rests_on_one_page:
        text = tr("the shrinkage of {wood} rests on one secondary page", wood=wood.shown_name)
        found.append(_finding(Level.NOTE, Rule.WOOD, text))
    if problem is None and wood.across(plan.job.nest.across) is None:
        text = tr(NO_DRIED_SIZES[plan.job.nest.across], wood=wood.shown_name)
        found.append(_finding(Level.NOTE, Rule.WOOD, text))
    hardness, height = wood.side_hardness_n, plan.job.nest.height_above_centre
    if hardness is not None and hardness >= VERY_HARD_N and height < HEIGHT_VERY_HARD - 1e-9:
        units = plan.job.units
        text = tr(
            "{wood} is very hard (side hardness {hardness:.0f} N): {usual} above centre is usual, "
            "set are {height} (common practice, no source)",
            wood=wood.shown_name,
            hardness=hardness,
            usual=Length(HEIGHT_VERY_HARD, units, decimals=False),
            height=Length(height, units, decimals=False),
        )
        found.append(_finding(Level.NOTE, Rule.CUTTER_HEIGHT, text))
    return found


def _wall_findings(plan: Plan, figures: Figures) -> list[Finding]:
    units, found = plan.job.units, []

    def shown(length: float) -> Length:
        return Length(length, units, decimals=False)

    thin = [
        tr(
            "bowl {number}: {wall} against {tenth}",
            number=p.number,
            wall=shown(p.wall),
            tenth=shown(p.thumb_wall),
        )
        for p in figures.bowls
        if p.wall is not None and p.wall < p.thumb_wall - NEAR
    ]
    for p in figures.bowls:
        if p.wall is None or p.dried is None or p.dried.wall_left is None:
            continue
        if p.dried.wall_left < p.wanted_left - NEAR:
            text = tr(
                "bowl {number}: its wall of {wall} leaves about {left} when the dried oval is "
                'turned true; finished wall and margin ask {wanted}; wall = "drying" gives enough',
                number=p.number,
                wall=shown(p.wall),
                left=shown(p.dried.wall_left),
                wanted=shown(p.wanted_left),
            )
            found.append(_finding(Level.CAUTION, Rule.DRYING_WALL, text))
    if thin:
        text = tr(
            "thinner than a tenth of the diameter, the rule of thumb (common practice, no "
            "source): {thin}",
            thin=Joined(tuple(thin), ", "),
        )
        found.append(_finding(Level.NOTE, Rule.TENTH_OF_DIAMETER, text))
    return found


def _mass_findings(plan: Plan, figures: Figures) -> list[Finding]:
    units = plan.job.units

    def whole(mass_kg: float) -> Figure:
        if units is Units.IN:
            return Figure(mass_kg / POUND_KG, ".0f", " lb")
        return Figure(mass_kg, ".0f", " kg")

    mass = figures.mass
    stated = [
        (tr(template, limit=whole(limit)), limit)
        for template, limit in (
            (tr_noop("the {limit} limit of the lathe"), plan.shop.lathe.max_mass_kg),
            (tr_noop("the {limit} limit of the chuck"), plan.shop.chuck.max_mass_kg),
        )
        if limit is not None
    ]
    if mass is None:
        if not stated:
            return []
        limits = stated[0][0]
        if len(stated) > 1:
            limits = tr("{one} and {other}", one=limits, other=stated[1][0])
        text = tr("the blank's mass is not known: weigh it against {limits}", limits=limits)
        return [_finding(Level.NOTE, Rule.MASS, text)]
    found: list[Finding] = []
    for shown, limit in stated:
        if mass.low > limit and not mass.at_most:
            text = tr(
                "the green blank weighs about {mass} by estimate, over {limit}; take a smaller "
                "blank or rough it first",
                mass=mass_text(mass, units=units),
                limit=shown,
            )
            found.append(_finding(Level.STOP, Rule.MASS, text))
        elif mass.high > limit:
            text = tr(
                "the green blank may weigh {mass} by estimate, over {limit}; weigh it",
                mass=whole(mass.high),
                limit=shown,
            )
            found.append(_finding(Level.CAUTION, Rule.MASS, text))
    return found


def _drive_findings(plan: Plan, figures: Figures) -> list[Finding]:
    found: list[Finding] = []
    shop, units = plan.shop, plan.job.units
    if figures.coring_speed < shop.rules.max_coring_speed - SPEED_STEP:
        limit = shop.chuck.max_speed
        if limit is None or figures.rule_speed < limit:
            text = tr(
                "core this blank at {speed:.0f} rpm or slower: diameter in inches times rpm stays "
                "under 9000 (common practice, no source)",
                speed=figures.coring_speed,
            )
        else:
            text = tr(
                "core this blank at {speed:.0f} rpm or slower: the chuck's own limit is "
                "{limit:.0f} rpm",
                speed=figures.coring_speed,
                limit=limit,
            )
        found.append(_finding(Level.CAUTION, Rule.SPEED, text))
    power = shop.lathe.power_w
    if power is not None and power < lathe.LEAST_POWER_W - 1:
        text = tr(
            "the motor gives {power:.2f} kW; 1.1 kW (1.5 hp) is the least for coring "
            "(common practice, no source): smaller cutters, light feed, slowest pulley",
            power=power / 1000,
        )
        found.append(_finding(Level.CAUTION, Rule.POWER, text))
    height = plan.job.nest.height_above_centre
    for cut in figures.cuts:
        if cut.droop is not None and cut.droop > height + 1e-9:
            text = tr(
                "cut {number}: cutter {cutter} bends about {droop} down at the motor's full power, "
                "more than the {height} it is set above centre: set it higher, or take a stouter "
                "cutter; an estimate",
                number=cut.number,
                cutter=plan.cuts[cut.number - 1].cutter.id,
                droop=Length(cut.droop, units, decimals=False),
                height=Length(height, units, decimals=False),
            )
            found.append(_finding(Level.CAUTION, Rule.DROOP, text))
    return found


def _tenon_findings(plan: Plan, figures: Figures) -> list[Finding]:
    found: list[Finding] = []
    units = plan.job.units
    wide = {
        p.hold.jaws.id: p.hold.jaws
        for p in figures.bowls
        if p.hold is not None and p.hold.jaws.max_gap > COIN
    }
    for jaws in wide.values():
        text = tr(
            "jaws {jaws}: a gap of {gap} is more than a coin's thickness; opened so far they grip "
            "at the edges (common practice, no source)",
            jaws=jaws.id,
            gap=Length(jaws.max_gap, units, decimals=False),
        )
        found.append(_finding(Level.NOTE, Rule.JAWS, text))
    for p in figures.bowls:
        if p.margin is not None and p.break_force is not None and p.margin < LEAST_MARGIN:
            text = tr(
                "bowl {number}: by estimate its tenon breaks at about {force} at the rim, only "
                "{margin:.1f} times the motor's steady force; a larger tenon or lighter cuts. "
                "An estimate, not a rating",
                number=p.number,
                force=force_text(p.break_force, units=units),
                margin=p.margin,
            )
            found.append(_finding(Level.CAUTION, Rule.TENON_STRENGTH, text))
        if p.hold is not None and p.hold.grip is Grip.EDGES:
            text = tr(
                "bowl {number}: jaws {jaws} grip at the edges; turn the tenon to {size} for the "
                "full circle",
                number=p.number,
                jaws=p.hold.jaws.id,
                size=Length(p.hold.closed, units, decimals=False),
            )
            found.append(_finding(Level.CAUTION, Rule.JAWS, text))
    return found


def mass_text(mass: Mass, *, units: Units = Units.MM) -> Written:
    """A mass as printed, such as ``22.3 to 23.9 kg``; the caller adds ``about``."""
    if units.is_both:
        return _both(*(mass_text(mass, units=unit) for unit in units.shown))
    low, high = (_mass_figure(m, units) for m in (mass.low, mass.high))
    if mass.at_most:
        return tr("at most {most}", most=high)
    if format(low.value, low.spec) == format(high.value, high.spec):
        return high
    return tr("{low} to {high}", low=Figure(low.value, low.spec), high=high)


def mass_number(mass_kg: float, *, units: Units = Units.MM) -> Written:
    """One mass as printed: to 10 g, or 0.01 lb; to a tenth from 10 up."""
    if units.is_both:
        return _both(*(mass_number(mass_kg, units=unit) for unit in units.shown))
    return _mass_figure(mass_kg, units)


def _mass_figure(mass_kg: float, units: Units) -> Figure:
    value, unit = (mass_kg / POUND_KG, " lb") if units is Units.IN else (mass_kg, " kg")
    return Figure(value, ".1f" if value >= 10 else ".2f", unit)


def force_text(force: float, *, units: Units = Units.MM) -> Written:
    """A force as printed, to two figures: N and kN, or pounds-force."""
    if units.is_both:
        return _both(*(force_text(force, units=unit) for unit in units.shown))
    value, unit = (force / POUND_N, " lbf") if units is Units.IN else (force, " N")
    if value >= 1000 and units is Units.MM:
        value, unit = value / 1000, " kN"
    return _two_figures(value, unit)


def speed_text(speed: float, *, units: Units = Units.MM) -> Written:
    """A rim speed as printed: m/s, or feet per second."""
    if units.is_both:
        return _both(*(speed_text(speed, units=unit) for unit in units.shown))
    if units is Units.IN:
        return Figure(speed / FOOT_M, ".0f", " ft/s")
    return Figure(speed, ".1f", " m/s")


def torque_text(torque: float, *, units: Units = Units.MM) -> Written:
    """A torque as printed, to two figures: N·m, or pound-force feet."""
    if units.is_both:
        return _both(*(torque_text(torque, units=unit) for unit in units.shown))
    if units is Units.IN:
        return _two_figures(torque / POUND_FOOT_NM, " lbf·ft")
    return _two_figures(torque, " N·m")


def _both(main: Written, other: Written) -> Written:
    """A figure in both systems, as lengths are printed in both units."""
    return Joined((main, " (", other, ")"), "")


def _two_figures(value: float, unit: str) -> Figure:
    places = 1 - math.floor(math.log10(value)) if value > 0 else 0
    return Figure(round(value, places), f".{max(0, places)}f", unit)
