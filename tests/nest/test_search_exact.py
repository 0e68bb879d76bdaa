"""The search against tests/nest/reference.py, a slow exhaustive planner that shares no code."""

import random

import numpy as np
import pytest
from reference import exhaustive

from templategen.nest.planner import blank_shape, chain_of
from templategen.nest.search import GAP
from templategen.trade.records import (
    Blank,
    Cutter,
    Jaws,
    Job,
    LengthWall,
    Nest,
    Post,
    Relief,
    ShareWall,
    Shop,
)
from templategen.units import Units

CASES = 48


def invented(seed: int) -> tuple[Job, Shop, float]:
    """An invented job and shop, and a grid coarse enough to try everything."""
    dice = random.Random(seed)
    deep = seed % 3 == 0  # a large blank with thin walls: many bowls
    grid = dice.choice([5.0, 6.0]) if deep else dice.choice([4.0, 5.0])
    low, high = (380, 560) if deep else (220, 420)
    diameter, height = dice.randrange(low, high, 5), dice.randrange(low // 3, high // 2, 5)
    cutters = tuple(
        Cutter(
            id=f"c{n}", radius=dice.randrange(55, 60 + low // 2, 5), kerf=dice.choice([6, 7.5, 9])
        )
        for n in range(dice.randint(2, 4))
    )
    sizes = sorted({*dice.sample(range(40, 210, 10), 6), 10 * round(diameter / 20)})
    jaws = tuple(Jaws(id=str(d), true_circle=d, depth=dice.choice([8, 12, 14])) for d in sizes)
    post = Post(
        min_standoff=dice.choice([10, 15, 25]),
        min_offset=dice.choice([-30, -10]),
        max_offset=dice.choice([20, 40]),
    )
    thin = [LengthWall(10.0), ShareWall(0.05)]
    usual = [LengthWall(18.0), LengthWall(22.0), ShareWall(0.08), ShareWall(0.1)]
    nest = Nest(
        wall=dice.choice(thin if deep else usual + thin),
        floor=dice.choice([None, None, 12.0]),
        relief=dice.choice([None, Relief(shift=5, depth=20)]),
        min_bowl=dice.choice([80.0, 100.0, 120.0]),
        max_slope=dice.choice([6.0, 12.0, 15.0]),
        height_above_centre=dice.choice([0.0, 5.0, 10.0]),
        objective=dice.choice(["most", "most", "largest"]),
    )
    blank = Blank(diameter=diameter, height=height, outside=dice.choice(["arc", "arc", "cylinder"]))
    job = Job(title="Invented", date="", units=Units.MM, blank=blank, nest=nest)
    return job, Shop(name="Invented", units=Units.MM, cutters=cutters, jaws=jaws, post=post), grid


@pytest.mark.parametrize("seed", range(CASES))
def test_never_beaten(seed: int) -> None:
    """No chain on the grid has more bowls, or as many and 0.5 % more in sum of sizes."""
    job, shop, grid = invented(seed)
    blank = blank_shape(job, shop)
    found = chain_of(job, shop, blank, grid=grid)
    largest = job.nest.objective == "largest"
    count, total, first = exhaustive(
        job,
        shop,
        grid=grid,
        outside=np.array(blank.outside),
        rim=blank.rim_radius,
        shoulder=blank.shoulder,
        largest=largest,
    )
    assert len(found.settings) == count
    assert found.sizes * (1 + GAP) >= total + blank.size
    # the same way round: the quick planner reaches nothing that the slow one cannot
    assert found.sizes <= (total + blank.size) * (1 + 1e-3)
    if largest and count:
        assert found.shapes[1].size == pytest.approx(first, rel=1e-3)


def test_cases_have_all_counts() -> None:
    """The cases reach from no core at all to four, so that the comparison is not an empty one."""
    counts = {
        len(chain_of(j, s, blank_shape(j, s), grid=g).settings)
        for j, s, g in map(invented, range(CASES))
    }
    assert counts >= {0, 1, 2, 3}
