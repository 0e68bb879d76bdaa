"""Figures that follow from a plan's cuts and bowls: release, forces, drying, holding, log, speed.

`with_figures` fills them in; none of them changes which cuts are chosen. Estimates, never ratings.
Lengths mm, angles radians, masses kg, forces N.
"""

import dataclasses
import math
from dataclasses import dataclass

from templategen.geometry.greatest_distance import greatest_distance
from templategen.geometry.ring_shrinkage import (
    RingShrinkage,
    dried_rim,
    dried_tenon,
)
from templategen.geometry.solids import volume_of_revolution
from templategen.nest.plan import (
    Bowl,
    BowlShape,
    Cut,
    DriedBowl,
    LogFit,
    Plan,
    Points,
    SpeedLimits,
)
from templategen.nest.rules import edge_of
from templategen.trade import defaults, lathe
from templategen.trade.choices import LogRim, Order
from templategen.trade.drying import density, most_water, shrinkage
from templategen.trade.holding_again import DriedTenon, held_when_dry
from templategen.trade.log import blanks_along, rim_from_pith, wood_radius_needed
from templategen.trade.records import Job, Log, Shop
from templategen.trade.release import (
    breaking_neck,
    centre_droop_radius,
    overhang,
    release_stages,
    rub_radius,
)
from templategen.trade.speed import CoringSpeed, coring_speed, solid_energy
from templategen.trade.wood import Wood, wood_of


def with_figures(plan: Plan) -> Plan:
    """The plan with the figures of its cuts, its bowls, its log and its speed."""
    wood = wood_of(plan.job)
    plan = dataclasses.replace(
        plan,
        bowls=tuple(_bowl_with_figures(plan, bowl, wood) for bowl in plan.bowls),
        log=log_fit(plan),
        speed=speed_limits(plan, wood),
    )
    return dataclasses.replace(
        plan, cuts=tuple(_cut_with_figures(plan, cut, wood) for cut in plan.cuts)
    )


def speed_of(job: Job, shop: Shop) -> CoringSpeed:
    """The speed limit of a blank while it is cored."""
    makers = [shop.chuck.max_speed] if shop.chuck.max_speed is not None else []
    return coring_speed(job.blank.diameter, cap_rpm=shop.rules.max_coring_speed, makers_rpm=makers)


def green_density(wood: Wood | None) -> tuple[float, float] | None:
    """Least and greatest density of the green wood, kg/m³; None without its specific gravity.

    Where its green moisture is not known both are that of wood full of water.
    """
    if wood is None or wood.specific_gravity is None:
        return None
    if wood.green_moisture is None:
        full = density(wood.specific_gravity, most_water(wood.specific_gravity))
        return full, full
    low, high = (
        density(wood.specific_gravity, moisture, volumetric_percent=wood.volumetric)
        for moisture in wood.green_moisture
    )
    return low, high


def ring_shrinkage(job: Job, wood: Wood | None) -> RingShrinkage | None:
    """Shrinkage to the final moisture; None without the tangential one.

    Where the radial shrinkage is not known the tangential one stands for it: too oval rather
    than too round.
    """
    if wood is None or wood.tangential is None:
        return None
    radial = wood.tangential if wood.radial is None else wood.radial
    moisture = job.nest.final_moisture
    return RingShrinkage(
        radial=shrinkage(radial, moisture),
        tangential=shrinkage(wood.tangential, moisture),
        along=shrinkage(wood.along, moisture),
    )


def rim_to_pith(job: Job) -> float:
    """Distance of the rim plane from the pith, mm.

    Without a log the default one is assumed: the rim towards the pith, `log.pith` from it.
    """
    if job.log is None:
        pith = defaults.LOG_PITH.of(job.units)
        return rim_from_pith(pith=pith, height=job.blank.height, rim=LogRim.PITH)
    return rim_from_pith(pith=job.log.pith, height=job.blank.height, rim=job.log.rim)


# -- bowls -------------------------------------------------------------------------------


