"""Wood, holding and driving of a finished plan: figures for card and tags, and findings.

Everything here is an estimate, never a rating; the makers' limits come first. Lengths mm,
masses kg, forces N, torques N·m, speeds rpm.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from templategen.geometry.ring_shrinkage import dried_rim
from templategen.messages import Figure, Joined, Message, Written, tr, tr_noop
from templategen.nest.findings import named_cuts
from templategen.nest.identity import identity
from templategen.nest.plan import (
    Bowl,
    Cut,
    Finding,
    Plan,
    Rule,
    SpeedLimits,
    caution,
    note,
    stop,
)
from templategen.nest.plan_figures import (
    Driving,
    driving_of,
    green_density,
    log_radius,
    rim_to_pith,
    ring_shrinkage,
    speed_limits,
    speed_of,
    tenon_when_dry,
)
from templategen.nest.rules import wall_line
from templategen.trade import defaults, drying, lathe, tenon
from templategen.trade.choices import LogRim
from templategen.trade.holding_again import green_tenon_mend
from templategen.trade.jaws import COIN, GREATEST_SHARE, Grip, closed_neck, grip_of
from templategen.trade.log import cylinder_profile
from templategen.trade.quantities import NEWTONS, POUND_KG
from templategen.trade.speed import SpeedBound
from templategen.trade.wood import Wood, wood_of, wood_problem
from templategen.units import Length, Units

VERY_HARD_N = defaults.VERY_HARD.value
HEIGHT_VERY_HARD = defaults.HEIGHT_VERY_HARD.value  # mm above centre
NEAR = 0.4  # mm; less than a turner can mark: a wall short by less is no finding
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
        wall: as parted, mm; None for the solid core.
        wall_left: of the dried bowl turned true, mm; None too for a core that has none to lose.
        grip: where the jaws touch its green tenon.
        strength: over a tenon of half the rim, d³.
        break_force: at the rim, square to the axis, that breaks the tenon in bending or in shear,
            N: an estimate.
        wet: green mass.
        dry_mass: ovendry, kg.
        target_mass: at the final moisture, kg, never above the green mass.
        target_share: mass at the final moisture over the green mass, least and greatest, at most 1.
    """

    number: int
    identity: str
    wall: float | None
    wall_left: float | None
    grip: Grip | None
    strength: float
    break_force: float | None
    wet: Mass | None
    dry_mass: float | None
    target_mass: float | None
    target_share: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Wood, holding and driving of a plan.

    Args:
        wood: the job's wood, or None.
        mass: of the whole green blank.
        speed: limit while coring, start and energy.
        rim_speed: at the limit, m/s.
        driving: full power of the motor; None without the lathe's power.
        bowls: by number.
    """

    wood: Wood | None
    mass: Mass | None
    speed: SpeedLimits
    rim_speed: float
    driving: Driving | None
    bowls: tuple[BowlFigures, ...]


def figures_of(plan: Plan) -> Figures:
    """The figures of a plan's wood, holding and driving."""
    wood, blank = wood_of(plan.job), plan.job.blank
    speed = speed_limits(plan, wood)
    return Figures(
        wood=wood,
        mass=_mass(math.pi * blank.diameter**2 / 4 * blank.height, wood),
        speed=speed,
        rim_speed=lathe.rim_speed(blank.diameter, speed.max_rpm),
        driving=driving_of(plan),
        bowls=tuple(_bowl(plan, bowl, wood) for bowl in plan.bowls),
    )


def _mass(volume: float, wood: Wood | None) -> Mass | None:
    """Green mass of a volume in mm³, or None without the wood's specific gravity."""
    found = green_density(wood)
    if wood is None or found is None:
        return None
    low, high = (volume / 1e9 * one for one in found)
    return Mass(low=low, high=high, at_most=wood.green_moisture is None)


