"""How far a rough-out has dried, from its weighings: an estimate with its uncertainty.

Moisture is water over ovendry mass. The ovendry mass is never weighed: it is the weighted mean of
all the estimates there are. Masses in grams, times in
days, moisture in % of the ovendry mass; an uncertainty is one standard deviation unless said.
"""

import enum
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from templategen.messages import Message, tr, tr_noop

GRAVITY_SPREAD = 0.10  # of specific gravity within a species: Wood Handbook Table 5-6, from memory
GREEN_SPREAD = 0.20  # of green moisture within heart or sap; our own, the handbook has no figure
ROOM_SPREAD = 1.5  # points of moisture by which a room strays from its usual air; our own
WEIGHED_SPREAD = 0.01  # of an ovendry mass that the turner gives; our own
REACH_SPREAD = 0.20  # of what the curve still adds beyond the last weighing; our own
AIR_SPREAD = 0.02  # of what was lost: a room's weather moves a weighing off any curve; our own
RATES = 240  # tried for each shape
SCALE_SPREAD = 0.001  # of a mass: what a kitchen scale reads to; our own
LEAST_WEIGHINGS, LEAST_DAYS = 4, 3.0  # for a curve
COVER = 2.0  # standard deviations shown as plus or minus
NEAR = 0.5  # points of moisture within which a target counts as met
SURE = 3.0  # points: a wider plus or minus asks for more weighings before it is called ready


class State(enum.StrEnum):
    """What a record says of a bowl; a value is the key of its wording."""

    UNKNOWN = tr_noop("not known yet")
    READY = tr_noop("ready")
    PERHAPS = tr_noop("ready by estimate")
    DRYING = tr_noop("not ready")
    STALLED = tr_noop("not ready, and this room dries it no further")


@dataclass(frozen=True, slots=True, kw_only=True)
class DryMass:
    """One estimate of the ovendry mass: grams, its relative uncertainty, and its ground.

    `is_given` where a person states it, by weighing.
    """

    mass_g: float
    spread: float
    ground: Message
    is_given: bool = False


def skin_share(age: float) -> float:
    """Share of the water still to lose where the skin holds it back: exp(-age)."""
    return math.exp(-age)


def slab_share(age: float) -> float:
    """Share still to lose where the inside holds it back: a plane sheet by diffusion.

    Crank, The Mathematics of Diffusion, plane sheet; the age is scaled so that late in drying it
    falls as exp(-age), as the other does, and drying begins at age 0.

    >>> round(slab_share(0.197 * math.pi**2 / 4), 2)
    0.5
    """
    if age < 0.25:  # early, before the middle of the sheet feels the air: Crank's other series
        return 1 - 4 / math.pi * math.sqrt(max(0.0, age) / math.pi)
    return sum(
        8 / ((n * math.pi) ** 2) * math.exp(-min(700.0, n * n * age)) for n in (1, 3, 5, 7, 9)
    )


