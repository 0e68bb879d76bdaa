"""Shapes onto the fewest sheets: first fit from the top left, tried in several orders.

The search works on cells (`silhouette`), so a part may lie in the hole of another or in the free
room beside a tile. Rows of cells are whole numbers, one bit a cell: a whole row of positions is
tested at once. The result depends on the input only.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templategen.sheets.silhouette import Silhouette

Run = tuple[int, int]  # first column, columns


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One thing to place.

    Args:
        turns: its silhouette at each allowed number of quarter turns, gap included.
    """

    turns: tuple[tuple[int, Silhouette], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a shape lies: its index, its quarter turns, and the top left cell."""

    index: int
    quarters: int
    column: int
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A filled sheet: which of the grids it has, and what lies on it."""

    grid: int
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class _Ready:
    """A silhouette cut into groups of like rows."""

    quarters: int
    columns: int
    rows: tuple[int, ...]
    groups: tuple[tuple[int, int, tuple[Run, ...]], ...]


def _runs(row: int) -> tuple[Run, ...]:
    runs = []
    start = 0
    while row:
        skip = (row & -row).bit_length() - 1
        row >>= skip
        start += skip
        length = (~row & (row + 1)).bit_length() - 1
        runs.append((start, length))
        row >>= length
        start += length
    return tuple(runs)


def _ready(quarters: int, shape: Silhouette) -> _Ready:
    groups: list[tuple[int, int, tuple[Run, ...]]] = []
    first = 0
    rows = shape.rows
    for n in range(1, len(rows) + 1):
        if n == len(rows) or rows[n] != rows[first]:
            if rows[first]:
                groups.append((first, n, _runs(rows[first])))
            first = n
    # The longest runs first: they rule out most places at once.
    groups.sort(key=lambda g: -max(length for _, length in g[2]) * (g[1] - g[0]))
    return _Ready(quarters, shape.columns, rows, tuple(groups))


def _smeared(row: int, length: int) -> int:
    """Bit x is set where any of the `length` bits from x on is set in the row."""
    done = 1
    while done * 2 <= length:
        row |= row >> done
        done *= 2
    return row | row >> (length - done) if length > done else row


def _place(
    filled: Sequence[int], columns: int, shape: _Ready, below: int
) -> tuple[int, int] | None:
    """The topmost, then leftmost free place (row, column) that ends above row `below`."""
    slack = columns - shape.columns
    if slack < 0:
        return None
    everywhere = (1 << (slack + 1)) - 1
    last = min(len(filled), below) - len(shape.rows)
    for top in range(last + 1):
        blocked = 0
        for first, end, runs in shape.groups:
            taken = 0
            for row in filled[top + first : top + end]:
                taken |= row
            if taken:
                for start, length in runs:
                    blocked |= _smeared(taken, length) >> start
                if blocked & everywhere == everywhere:
                    break
        else:
            free = ~blocked & everywhere
            return top, (free & -free).bit_length() - 1
    return None


ORDERS: tuple[Callable[[Silhouette], tuple[float, ...]], ...] = (
    lambda s: (-len(s.rows) * s.columns,),
    lambda s: (-max(len(s.rows), s.columns), -min(len(s.rows), s.columns)),
    lambda s: (-s.cells,),
    lambda s: (-min(len(s.rows), s.columns), -max(len(s.rows), s.columns)),
    lambda s: (-len(s.rows) - s.columns,),
)


def pack(
    shapes: Sequence[Shape], grids: Sequence[tuple[int, int]], *, most: int | None = None
) -> tuple[Sheet, ...] | None:
    """The shapes on as few sheets as the search finds.

    Args:
        shapes: each fits on at least one of the grids in one of its turns.
        grids: columns and rows of the sheets that may be used, the favoured one first.
        most: give up beyond so many sheets; None: never.

    Returns: the sheets, or None beyond `most`.
    """
    ready = [tuple(_ready(q, s) for q, s in shape.turns) for shape in shapes]
    sizes = [min(s.cells for _, s in shape.turns) for shape in shapes]
    least = math.ceil(sum(sizes) / max(c * r for c, r in grids)) if shapes else 0
    best: tuple[Sheet, ...] | None = None
    for favoured in range(len(grids)):
        for order in _orders(shapes):
            limit = most if best is None else len(best) - 1
            found = _first_fit(ready, sizes, order, grids, favoured, limit)
            if found is not None:
                best = found
                if len(best) <= least:
                    return best
    return best


def _orders(shapes: Sequence[Shape]) -> list[list[int]]:
    """Orders to try: the greatest first, by size in several ways."""
    firsts = [shape.turns[0][1] for shape in shapes]
    return [sorted(range(len(shapes)), key=lambda n: (*key(firsts[n]), n)) for key in ORDERS]


def _first_fit(
    ready: Sequence[tuple[_Ready, ...]],
    sizes: Sequence[int],
    order: Sequence[int],
    grids: Sequence[tuple[int, int]],
    favoured: int,
    limit: int | None,
) -> tuple[Sheet, ...] | None:
    filled: list[list[int]] = []
    kinds: list[int] = []
    spots: list[list[Spot]] = []
    left: list[int] = []

    def settle(number: int, index: int) -> bool:
        columns = grids[kinds[number]][0]
        best: tuple[int, int, _Ready] | None = None
        below = len(filled[number])
        for shape in ready[index]:
            place = _place(filled[number], columns, shape, below)
            if place is not None:
                best = (*place, shape)
                below = place[0] + len(shape.rows) - 1  # the next turn must end higher
        if best is None:
            return False
        row, column, shape = best
        for n, bits in enumerate(shape.rows):
            filled[number][row + n] |= bits << column
        left[number] -= sizes[index]
        spots[number].append(Spot(index=index, quarters=shape.quarters, column=column, row=row))
        return True

    waiting = sum(sizes)
    largest = max(columns * rows for columns, rows in grids)
    for index in order:
        if limit is not None and waiting > sum(left) + (limit - len(filled)) * largest:
            return None  # what is left to place is more than the room that is left
        waiting -= sizes[index]
        if any(left[n] >= sizes[index] and settle(n, index) for n in range(len(filled))):
            continue
        if limit is not None and len(filled) >= limit:
            return None
        for grid in (favoured, *(n for n in range(len(grids)) if n != favoured)):
            filled.append([0] * grids[grid][1])
            kinds.append(grid)
            spots.append([])
            left.append(grids[grid][0] * grids[grid][1])
            if settle(len(filled) - 1, index):
                break
            for kept in (filled, kinds, spots, left):
                kept.pop()
        else:
            raise ValueError(f"shape {index} fits on no sheet")
    return tuple(Sheet(grid=kind, spots=tuple(lie)) for kind, lie in zip(kinds, spots, strict=True))
