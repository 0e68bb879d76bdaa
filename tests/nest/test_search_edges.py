"""What the search does at its edges: no room for more, nothing that holds, no circle."""

from dataclasses import replace as swap

import numpy as np
import pytest
from cores import blank_shape, open_shop, search_of

from templategen.inputs.starters import demo_job
from templategen.nest import search
from templategen.nest.cut_columns import Reach
from templategen.nest.cut_table import CutTable, make_cut_table
from templategen.nest.search import Aim, Segment, best_chain
from templategen.nest.tenon_choice import blank_options


@pytest.fixture(scope="module")
def table() -> CutTable:
    """The cuts for the demo blank on marks of 4 mm."""
    return make_cut_table(demo_job(), open_shop(), reach=Reach(entry=178, depth=149), grid=4.0)


def test_no_more_cuts_than_the_bound(table: CutTable, monkeypatch: pytest.MonkeyPatch) -> None:
    """A blank is not asked for more cuts than the bound; with fewer it gives the largest core."""
    start = blank_options(demo_job(), open_shop())
    whole = best_chain(start, table)
    assert whole is not None
    assert len(whole.settings) == 2
    monkeypatch.setattr(search, "MOST_CUTS", 1)
    one = best_chain(start, table)
    assert one is not None
    assert len(one.settings) == 1
    first = best_chain(start, table, aim=Aim(largest=True))
    assert first is not None
    assert one.sizes == pytest.approx(first.sizes, rel=search.GAP)


def test_nothing_goes_around_a_cut_that_no_core_holds(
    table: CutTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The largest first core must still hold the fixed cut; where none does, none is put there."""
    start = blank_options(demo_job(), open_shop())
    around = Segment(last=table.setting(int(table.order[-1])))
    chain = best_chain(start, table, around, aim=Aim(largest=True))
    assert chain is not None
    assert chain.settings
    monkeypatch.setattr(search._Search, "fits_last", lambda *_: False)
    assert best_chain(start, table, around, aim=Aim(largest=True)) is None


def test_a_cell_whose_corner_no_circle_meets_asks_rim_and_floor_alone() -> None:
    """The widest entry with the deepest cut may be no circle of the cutter: no curve is asked."""
    job, shop = demo_job(), open_shop()
    job = swap(job, nest=swap(job.nest, max_slope=80.0, min_ratio=0.0, relief=None))
    cutter = swap(shop.cutters[1], max_swing=180.0)
    post = swap(shop.post, min_offset=-200.0, max_offset=200.0)
    shop = swap(shop, cutters=(cutter,), post=post)
    table = make_cut_table(job, shop, reach=Reach(entry=300, depth=149), grid=4.0)
    seek = search_of(blank_shape(job, shop), table)
    cell = np.array([np.argmax(table.entry_mark), np.argmax(table.depth_mark)])
    held = seek.envelope(cell)
    assert held.curves == ()
    assert held.rim == table.rim[cell].max()
    assert held.wall == table.wall(cell).min()
    assert seek.envelope(cell[:1]).curves != ()