SHAPES: tuple[Callable[[float], float], ...] = (skin_share, slab_share)


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingCurve:
    """Mass falling towards a rest: ``rest + fall share(rate t)``, t in days from the first.

    `rest_g` and `rate` are means over all the curves that fit, `rest_spread` the uncertainty of
    the rest, g, which grows with what lies beyond the record; `best` is the rest, fall and rate
    of the one curve that fits best, `shape` its share.
    """

    rest_g: float
    rest_spread: float
    rate: float
    best: tuple[float, float, float]
    shape: Callable[[float], float]

    def mass_at(self, days: float) -> float:
        """Mass on the curve that fits best, at a time after the first weighing, g."""
        rest, fall, rate = self.best
        return rest + fall * self.shape(rate * days)


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Where a bowl stands; figures are None where nothing tells them.

    Args:
        state: ready or not.
        moisture: at the last weighing, %.
        plus_minus: two standard deviations of it, points.
        dry_g: ovendry mass, all estimates together.
        dry_spread: relative uncertainty of it.
        target_g: mass at the wished moisture.
        to_lose_g: last mass less the target's.
        days_left: after the last weighing, at the curve's pace.
        rest_moisture: what the room's air settles wood at, %.
        grounds: the estimates that were used.
        curve: the curve, or None with too few weighings.
    """

    state: State
    rest_moisture: float
    moisture: float | None = None
    plus_minus: float | None = None
    dry_g: float | None = None
    dry_spread: float | None = None
    target_g: float | None = None
    to_lose_g: float | None = None
    days_left: float | None = None
    grounds: tuple[DryMass, ...] = ()
    curve: DryingCurve | None = None


def from_volume(dry_g: float) -> DryMass:
    """The estimate of green volume times specific gravity, as the tag prints it."""
    ground = tr("green volume and specific gravity")
    return DryMass(mass_g=dry_g, spread=GRAVITY_SPREAD, ground=ground)


def from_weighed(dry_g: float) -> DryMass:
    """An ovendry mass that the turner gives, worked out from a sample dried in an oven."""
    ground = tr("the dry mass given")
    return DryMass(mass_g=dry_g, spread=WEIGHED_SPREAD, ground=ground, is_given=True)


def from_green(first_g: float, moisture: tuple[float, float]) -> DryMass:
    """The first weighing, taken as green, over the wood's usual green moisture.

    Args:
        first_g: first mass.
        moisture: least and greatest green moisture of heart and sap, %.
    """
    low, high = moisture
    middle = (low + high) / 2
    spread = math.hypot((high - low) / 2, GREEN_SPREAD * middle)
    return DryMass(
        mass_g=first_g / (1 + middle / 100),
        spread=spread / (100 + middle),
        ground=tr("first weighing and usual green moisture"),
    )


def from_curve(curve: DryingCurve, rest_moisture: float) -> DryMass:
    """The mass the curve comes to rest at, over the moisture the room's air settles wood at."""
    return DryMass(
        mass_g=curve.rest_g / (1 + rest_moisture / 100),
        spread=math.hypot(curve.rest_spread / curve.rest_g, ROOM_SPREAD / (100 + rest_moisture)),
        ground=tr("curve of the weighings and the room's air"),
    )


def fit_curve(times: Sequence[float], masses: Sequence[float]) -> DryingCurve | None:
    """The curve through the weighings, or None where they are too few, too short or not falling.

    Wood dries between two bounds: held back by its skin alone, or by its inside alone. For each
    of the two, and each of many rates, rest and fall follow by least squares; then all are
    weighed by how well they fit, so that a record that is still nearly straight says plainly that
    it knows little of its rest.

    Args:
        times: days, rising.
        masses: g, one a time.
    """
    count, span = len(times), times[-1] - times[0] if times else 0.0
    if count < LEAST_WEIGHINGS or span < LEAST_DAYS or len(set(times)) < LEAST_WEIGHINGS:
        return None
    tried = [
        fit
        for shape in SHAPES
        for n in range(RATES + 1)
        if (fit := _fit(times, masses, 0.05 / span * 1000 ** (n / RATES), shape)) is not None
    ]
    if not tried:
        return None
    last = masses[-1]
    best = min(tried, key=lambda fit: fit.misfit)
    noise = max(
        best.misfit / max(1, count - 3),
        (SCALE_SPREAD * last) ** 2,
        (AIR_SPREAD * (max(masses) - last)) ** 2,
    )
    weights = [math.exp(-(fit.misfit - best.misfit) / (2 * noise)) for fit in tried]
    total = sum(weights)
    pairs = list(zip(weights, tried, strict=True))
    rest = sum(w * fit.rest for w, fit in pairs) / total
    variance = sum(w * ((fit.rest - rest) ** 2 + noise * fit.factor) for w, fit in pairs) / total
    return DryingCurve(
        rest_g=rest,
        rest_spread=math.hypot(math.sqrt(variance), REACH_SPREAD * max(0.0, last - rest)),
        rate=math.exp(sum(w * math.log(fit.rate) for w, fit in pairs) / total),
        best=(best.rest, best.fall, best.rate),
        shape=best.shape,
    )