def _bowl(plan: Plan, bowl: Bowl, wood: Wood | None) -> BowlFigures:
    wet = _mass(bowl.volume, wood)
    dry = target = share = grip = None
    if bowl.jaws is not None:
        grip = grip_of(bowl.jaws, neck=bowl.tenon_diameter, length=bowl.tenon_length)
    if wood is not None and wood.specific_gravity is not None and wet is not None:
        dry = drying.dry_mass(bowl.volume, wood.specific_gravity)
        target = min(drying.mass_at(dry, plan.job.nest.final_moisture), wet.high)
        if not wet.at_most:
            share = (target / wet.high, min(1.0, target / wet.low))
    return BowlFigures(
        number=bowl.number,
        identity=identity(plan.job, bowl.number),
        wall=bowl.wall,
        wall_left=_wall_left(plan, bowl, wood),
        grip=grip,
        strength=tenon.strength_share(bowl.tenon_diameter, bowl.rim_diameter),
        break_force=_break_force(bowl, wood),
        wet=wet,
        dry_mass=dry,
        target_mass=target,
        target_share=share,
    )


def _break_force(bowl: Bowl, wood: Wood | None) -> float | None:
    """Force at the rim that breaks the tenon: the lesser of bending and one jaw's share in shear.

    None without jaws, or where one of the two strengths is not known.
    """
    if wood is None or wood.tension_perp_kpa is None or wood.shear_parallel_kpa is None:
        return None
    if bowl.jaws is None:
        return None
    bending = tenon.bending_moment(bowl.tenon_diameter, wood.tension_perp_kpa)
    shear = tenon.shear_moment(
        bowl.tenon_diameter,
        length=bowl.tenon_length,
        jaw_count=bowl.jaws.jaw_count,
        shear_kpa=wood.shear_parallel_kpa,
    )
    return tenon.break_force((bending, shear), bowl.depth)


def _wall_left(plan: Plan, bowl: Bowl, wood: Wood | None) -> float | None:
    """The wall of the dried bowl turned true, mm; None where it is not known.

    From its largest true circle to the smallest circle that takes all of the inside, which is as
    wide as the inside is long along the grain.
    """
    rings = ring_shrinkage(plan.job, wood)
    if rings is None or bowl.dried is None:
        return None
    wall, rim = bowl.wall, bowl.rim_diameter / 2
    if wall is None:  # the solid core is hollowed to the wall the job asks of it
        wall = min(wall_line(plan.job).at(rim), rim)
    if wall >= rim:
        return None
    inside = dried_rim(rim - wall, rim_to_pith=rim_to_pith(plan.job), shrinkage=rings)
    return (bowl.dried.largest_circle - max(inside.along, inside.across)) / 2


def estimate_findings(plan: Plan) -> list[Finding]:
    """What wood, holding and driving have to say of a plan: stop, caution or note, with why.

    The shares of the tenons and rule 10 are judged where the plan is made.
    """
    figures = figures_of(plan)
    return [
        *_wood_findings(plan, figures),
        *_log_findings(plan),
        *_wall_findings(plan, figures),
        *_mass_findings(plan, figures),
        *_drive_findings(plan, figures),
        *_release_findings(plan, figures),
        *_jaws_findings(plan, figures),
        *_held_again_findings(plan, figures),
    ]


def _wood_findings(plan: Plan, figures: Figures) -> list[Finding]:
    wood = figures.wood
    found: list[Finding] = []
    if wood is None:
        text = tr("the job names no wood: no dried sizes, masses or strengths; give blank.wood")
        return [note(Rule.WOOD, text)]
    problem = wood_problem(plan.job)
    if problem is not None:
        about_wood = caution if plan.job.wood is None else note
        found.append(about_wood(Rule.WOOD, problem))
    if wood.rests_on_one_page:
        text = tr("the shrinkage of {wood} rests on one secondary page", wood=wood.shown_name)
        found.append(note(Rule.WOOD, text))
    if problem is None and wood.tangential is None:
        text = tr(
            "no tangential shrinkage is known for {wood}: no dried sizes; give wood.tangential",
            wood=wood.shown_name,
        )
        found.append(note(Rule.WOOD, text))
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
        found.append(note(Rule.CUTTER_HEIGHT, text))
    return found


