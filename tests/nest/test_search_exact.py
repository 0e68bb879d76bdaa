"""The search against tests/nest/reference.py, a slow exhaustive planner that shares no code.

The same comparison over more seeds: ``python tests/nest/test_search_exact.py most 0 120``.
"""

import os
import random
import sys

import pytest
from cores import chain_on
from invented_jobs import invented, wishing
from reference import Answer, exhaustive

from templategen.nest.even_search import EVEN_GAP, unevenness_of
from templategen.nest.search import GAP, Chain
from templategen.trade.choices import Objective
from templategen.trade.records import Job, Shop

DEEP = os.environ.get("HYPOTHESIS_PROFILE") == "deep"
SEEDS = range(120) if DEEP else [n for n in range(30) if n not in (12, 21)]  # those take long
MEASURED = 0.05  # mm for each bowl: the reference measures walls at points


def _found(job: Job, shop: Shop, grid: float) -> tuple[Chain | None, Answer]:
    return chain_on(job, shop, grid), exhaustive(job, shop, grid=grid)


def _is_equal(job: Job, found: Chain | None, answer: Answer) -> bool:
    """Whether the two agree in bowls, in tenons under their wish, then in the objective."""
    if found is None or answer.cuts < 0:
        return found is None and answer.cuts < 0
    if (len(found.settings), found.unders) != (answer.cuts, answer.unders):
        return False
    if job.nest.objective is Objective.EVEN:
        slack = MEASURED * answer.cuts
        uneven = unevenness_of(found, job.nest.height_above_centre)
        return answer.uneven - slack <= uneven <= answer.uneven + EVEN_GAP + slack
    if job.nest.objective is Objective.LARGEST and answer.cuts:
        first = found.shapes[1].size
        if abs(first - answer.first) > 1e-3 * answer.first:
            return False
    # the quick planner reaches nothing that the slow one cannot
    return answer.sizes / (1 + GAP) <= found.sizes <= answer.sizes * (1 + 1e-3)


def wanted_rims(job: Job, shop: Shop, grid: float, seed: int) -> tuple[float, ...]:
    """One or two rims that are near those of the best plan, so that they may be had."""
    dice = random.Random(seed)
    chain = chain_on(job, shop, grid)
    assert chain is not None
    rims = [2 * shape.rim_radius for shape in chain.shapes[1:]] or [job.blank.diameter / 2]
    some = dice.sample(rims, min(len(rims), dice.choice([1, 1, 2])))
    return tuple(rim + dice.uniform(-30.0, 10.0) for rim in some)


@pytest.mark.parametrize("seed", SEEDS)
def test_never_beaten(seed: int) -> None:
    """No chain on the grid has more bowls, fewer tenons under, or 0.5 % more in sum of sizes."""
    job, shop, grid = invented(seed)
    assert _is_equal(job, *_found(job, shop, grid))


@pytest.mark.parametrize("seed", range(108 if DEEP else 109, 120))
def test_the_largest_first_core(seed: int) -> None:
    """No chain has a larger first core, nor more bowls with one as large."""
    job, shop, grid = invented(seed)
    job = wishing(job, Objective.LARGEST)
    assert _is_equal(job, *_found(job, shop, grid))


@pytest.mark.parametrize("seed", [2, 4, 7, 8, 13, 14, 17, 19])
def test_the_most_even_walls(seed: int) -> None:
    """No chain with as many bowls and tenons under has walls more even by over 0.1 mm in sum."""
    job, shop, grid = invented(seed)
    job = wishing(job, Objective.EVEN)
    assert _is_equal(job, *_found(job, shop, grid))


@pytest.mark.parametrize("seed", range(200, 216))
def test_wanted_rims(seed: int) -> None:
    """A chain with the wanted rims is found if there is one, and it is the best of these."""
    job, shop, grid = invented(seed)
    objective = (Objective.MOST, Objective.LARGEST)[seed % 2]
    job = wishing(job, objective, *wanted_rims(job, shop, grid, seed))
    assert _is_equal(job, *_found(job, shop, grid))


def test_cases_have_all_counts() -> None:
    """The cases reach from no core at all to three, so that the comparison is not an empty one."""
    chains = [chain_on(*invented(seed)) for seed in SEEDS]
    assert {len(chain.settings) for chain in chains if chain is not None} >= {0, 1, 2, 3}
    assert {chain.unders for chain in chains if chain is not None} >= {0, 1}


def main(objective: Objective, seeds: range, *, wanted: bool) -> None:
    """Compares many cases and prints how many agree."""
    equal, bowls, met = 0, dict[int, int](), 0
    for seed in seeds:
        job, shop, grid = invented(seed)
        rims = wanted_rims(job, shop, grid, seed) if wanted else ()
        job = wishing(job, objective, *rims)
        found, answer = _found(job, shop, grid)
        equal += _is_equal(job, found, answer)
        met += answer.cuts >= 0
        bowls[answer.cuts + 1] = bowls.get(answer.cuts + 1, 0) + 1
        if not _is_equal(job, found, answer):
            sys.stdout.write(f"seed {seed}: {answer}, found {found and len(found.settings)}\n")
    sys.stdout.write(f"{objective.value} {equal} of {len(seeds)} equal; bowls {bowls}; had {met}\n")


if __name__ == "__main__":
    main(
        Objective(sys.argv[1]),
        range(int(sys.argv[2]), int(sys.argv[3])),
        wanted="wanted" in sys.argv,
    )