def turned_outside(shape: BowlShape) -> Points:
    """The outside down to the flat beside the tenon, and on along the shoulder to the axis.

    Of a core this is its outside once its tenon is turned.
    """
    found: list[tuple[float, float]] = []
    for r, z in shape.outside:
        if z > shape.shoulder:
            if not found:  # a core that is only judged: its tenon would reach through the face
                return (r, z), (0.0, z)
            r0, z0 = found[-1]
            share = (shape.shoulder - z0) / (z - z0)
            found.append((r0 + share * (r - r0), shape.shoulder))
            break
        found.append((r, z))
    return (*found, (0.0, shape.shoulder))


def _bowl_with_figures(plan: Plan, bowl: Bowl, wood: Wood | None) -> Bowl:
    cut = plan.cut_in(bowl)
    if cut is not None:
        edge = edge_of(cut, height=cut.cutter_height)
        greatest, at = greatest_distance(edge, turned_outside(bowl))
        bowl = dataclasses.replace(bowl, wall_greatest=greatest, wall_greatest_at=at)
    rings = ring_shrinkage(plan.job, wood)
    if rings is None:
        return bowl
    rim = dried_rim(bowl.rim_diameter / 2, rim_to_pith=rim_to_pith(plan.job), shrinkage=rings)
    tenon = dried_tenon(bowl.tenon_diameter, rings)
    held_again = held_when_dry(
        plan.shop.jaws,
        tenon_when_dry(bowl, rings),
        rim_diameter=rim.circle,
        share=plan.shop.rules.dried_share,
    )
    return dataclasses.replace(
        bowl,
        dried=DriedBowl(
            rim_across=rim.across,
            rim_along=rim.along,
            rim_out_of_flat=abs(rim.sides_lifted),
            largest_circle=rim.circle,
            tenon_across=min(tenon),
            tenon_along=max(tenon),
        ),
        held_again=held_again,
    )


def tenon_when_dry(bowl: Bowl, rings: RingShrinkage) -> DriedTenon:
    """The tenon of a bowl when dry; its length shrinks across the grain too."""
    return DriedTenon(
        neck=min(dried_tenon(bowl.tenon_diameter, rings)),
        end=min(dried_tenon(bowl.tenon_end_diameter, rings)),
        length=bowl.tenon_length * (1 - max(rings.radial, rings.tangential)),
    )


# -- cuts --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Driving:
    """Full power of the motor: torque in N·m at a speed in rpm."""

    torque_nm: float
    speed_rpm: float


def driving_of(plan: Plan) -> Driving | None:
    """The torque at full power; None without the lathe's power.

    At the speed at which the pulley gives the full power; where that is not stated, at the
    coring speed.
    """
    power, speed = plan.shop.lathe.power_w, plan.shop.lathe.full_power_speed
    if power is None:
        return None
    if speed is None:
        speed = speed_of(plan.job, plan.shop).shown
    return Driving(torque_nm=lathe.torque(power, speed), speed_rpm=speed)


def _cut_with_figures(plan: Plan, cut: Cut, wood: Wood | None) -> Cut:
    through = cut.tip_path.through_angle()
    if through is not None:
        through -= cut.touch_angle
    cut = dataclasses.replace(cut, through_angle=through, rub_radius=_rub_radius(cut))
    return _with_forces(plan, _with_release(plan, cut, wood))


def _rub_radius(cut: Cut) -> float | None:
    angle = cut.cutter.relief_angle
    if angle is None:
        return None
    return rub_radius(height=cut.cutter_height, relief_angle_deg=angle)


def freed_outline(plan: Plan, cut: Cut) -> Points:
    """Closed half section of what a cut parts, as it is when the cut is made, mm.

    Cut inner-first, the cores within are gone already; outer-first, it is solid still.
    """
    bowl = plan.bowls[cut.number]
    if plan.job.nest.order == Order.INNER_FIRST:
        return bowl.outline
    outside = bowl.outside
    return (*outside, (0.0, outside[-1][1]), (0.0, 0.0))


