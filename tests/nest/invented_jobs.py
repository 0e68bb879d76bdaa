"""Random invented jobs and shops for the search, on marks so wide that every cut can be tried."""

import dataclasses
import random

from templategen.trade.choices import MeasuredAt, Objective, Order, OutsideShape
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


def invented(seed: int) -> tuple[Job, Shop, float]:
    """An invented job and shop with one to five sets of jaws, and the marks to try, mm."""
    dice = random.Random(seed)
    deep = seed % 3 == 0  # a large blank with thin walls: many bowls
    grid = dice.choice([5.0, 6.0]) if deep else dice.choice([4.0, 5.0])
    low, high = (380, 560) if deep else (220, 420)
    diameter, height = dice.randrange(low, high, 5), dice.randrange(low // 3, high // 2, 5)
    cutters = tuple(
        Cutter(
            id=f"c{n}",
            radius=dice.randrange(55, 60 + low // 2, 5),
            kerf=dice.choice([6, 7.5, 9]),
            arc=dice.choice([None, None, None, 110, 130]),
            holder=dice.choice([None, 20]),
        )
        for n in range(dice.randint(2, 4))
    )
    for_blank = 5 * round(diameter * dice.choice([0.38, 0.45, 0.5, 0.6]) / 5)
    sizes = {*dice.sample(range(40, 330, 5), dice.randint(1, 4)), for_blank}
    jaws = tuple(
        Jaws(
            id=str(size),
            true_circle=size,
            depth=dice.choice([6, 8, 12, 14]),
            measured_at=dice.choice([MeasuredAt.MOUTH, MeasuredAt.MOUTH, MeasuredAt.BOTTOM]),
        )
        for size in sorted(sizes)
    )
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
        min_ratio=dice.choice([0.0, 0.2, 0.3]),
        order=dice.choice([Order.INNER_FIRST, Order.INNER_FIRST, Order.OUTER_FIRST]),
    )
    outside = dice.choice([OutsideShape.ARC, OutsideShape.ARC, OutsideShape.CYLINDER])
    blank = Blank(diameter=diameter, height=height, outside=outside)
    job = Job(title="Invented", date="", units=Units.MM, blank=blank, nest=nest)
    return job, Shop(name="Invented", units=Units.MM, cutters=cutters, jaws=jaws, post=post), grid


def wishing(job: Job, objective: Objective, *wanted: float) -> Job:
    """A job with another objective, and rims that are wanted give or take 8 mm."""
    nest = dataclasses.replace(job.nest, objective=objective, wanted=wanted, wanted_tolerance=8.0)
    return dataclasses.replace(job, nest=nest)
