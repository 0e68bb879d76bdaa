"""Moisture from weighings: against diffusion theory, a general fitting library and plain figures.

All records here are made up.
"""

import math
import random
from collections.abc import Callable

import numpy as np
import pytest
from scipy import optimize

from templategen.messages import tr
from templategen.trade.seasoning import (
    COVER,
    DryMass,
    Progress,
    State,
    fit_curve,
    from_curve,
    from_green,
    from_volume,
    from_weighed,
    progress,
    skin_share,
    slab_share,
    together,
)

NO_GROUND = tr("")
DRY, GREEN, REST = 2000.0, 110.0, 9.3  # g, %, %


def _crank(biot: float) -> Callable[[float], float]:
    """Share of the water still in a sheet at D t / l², with resistance inside and at the skin.

    Crank, The Mathematics of Diffusion, surface evaporation: β tan β = L.
    """
    roots = [
        optimize.brentq(
            lambda b: b * math.tan(b) - biot, n * math.pi + 1e-9, (n + 0.5) * math.pi - 1e-9
        )
        for n in range(40)
    ]

    def share(age: float) -> float:
        if age <= 0:
            return 1.0
        return sum(
            2 * biot**2 * math.exp(-b * b * age) / (b * b * (b * b + biot**2 + biot)) for b in roots
        )

    return share


def _steady_first(age: float) -> float:
    """A constant rate until 55 % is left, then an exponential: first course of drying wet wood."""
    return 1 - age if age < 0.45 else 0.55 * math.exp(-(age - 0.45) / 0.55)


TRUTHS = {
    "inside holds it back": _crank(1e4),
    "mostly inside": _crank(10),
    "both": _crank(2),
    "mostly the skin": _crank(0.5),
    "the skin": lambda age: math.exp(-age),
    "steady at first": _steady_first,
}


def _moisture(name: str, days: float) -> float:
    """Moisture of a sheet that is half dry after 30 days, %."""
    share = TRUTHS[name]
    half = optimize.brentq(lambda age: share(age) - 0.5, 1e-6, 50)
    return REST + (GREEN - REST) * share(half * days / 30)


def test_the_sheet_is_half_dry_at_the_published_age() -> None:
    """Half the change of a plane sheet at D t / l² = 0.049 × 4 (Crank, by half thickness)."""
    assert slab_share(0.196 * math.pi**2 / 4) == pytest.approx(0.5, abs=0.005)
    assert _crank(1e4)(0.196) == pytest.approx(0.5, abs=0.005)
    for age in (0.0, 0.1, 0.2499, 0.2501, 1.0, 3.0, 20.0):
        assert slab_share(age) == pytest.approx(_crank(1e5)(age * 4 / math.pi**2), abs=2e-3)
    assert [skin_share(0), skin_share(1)] == pytest.approx([1, 1 / math.e])


@pytest.mark.parametrize("name", TRUTHS)
@pytest.mark.parametrize("weeks", [3, 4, 6, 8, 10, 13, 16, 20, 26, 32, 40])
def test_true_moisture_lies_in_the_interval(name: str, weeks: int) -> None:
    """Weekly weighings to 2 g of sheets that dry in six ways, by diffusion theory (Crank).

    The wood is 8 % lighter than its table figure, inside the 10 % spread of the handbook.
    """
    noise = random.Random(weeks)
    times = [7.0 * n for n in range(weeks + 1)]
    masses = [DRY * (1 + _moisture(name, t) / 100) + noise.gauss(0, 2) for t in times]
    found = progress(times, masses, known=[from_volume(DRY * 1.08)], target=10, rest_moisture=REST)
    assert found.moisture is not None
    assert found.plus_minus is not None
    assert abs(found.moisture - _moisture(name, times[-1])) <= found.plus_minus
    if weeks >= 32:
        assert found.plus_minus < 6
        assert found.moisture == pytest.approx(_moisture(name, times[-1]), abs=3)


@pytest.mark.parametrize("name", TRUTHS)
def test_a_long_record_needs_no_wood(name: str) -> None:
    """At rest the curve alone gives the moisture, to about the room's own uncertainty."""
    times = [14.0 * n for n in range(25)]
    masses = [DRY * (1 + _moisture(name, t) / 100) for t in times]
    found = progress(times, masses, known=[], target=10, rest_moisture=REST)
    assert found.moisture == pytest.approx(_moisture(name, times[-1]), abs=1)
    assert found.plus_minus == pytest.approx(2 * 1.5, abs=1)
    assert found.state in (State.READY, State.PERHAPS)


def test_fit_meets_a_general_library() -> None:
    """Rest and rate by scipy's curve_fit on noisy data of three parameters."""
    noise = random.Random(5)
    times = [5.0 * n for n in range(20)]
    masses = [2200 + 2000 * math.exp(-0.03 * t) + noise.gauss(0, 8) for t in times]
    (rest, fall, rate), covariance = optimize.curve_fit(
        lambda t, a, b, k: a + b * np.exp(-k * t), times, masses, p0=(2000, 1500, 0.02)
    )
    curve = fit_curve(times, masses)
    assert curve is not None
    assert curve.rest_g == pytest.approx(rest, rel=0.02)
    assert curve.rate == pytest.approx(rate, rel=0.15)
    assert curve.best == pytest.approx((rest, fall, rate), rel=0.02)
    for t in (0.0, 40.0, 95.0):
        assert curve.mass_at(t) == pytest.approx(rest + fall * math.exp(-rate * t), abs=8)
    beyond = 0.2 * (masses[-1] - curve.rest_g)
    assert curve.rest_spread > math.hypot(beyond, math.sqrt(covariance[0][0]))