class _Fit(NamedTuple):
    """One curve tried: how far it misses, and what it says."""

    misfit: float
    rest: float
    fall: float
    rate: float
    factor: float  # variance of the rest over that of a weighing
    shape: Callable[[float], float]


def _fit(
    times: Sequence[float],
    masses: Sequence[float],
    rate: float,
    shape: Callable[[float], float],
) -> _Fit | None:
    """Rest and fall by least squares, or None for a curve that wood cannot follow."""
    count = len(times)
    shares = [shape(rate * (t - times[0])) for t in times]
    mean_s, mean_m = sum(shares) / count, sum(masses) / count
    square = sum((s - mean_s) ** 2 for s in shares)
    fall = sum((s - mean_s) * (m - mean_m) for s, m in zip(shares, masses, strict=True)) / square
    rest = mean_m - fall * mean_s
    if fall <= 0 or rest < masses[-1] / 4:
        return None
    misfit = sum((rest + fall * s - m) ** 2 for s, m in zip(shares, masses, strict=True))
    return _Fit(misfit, rest, fall, rate, 1 / count + mean_s**2 / square, shape)


def together(estimates: Sequence[DryMass]) -> tuple[float, float] | None:
    """Ovendry mass and relative uncertainty of all estimates, or None of none.

    Each counts by the inverse square of its uncertainty (on the logarithm); where they disagree
    by more than they claim, the uncertainty grows by the square root of their chi-square.
    """
    if not estimates:
        return None
    weights = [1 / e.spread**2 for e in estimates]
    logs = [math.log(e.mass_g) for e in estimates]
    mean = sum(w * x for w, x in zip(weights, logs, strict=True)) / sum(weights)
    misfit = sum(w * (x - mean) ** 2 for w, x in zip(weights, logs, strict=True))
    excess = max(1.0, misfit / max(1, len(estimates) - 1))
    return math.exp(mean), math.sqrt(excess / sum(weights))


def progress(
    times: Sequence[float],
    masses: Sequence[float],
    *,
    known: Sequence[DryMass],
    target: float,
    rest_moisture: float,
) -> Progress:
    """Where a bowl stands at its last weighing.

    Args:
        times: days, rising, at least one.
        masses: g, one a time.
        known: estimates of the ovendry mass that do not come from the curve.
        target: wished moisture, %.
        rest_moisture: what the room's air settles wood at, %.
    """
    curve = fit_curve(times, masses)
    grounds = [*known, *([from_curve(curve, rest_moisture)] if curve else [])]
    found = together(grounds)
    if found is None:
        return Progress(state=State.UNKNOWN, rest_moisture=rest_moisture)
    dry, spread = found
    last = masses[-1]
    moisture = max(0.0, 100 * (last / dry - 1))
    plus_minus = COVER * spread * (100 + moisture)
    target_g = dry * (1 + target / 100)
    if moisture <= target + NEAR:
        state = State.READY if plus_minus <= SURE else State.PERHAPS
    elif rest_moisture > target + NEAR and moisture <= rest_moisture + NEAR + ROOM_SPREAD:
        state = State.STALLED
    else:
        state = State.DRYING
    return Progress(
        state=state,
        moisture=moisture,
        plus_minus=plus_minus,
        dry_g=dry,
        dry_spread=spread,
        target_g=target_g,
        to_lose_g=last - target_g,
        days_left=_days_left(curve, last, target_g) if state is State.DRYING else None,
        rest_moisture=rest_moisture,
        grounds=tuple(grounds),
        curve=curve,
    )


def _days_left(curve: DryingCurve | None, last: float, target_g: float) -> float | None:
    """Days from the last weighing until the target at the curve's pace, or None if never."""
    if curve is None or not curve.rest_g < target_g < last:
        return None
    return math.log((last - curve.rest_g) / (target_g - curve.rest_g)) / curve.rate