def _with_release(plan: Plan, cut: Cut, wood: Wood | None) -> Cut:
    """With stop and release, where strength and density of the wood are known."""
    weights = green_density(wood)
    if wood is None or wood.tension_perp_kpa is None or weights is None:
        return cut
    outline = freed_outline(plan, cut)
    volume = volume_of_revolution(list(outline))
    neck = breaking_neck(
        mass_kg=volume / 1e9 * max(weights),
        overhang=overhang(outline, cut.deepest),
        tension_kpa=wood.tension_perp_kpa,
    )
    stages = release_stages(cut.tip_path, neck)
    if stages is None:
        return cut
    release = stages.release
    return dataclasses.replace(
        cut,
        stop_angle=stages.stop.swing,
        stop_depth=stages.stop.depth,
        stop_neck=stages.stop.neck,
        release_angle=None if release is None else release.swing,
        release_neck=None if release is None else release.neck,
    )


def _with_forces(plan: Plan, cut: Cut) -> Cut:
    """With the forces at the tip at full power, and where they take it below centre."""
    driving = driving_of(plan)
    if driving is None:
        return cut
    last = cut.through_angle if cut.stop_angle is None else cut.stop_angle
    half = release = None
    if last is not None:
        half = cut.tip_path.neck_radius(cut.touch_angle + last / 2)
    if cut.stop_angle is not None:
        release = cut.tip_path.neck_radius(cut.touch_angle + cut.stop_angle)

    def force(radius: float | None) -> float | None:
        return lathe.tip_force(driving.torque_nm, radius) if radius else None

    droop = None
    if cut.cutter.section is not None:
        droop = centre_droop_radius(
            torque_nm=driving.torque_nm,
            droop_per_newton=_droop_of_a_newton(cut),
            height=cut.cutter_height,
        )
    return dataclasses.replace(
        cut,
        force_entry_n=force(cut.entry_radius),
        force_half_n=force(half),
        force_release_n=force(release),
        droop_radius=droop if droop is not None and math.isfinite(droop) else None,
    )


def _droop_of_a_newton(cut: Cut) -> float:
    """Droop of the tip under one newton, mm: held where its bare blade ends, or at p = x."""
    assert cut.cutter.section is not None  # the caller has looked
    angle = math.acos(-cut.pivot_offset / cut.cutter.radius)
    if cut.cutter.arc is not None:
        angle = math.radians(cut.cutter.arc)
    return lathe.cutter_droop(
        1.0, radius=cut.cutter.radius, section=cut.cutter.section, angle=min(angle, math.pi)
    )


# -- the whole blank ---------------------------------------------------------------------


def speed_limits(plan: Plan, wood: Wood | None) -> SpeedLimits:
    """The speed of the blank while it is cored, and what it then holds."""
    limit = speed_of(plan.job, plan.shop)
    weights = green_density(wood)
    energy = None
    if weights is not None:
        rim, back = plan.job.blank.diameter / 2, plan.job.blank.height
        energy = solid_energy(
            [(0.0, 0.0), (rim, 0.0), (rim, back), (0.0, back)],
            density_kg_m3=max(weights),
            speed_rpm=limit.shown,
        )
    return SpeedLimits(max_rpm=limit.shown, start_rpm=limit.start, energy_j=energy)


def log_fit(plan: Plan) -> LogFit | None:
    """How the blank lies in the job's log, by its turned outside; None without a log."""
    log, height = plan.job.log, plan.job.blank.height
    if log is None:
        return None
    return LogFit(
        diameter_needed=2 * log_radius(log, plan.outside, height=height),
        count=blanks_along(log, plan.job.blank.diameter),
        rim_from_pith=rim_from_pith(pith=log.pith, height=height, rim=log.rim),
    )


def log_radius(log: Log, profile: Points, *, height: float) -> float:
    """Radius of wood that a half profile needs in a log, mm."""
    return wood_radius_needed(profile, height=height, pith=log.pith, rim=log.rim)