def _log_findings(plan: Plan) -> Iterator[Finding]:
    """Whether the log gives the blank."""
    log, fit, blank, units = plan.job.log, plan.log, plan.job.blank, plan.job.units
    if log is None and any(bowl.dried is not None for bowl in plan.bowls):
        text = tr(
            "dried shapes are for a rim {pith} from the pith, towards it: no log is stated",
            pith=Length(rim_to_pith(plan.job), units),
        )
        yield note(Rule.LOG, text)
    if log is None or fit is None:
        return
    if fit.diameter_needed > log.diameter + NEAR:
        text = tr(
            "the log is too thin: the blank needs {needed} of wood under the bark, the log has "
            "{has}",
            needed=Length(fit.diameter_needed, units),
            has=Length(log.diameter, units),
        )
        yield stop(Rule.LOG, text)
    else:
        disc = 2 * log_radius(
            log, tuple(cylinder_profile(blank.diameter, blank.height)), height=blank.height
        )
        if disc > log.diameter + NEAR:
            text = tr(
                "the disc keeps bark at its {side}: turn it slowly until it is round",
                side=tr("foot") if log.rim is LogRim.PITH else tr("rim"),
            )
            yield note(Rule.LOG, text)
    if fit.count == 0:
        text = tr(
            "the log is too short: a disc of {diameter} with {trim} off each end needs {needed}",
            diameter=Length(blank.diameter, units),
            trim=Length(log.end_trim, units),
            needed=Length(blank.diameter + 2 * log.end_trim, units),
        )
        yield stop(Rule.LOG, text)


def _wall_findings(plan: Plan, figures: Figures) -> Iterator[Finding]:
    nest, units = plan.job.nest, plan.job.units
    wanted = nest.finished_wall + nest.truing_margin

    def shown(length: float) -> Length:
        return Length(length, units, decimals=False)

    thin: list[Message] = []
    short: list[Message] = []
    places: list[str] = []
    for bowl, known in zip(plan.bowls, figures.bowls, strict=True):
        name, tenth, left = bowl.shown_name, bowl.rim_diameter / 10, known.wall_left
        if bowl.wall is None:
            continue
        if bowl.wall < tenth - NEAR:
            wall = shown(bowl.wall)
            thin.append(
                tr("{bowl}: {wall} against {tenth}", bowl=name, wall=wall, tenth=shown(tenth))
            )
        if left is not None and left < wanted - NEAR:
            short.append(tr("{bowl} keeps about {left}", bowl=name, left=shown(max(0.0, left))))
            places.append(bowl.place)
    if short:
        text = tr(
            'dried and turned true, walls are under the {wanted} wished: {short}; wall = "drying" '
            "gives enough",
            wanted=shown(wanted),
            short=Joined(tuple(short), ", "),
        )
        yield caution(Rule.DRYING_WALL, text, *places)
    if thin:
        text = tr(
            "thinner than a tenth of the diameter, the rule of thumb (common practice, no "
            "source): {thin}",
            thin=Joined(tuple(thin), ", "),
        )
        yield note(Rule.TENTH_OF_DIAMETER, text)


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
        return [note(Rule.MASS, text)]
    found: list[Finding] = []
    for shown, limit in stated:
        if mass.low > limit and not mass.at_most:
            text = tr(
                "the green blank weighs about {mass} by estimate, over {limit}; take a smaller "
                "blank or rough it first",
                mass=mass_text(mass, units=units),
                limit=shown,
            )
            found.append(stop(Rule.MASS, text))
        elif mass.high > limit:
            text = tr(
                "the green blank may weigh {mass} by estimate, over {limit}; weigh it",
                mass=whole(mass.high),
                limit=shown,
            )
            found.append(caution(Rule.MASS, text))
    return found


