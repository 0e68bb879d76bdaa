"""Where a shape lies best on a sheet, against trying every place one after another."""

from hypothesis import given, settings
from hypothesis import strategies as st

from templategen.sheets.packing import _ready, _State
from templategen.sheets.silhouette import Silhouette

COLUMNS, ROWS = 23, 19

Cells = frozenset[tuple[int, int]]  # column, row


@st.composite
def shapes(draw: st.DrawFn) -> Silhouette:
    """Frames, blocks and scattered cells; the first and last row and column are never empty."""
    columns, rows = draw(st.integers(1, 12)), draw(st.integers(1, 12))
    full = (1 << columns) - 1
    kind = draw(st.sampled_from(("block", "frame", "scattered")))
    if kind == "block":
        lines = [full] * rows
    elif kind == "frame":
        lines = [full, *[1 | 1 << (columns - 1)] * max(0, rows - 2), full][:rows]
    else:
        lines = [draw(st.integers(1, full)) for _ in range(rows)]
    return Silhouette(rows=tuple(lines), columns=columns)


def _cells(shape: Silhouette, column: int = 0, row: int = 0) -> Cells:
    return frozenset(
        (column + x, row + y)
        for y, line in enumerate(shape.rows)
        for x in range(shape.columns)
        if line >> x & 1
    )


def _tried(shape: Silhouette, taken: Cells, below: int) -> tuple[int, int] | None:
    """The topmost, then leftmost free place that ends above a row: row, column."""
    for row in range(below - len(shape.rows) + 1):
        for column in range(COLUMNS - shape.columns + 1):
            if not _cells(shape, column, row) & taken:
                return row, column
    return None


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(shapes(), st.booleans()), min_size=2, max_size=25))
def test_a_shape_lies_where_trying_every_place_puts_it(laid: list[tuple[Silhouette, bool]]) -> None:
    """One sheet filled shape after shape, twice: the second time from what the first found out."""
    empty = _State(COLUMNS, ROWS)
    for _ in (1, 2):
        state, taken = empty, Cells()
        for shape, may_turn in laid:
            turns = [shape, shape.turned()] if may_turn else [shape]
            wanted: tuple[int, int, int] | None = None
            below = ROWS
            for number, turn in enumerate(turns):
                place = _tried(turn, taken, below)
                if place is not None:
                    wanted = number, *place
                    below = place[0] + len(turn.rows) - 1
            ready = tuple(_ready(n, turn, COLUMNS) for n, turn in enumerate(turns))
            best = state.best(ready)
            if wanted is None:
                assert best is None
                continue
            assert best is not None
            number, row, column = wanted
            assert (best[1].quarters, *divmod(best[0], COLUMNS)) == (number, row, column)
            taken |= _cells(turns[number], column, row)
            state = state.then(*best, share=True)
