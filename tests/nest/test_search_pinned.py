"""The search around fixed cuts, held against the search that is free and the second look."""

import dataclasses
import random

import pytest
from builders import changed_job, pin_of
from cores import chain_on
from invented_jobs import invented

from templategen.nest.rules import (
    fits_offset,
    fits_reach,
    fits_slope,
    fits_standoff,
    fits_swing,
    meets,
)
from templategen.nest.search import GAP
from templategen.trade.records import PinnedCut


@pytest.mark.parametrize("objective", ["most", "largest"])
@pytest.mark.parametrize("seed", range(60))
def test_a_fixed_cut_costs_no_more_than_it_must(seed: int, objective: str) -> None:
    """A cut of the free chain, pinned, is kept and costs nothing; one moved aside may cost bowls.

    Every cut that was added keeps the rules in the bowl around it, the fixed one is there, and
    no chain with a fixed cut has more bowls than the free one.
    """
    dice = random.Random(1000 + seed)
    job, shop, grid = invented(seed)
    job = changed_job(job, objective=objective)
    free = chain_on(job, shop, grid)
    if free is None or not free.settings:
        return
    at = dice.randrange(len(free.settings))
    cut = free.settings[at]
    aside = dice.choice([0.0, 0.0, -grid, grid, -3 * grid])
    pin = pin_of(dataclasses.replace(cut, entry_radius=cut.entry_radius + aside))
    fixed = changed_job(job, pinned=(pin,))
    found = chain_on(fixed, shop, grid)
    assert found is not None
    marks = [(s.cutter.id, s.entry_radius, s.depth_at_axis) for s in found.settings]
    place = marks.index((pin.cutter, pin.entry_radius, pin.depth_at_axis))
    owns = [None, *found.settings]
    broken = [
        n
        for n, (body, own, inner) in enumerate(
            zip(found.shapes, owns, found.settings, strict=False)
        )
        if not meets(body, own, inner, fixed)
    ]
    # only the fixed cut may break a rule: in its own bowl, where nothing was put around it
    assert set(broken) <= {place}
    if objective == "largest":  # takes the largest first core, whatever it costs
        return
    keeps = fits_slope(found.settings[place], job) and fits_swing(found.settings[place])
    keeps = keeps and fits_standoff(found.settings[place], shop)
    keeps = keeps and fits_offset(found.settings[place], shop, job.nest.relief)
    keeps = keeps and fits_reach(found.settings[place])
    if not broken and keeps and found.shapes[place + 1].jaws is not None:
        assert len(found.shapes) <= len(free.shapes)
    if aside == 0:
        assert not broken
        assert len(found.shapes) == len(free.shapes)
        assert found.sizes * (1 + GAP) >= free.sizes


def test_what_was_chosen_first_need_not_hold_the_fixed_cut() -> None:
    """The largest core leaves no room for this shallow pin: another core is put around it."""
    job, shop, grid = invented(141)
    pin = PinnedCut(cutter="c0", entry_radius=115.0, depth_at_axis=20.0)
    fixed = changed_job(job, objective="most", pinned=(pin,))
    found = chain_on(fixed, shop, grid)
    assert found is not None
    marks = [(s.cutter.id, s.entry_radius, s.depth_at_axis) for s in found.settings]
    assert ("c0", 115.0, 20.0) in marks
    place = marks.index(("c0", 115.0, 20.0))
    owns = [None, *found.settings]
    for body, own, inner in list(zip(found.shapes, owns, found.settings, strict=False))[:place]:
        assert meets(body, own, inner, fixed)