@pytest.mark.parametrize(
    ("times", "masses"),
    [
        ([], []),
        ([0.0], [100.0]),
        ([0.0, 1, 2], [100.0, 90, 85]),
        ([0.0, 0.5, 1, 2], [100.0, 99, 98, 97]),  # too short
        ([0.0, 0, 0, 9], [100.0, 99, 98, 97]),  # too few days
        ([0.0, 5, 10, 15], [100.0, 101, 102, 103]),  # growing
        ([0.0, 5, 10, 15], [100.0, 100, 100, 100]),  # still
    ],
)
def test_no_curve_through_too_little(times: list[float], masses: list[float]) -> None:
    """Too few, too short, or not falling."""
    assert fit_curve(times, masses) is None


def test_a_nearly_straight_record_says_it_knows_little() -> None:
    """Four early weighings leave the rest open: a wide uncertainty, not a firm figure."""
    times = [0.0, 2, 4, 6]
    curve = fit_curve(times, [4200 * math.exp(-0.004 * t) for t in times])
    assert curve is not None
    assert curve.rest_spread > 0.15 * curve.rest_g


def test_estimates_join_by_their_certainty() -> None:
    """Inverse-variance mean, any textbook of statistics; less certain where they disagree."""
    one, two = (
        DryMass(mass_g=1000, spread=0.1, ground=NO_GROUND),
        DryMass(mass_g=1000, spread=0.1, ground=NO_GROUND),
    )
    assert together([one, two]) == pytest.approx((1000, 0.1 / math.sqrt(2)))
    firm = together(
        [
            DryMass(mass_g=1000, spread=0.01, ground=NO_GROUND),
            DryMass(mass_g=1200, spread=0.2, ground=NO_GROUND),
        ]
    )
    assert firm is not None
    assert firm[0] == pytest.approx(1000, rel=1e-3)
    apart = together([one, DryMass(mass_g=2000, spread=0.1, ground=NO_GROUND)])
    assert apart is not None
    assert apart[0] == pytest.approx(1000 * math.sqrt(2))
    assert apart[1] == pytest.approx(math.log(2) / 2)
    assert together([]) is None


def test_grounds_by_hand() -> None:
    """Green 4000 g at 90 to 110 % is 2000 g dry; spread by the halves of both causes."""
    green = from_green(4000, (90, 110))
    assert green.mass_g == 2000
    assert green.spread == pytest.approx(math.hypot(10, 20) / 200)
    assert from_volume(500).spread == 0.10
    assert from_weighed(500).spread == 0.01
    curve = fit_curve([0, 10, 20, 30, 60], [1000, 800, 700, 650, 606])
    assert curve is not None
    assert from_curve(curve, 10).mass_g == pytest.approx(curve.rest_g / 1.1)


def _state(last: float, *, target: float = 10, rest: float = 8, known: float = 0.01) -> Progress:
    return progress(
        [0.0, 10],
        [4000, last],
        known=[DryMass(mass_g=2000, spread=known, ground=NO_GROUND)],
        target=target,
        rest_moisture=rest,
    )


def test_ready_or_how_far_off() -> None:
    """2000 g dry: 2200 g is 10 % (forest products measurements manual: wet over dry less one)."""
    ready = _state(2205)
    assert (ready.state, ready.moisture) == (State.READY, pytest.approx(10.25))
    assert ready.plus_minus == pytest.approx(COVER * 0.01 * 110.25)
    assert _state(2205, known=0.1).state is State.PERHAPS
    wet = _state(2600)
    assert wet.state is State.DRYING
    assert wet.to_lose_g == pytest.approx(400)
    assert wet.target_g == pytest.approx(2200)
    assert wet.days_left is None  # two weighings make no curve
    assert _state(2300, target=8, rest=14).state is State.STALLED
    assert _state(1900).moisture == 0
    nothing = progress([0.0], [4000], known=[], target=10, rest_moisture=8)
    assert (nothing.state, nothing.moisture) == (State.UNKNOWN, None)


def test_days_to_go_run_down_the_curve() -> None:
    """On a pure exponential the day the target is met is known in closed form."""
    times = [10.0 * n for n in range(8)]
    dry, rest = 2000.0, 2000 * 1.08
    masses = [rest + 1800 * math.exp(-0.03 * t) for t in times]
    found = progress(times, masses, known=[from_weighed(dry)], target=12, rest_moisture=8)
    met = math.log(1800 / (found.target_g - rest)) / 0.03 if found.target_g else 0
    assert found.days_left == pytest.approx(met - 70, abs=3)
    assert found.state is State.DRYING