def _drive_findings(plan: Plan, figures: Figures) -> Iterator[Finding]:
    shop, limit = plan.shop, speed_of(plan.job, plan.shop)
    if limit.bound is not SpeedBound.CAP:
        ground = {
            SpeedBound.MAKER: tr("the chuck's own limit"),
            SpeedBound.DIAMETER: tr("6000 over the inches across; common practice, no source"),
        }[limit.bound]
        text = tr(
            "core this blank at {speed:.0f} rpm at most ({ground}), start at {start:.0f}",
            speed=limit.shown,
            ground=ground,
            start=limit.start,
        )
        yield caution(Rule.SPEED, text)
    energy = figures.speed.energy_j
    if energy is not None and plan.cuts:
        text = tr(
            "at {speed:.0f} rpm the blank holds about {energy}: a catch can break any tenon",
            speed=limit.shown,
            energy=energy_text(energy, units=plan.job.units),
        )
        yield note(Rule.TENON_STRENGTH, text)
    power = shop.lathe.power_w
    if power is not None and power < lathe.LEAST_POWER_W - 1:
        text = tr(
            "the motor gives {power:.2f} kW; 1.1 kW (1.5 hp) is the least for coring "
            "(common practice, no source): smaller cutters, light feed, slowest pulley",
            power=power / 1000,
        )
        yield caution(Rule.POWER, text)
    low = [c for c in plan.cuts if c.droop_radius is not None and c.droop_radius > c.entry_radius]
    if low:
        text = tr(
            "at full power the cutter bends below centre at the entry already: {cuts}; light "
            "feed, or set it higher",
            cuts=named_cuts(low),
        )
        yield caution(Rule.DROOP, text, *(cut.place for cut in low))


def _release_findings(plan: Plan, figures: Figures) -> Iterator[Finding]:
    """Where stops are not known, where a core breaks off at once, and where tips rub."""
    if not plan.cuts:
        return
    units = plan.job.units
    if any(cut.stop_angle is None for cut in plan.cuts):
        text = tr(
            "where to stop is not known without the strength of the wood across the grain: stop "
            "early, lathe off, and break each core out"
        )
        yield caution(Rule.RELEASE, text)
    rub = max((cut.rub_radius for cut in plan.cuts if cut.rub_radius is not None), default=0.0)
    late = [c for c in plan.cuts if c.rub_radius is not None and c.rub_radius > _last_radius(c)]
    if late:
        text = tr(
            "within {radius} of the axis the tip rubs below its edge: feed gently there",
            radius=Length(rub, units, decimals=False),
        )
        yield note(Rule.RUB, text, *(cut.place for cut in late))


def _last_radius(cut: Cut) -> float:
    """True radius of the tip where the lathe is stopped, or of the stub, mm."""
    return cut.cutter_height if cut.stop_neck is None else cut.stop_neck / 2


def _jaws_findings(plan: Plan, figures: Figures) -> Iterator[Finding]:
    units = plan.job.units
    used = {bowl.jaws.id: bowl.jaws for bowl in plan.bowls if bowl.jaws is not None}
    for jaws in used.values():
        if jaws.max_gap > COIN:
            text = tr(
                "jaws {jaws}: a gap of {gap} is more than a coin's thickness; opened so far they "
                "grip at the edges (common practice, no source)",
                jaws=jaws.id,
                gap=Length(jaws.max_gap, units, decimals=False),
            )
            yield note(Rule.JAWS, text)
    for bowl, known in zip(plan.bowls, figures.bowls, strict=True):
        if bowl.jaws is not None and known.grip is Grip.EDGES:
            closed = closed_neck(bowl.jaws, bowl.tenon_length)
            text = tr(
                "{bowl}: jaws {jaws} grip at the edges; turn the tenon to {size} for the "
                "full circle",
                bowl=bowl.shown_name,
                jaws=bowl.jaws.id,
                size=Length(closed, units, decimals=False),
            )
            yield caution(Rule.JAWS, text, bowl.place)


def _held_again_findings(plan: Plan, figures: Figures) -> Iterator[Finding]:
    """Dried bowls that no jaws of the shop hold again, each with what would."""
    rings = ring_shrinkage(plan.job, figures.wood)
    if rings is None:
        return
    rules, units = plan.shop.rules, plan.job.units

    def shown(length: float) -> Length:
        return Length(length, units, decimals=False)

    for bowl in plan.bowls:
        if bowl.dried is None or bowl.held_again is not None or bowl.jaws is None:
            continue
        least = rules.dried_share * bowl.dried.largest_circle
        dry_neck = tenon_when_dry(bowl, rings).neck
        mend = green_tenon_mend(
            plan.shop.jaws,
            length=bowl.tenon_length,
            tangential=max(rings.tangential, rings.radial),
            green_necks=(
                rules.refuse_share * bowl.rim_diameter,
                GREATEST_SHARE * bowl.rim_diameter,
            ),
            least_dry_neck=least,
        )
        if mend is not None:
            text = tr(
                "{bowl}: no jaws hold its dried tenon; turned green to {size}, jaws {green} hold "
                "it now and jaws {dry} when dry",
                bowl=bowl.shown_name,
                size=shown(mend.neck),
                green=mend.green_jaws,
                dry=mend.dry_jaws,
            )
        elif least <= dry_neck:
            text = tr(
                "{bowl}: no jaws hold its dried tenon; jaws of {low} to {high} would, or a recess",
                bowl=bowl.shown_name,
                low=shown(least),
                high=shown(dry_neck),
            )
        else:
            text = tr("{bowl}: no jaws hold its dried tenon; turn a recess", bowl=bowl.shown_name)
        yield caution(Rule.HELD_AGAIN, text, bowl.place)


def mass_text(mass: Mass, *, units: Units = Units.MM) -> Written:
    """A mass as printed, such as ``22 to 24 kg``; the caller adds ``about``."""

    def shown(unit: Units) -> Written:
        low, high = (_mass_figure(m, unit) for m in (mass.low, mass.high))
        if mass.at_most:
            return tr("at most {most}", most=high)
        if format(low.value, low.spec) == format(high.value, high.spec):
            return high
        return tr("{low} to {high}", low=Figure(low.value, low.spec), high=high)

    return _in_units(units, shown(Units.MM), shown(Units.IN))


def mass_number(mass_kg: float, *, units: Units = Units.MM) -> Written:
    """One mass as printed, to two figures; whole kilograms or pounds from 10 up."""
    return _in_units(units, _mass_figure(mass_kg, Units.MM), _mass_figure(mass_kg, Units.IN))


def _mass_figure(mass_kg: float, units: Units) -> Figure:
    value, unit = (mass_kg / POUND_KG, " lb") if units is Units.IN else (mass_kg, " kg")
    return Figure(value, ".0f", unit) if value >= 9.95 else two_figures(value, unit)


def force_text(force: float, *, units: Units = Units.MM) -> Written:
    """A force as printed, to two figures: N and kN, or pounds-force."""
    metric = two_figures(force / 1000, " kN") if force >= 1000 else two_figures(force, " N")
    return _in_units(units, metric, two_figures(force / NEWTONS["lbf"], " lbf"))


def speed_text(speed: float, *, units: Units = Units.MM) -> Written:
    """A rim speed as printed: m/s, or feet per second."""
    return _in_units(units, Figure(speed, ".1f", " m/s"), Figure(speed / FOOT_M, ".0f", " ft/s"))


def torque_text(torque: float, *, units: Units = Units.MM) -> Written:
    """A torque as printed, to two figures: N·m, or pound-force feet."""
    inch = two_figures(torque / POUND_FOOT_NM, " lbf·ft")
    return _in_units(units, two_figures(torque, " N·m"), inch)


def energy_text(energy: float, *, units: Units = Units.MM) -> Written:
    """An energy as printed, to two figures: J and kJ, or foot pounds-force."""
    metric = two_figures(energy / 1000, " kJ") if energy >= 1000 else two_figures(energy, " J")
    return _in_units(units, metric, two_figures(energy / POUND_FOOT_NM, " ft·lbf"))


def _in_units(units: Units, metric: Written, inch: Written) -> Written:
    """A figure in the main unit, and in brackets in the other where both are shown."""
    first, *second = (inch if unit is Units.IN else metric for unit in units.shown)
    return Joined((first, " (", *second, ")"), "") if second else first


def two_figures(value: float, unit: str) -> Figure:
    """An estimate to two figures, such as 0.96, 9.6 or 960, with its unit."""
    value = float(f"{value:.1e}")
    places = 1 - math.floor(math.log10(value)) if value > 0 else 0
    return Figure(value, f".{max(0, places)}f", unit)
