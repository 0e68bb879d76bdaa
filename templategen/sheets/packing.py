"""Shapes onto the fewest sheets: first fit from the top left, tried in several orders.

The search works on cells (`silhouette`), so a part may lie in the hole of another or in the free
room beside a tile. A sheet is one integer, a bit for each cell, row after row from the top. Shifted
by the offset of one cell of a shape, it has a bit set for each place that this cell forbids.
The result depends on the input only.
"""

import dataclasses
import functools
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from templategen.sheets.silhouette import Silhouette

Run = tuple[int, int]  # first column, columns
MOST_ROOMS = 64  # numbers as large as a sheet that are kept for one
MORE_ORDERS = 24  # by uneven sizes: the rings of the 400 × 180 example go on two sheets, not three
SPREAD = 1.5  # at most by so much a size counts for more
HALF_FULL = 0.55  # of the sheets: up to this more tries are worth their time
FULLEST = 0.84  # of the sheets: with more to lay on them no further order saves one
GOLDEN = (math.sqrt(5) - 1) / 2  # its multiples spread evenly between 0 and 1
RESTART = 250  # steps of a climb; the next one begins again from the best of the usual orders
MOST_KEPT = 64  # orders; then the states that were kept for the next ones are let go
MOST_SHARED = 200  # shapes; with more, states are not kept for the next order, to save memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """One thing to place.

    Args:
        turns: its silhouette at each allowed number of quarter turns, gap included.
        barred: number of a grid and quarter turns at which the thing itself is larger than that
            sheet, though its cells are not, for a sheet ends within a cell.
    """

    turns: tuple[tuple[int, Silhouette], ...]
    barred: frozenset[tuple[int, int]] = frozenset()


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


@dataclass(frozen=True, slots=True, eq=False)
class _Ready:
    """A silhouette for sheets of one width. Like ones are one object, see `_ready`.

    Args:
        quarters: quarter turns.
        columns: of the shape.
        rows: of the shape.
        bits: its cells as one number, laid in the top left corner of the sheet.
        groups: like rows: offset of the first one in bits, how many, and the runs of each.
    """

    quarters: int
    columns: int
    rows: int
    bits: int
    groups: tuple[tuple[int, int, tuple[Run, ...]], ...]


Turns = tuple[_Ready, ...]  # of one shape
Favoured = tuple[int, ...]  # grids of the sheets in turn, where a shape does not need another


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


@functools.lru_cache(maxsize=256)
def _groups(shape: Silhouette) -> tuple[tuple[int, int, tuple[Run, ...]], ...]:
    """Like rows of a silhouette: the first one, how many, and the runs of each."""
    groups: list[tuple[int, int, tuple[Run, ...]]] = []
    first, rows = 0, shape.rows
    for n in range(1, len(rows) + 1):
        if n == len(rows) or rows[n] != rows[first]:
            if rows[first]:
                groups.append((first, n - first, _runs(rows[first])))
            first = n
    # The longest runs first: they exclude most places.
    groups.sort(key=lambda g: -max([length for _, length in g[2]]) * g[1])
    return tuple(groups)


@functools.lru_cache(maxsize=512)
def _ready(quarters: int, shape: Silhouette, width: int) -> _Ready:
    rows = shape.rows
    # From the last row up, each the first digits of the number so far.
    lines = [format(row, f"0{width}b") for row in reversed(rows)]
    groups = tuple([(first * width, count, runs) for first, count, runs in _groups(shape)])
    return _Ready(quarters, shape.columns, len(rows), int("".join(lines), 2), groups)


class _State:
    """The taken cells of a sheet, with the results of the searches on it.

    A sheet only gets fuller: a shape that found no room never will. Orders often begin alike, so
    a state is kept for the next order; without that packing takes 1.5 times as long.

    Args:
        columns: of the sheet.
        rows: of the sheet.
        taken: cells, as one number.
        before: the state before the last shape was placed.
    """

    def __init__(
        self, columns: int, rows: int, taken: int = 0, before: "_State | None" = None
    ) -> None:
        self.columns = columns
        self.rows = rows
        self.taken = taken
        self.found: dict[Turns, tuple[int, _Ready]] = {}
        self.failed: set[Turns] = set() if before is None else before.failed.copy()
        self.after: dict[tuple[int, _Ready], _State] = {}
        self.all = (1 << (columns * rows)) - 1
        self.smears = [taken]  # number k: each taken cell also takes the 2^k - 1 cells before it
        self.rooms: dict[tuple[int, int], int] = {}  # see `_room`

    def then(self, place: int, shape: _Ready, *, share: bool) -> "_State":
        """The state with a shape whose top left corner lies at bit `place`."""
        state = self.after.get((place, shape))
        if state is None:
            state = _State(self.columns, self.rows, self.taken | shape.bits << place, self)
            if share:
                self.after[place, shape] = state
        self.forget()
        return state

    def forget(self) -> None:
        """Frees the large numbers, which are soon computed again."""
        self.smears = [self.taken]
        self.rooms.clear()

    def best(self, turns: Turns) -> tuple[int, _Ready] | None:
        """Where a shape lies best: the turn that ends highest, and the bit of its corner."""
        if turns in self.failed:
            return None
        best = self.found.get(turns)
        if best is None:
            below = self.rows
            for shape in turns:
                place = self._place(shape, below)
                if place is not None:
                    best = place, shape
                    # The next turn must end higher.
                    below = place // self.columns + shape.rows - 1
            if best is None:
                self.failed.add(turns)
            else:
                self.found[turns] = best
        return best

    def _smeared(self, length: int) -> int:
        """Bit n is set where any of the `length` cells from n on is taken."""
        power = length.bit_length() - 1
        while len(self.smears) <= power:
            last = self.smears[-1]
            self.smears.append(last | last >> (1 << (len(self.smears) - 1)))
        half = self.smears[power]
        return half | half >> (length - (1 << power))

    def _room(self, length: int, count: int) -> int:
        """Bit n is set where no cell of a rectangle with its top left corner there is taken."""
        room = self.rooms.get((length, count))
        if room is None:
            if len(self.rooms) >= MOST_ROOMS:
                self.forget()
            taken, done = self._smeared(length), 1
            while done * 2 <= count:
                taken |= taken >> (self.columns * done)
                done *= 2
            if count > done:
                taken |= taken >> (self.columns * (count - done))
            room = self.rooms[length, count] = taken ^ self.all
        return room

    def _place(self, shape: _Ready, below: int) -> int | None:
        """The topmost, then leftmost free place of a shape, as a bit, that ends above row `below`.

        None if there is none.
        """
        slack, last = self.columns - shape.columns, min(self.rows, below) - shape.rows
        if slack < 0 or last < 0:
            return None
        if not self.taken:
            return 0
        free = _places(self.columns, slack, last)
        for offset, count, runs in shape.groups:
            for start, length in runs:
                free &= self._room(length, count) >> (offset + start)
            if not free:
                return None
        return (free & -free).bit_length() - 1


class _Filling:
    """A sheet being filled.

    Args:
        grid: number of its grid.
        state: empty.
    """

    def __init__(self, grid: int, state: _State) -> None:
        self.grid = grid
        self.state = state
        self.free = state.columns * state.rows
        self.spots: list[Spot] = []

    def settle(self, turns: Turns, index: int, size: int, *, share: bool) -> bool:
        """Lays a shape where it lies best, if there is room."""
        best = self.state.best(turns)
        if best is None:
            return False
        place, shape = best
        row, column = divmod(place, self.state.columns)
        self.spots.append(Spot(index=index, quarters=shape.quarters, column=column, row=row))
        self.state = self.state.then(place, shape, share=share)
        self.free -= size
        return True


@functools.lru_cache(maxsize=4096)
def _places(columns: int, slack: int, last: int) -> int:
    """The bits of the first `slack` + 1 columns of the first `last` + 1 rows."""
    row = (1 << (slack + 1)) - 1
    places = row
    done = 1
    while done < last + 1:
        step = min(done, last + 1 - done)
        places |= (places & ((1 << (columns * step)) - 1)) << (columns * done)
        done += step
    return places


ORDERS: tuple[Callable[[Silhouette], tuple[float, ...]], ...] = (
    lambda s: (-len(s.rows) * s.columns,),
    lambda s: (-max(len(s.rows), s.columns), -min(len(s.rows), s.columns)),
    lambda s: (-s.cells,),
    lambda s: (-min(len(s.rows), s.columns), -max(len(s.rows), s.columns)),
    lambda s: (-len(s.rows) - s.columns,),
)


@dataclass(frozen=True, kw_only=True)
class _Task:
    """What is packed, and onto what.

    Args:
        turns: for each grid, the turns of each shape.
        sizes: cells that each shape covers, gap included.
        empty: an empty sheet of each grid.
    """

    turns: Sequence[Sequence[Turns]]
    sizes: Sequence[int]
    empty: Sequence[_State]

    @functools.cached_property
    def fitting(self) -> list[list[Turns]]:
        """For each grid, the turns of each shape that an empty sheet holds, or all where none is.

        A shape that fits on no sheet of a grid in any turn is never laid there.
        """
        return [
            [
                tuple(t for t in turns if t.columns <= e.columns and t.rows <= e.rows) or turns
                for turns in own
            ]
            for own, e in zip(self.turns, self.empty, strict=True)
        ]

    @property
    def largest(self) -> int:
        """Cells of the largest sheet."""
        return max(state.columns * state.rows for state in self.empty)


def pack(
    shapes: Sequence[Shape],
    grids: Sequence[tuple[int, int]],
    *,
    most: int | None = None,
    placements: int = 0,
    tries: int = 0,
) -> tuple[Sheet, ...] | None:
    """The shapes on as few sheets as the search finds.

    Args:
        shapes: each fits on at least one of the grids in one of its turns.
        grids: columns and rows of the sheets that may be used, the favoured one first.
        most: give up beyond so many sheets; None: never.
        placements: how many shapes are laid again in orders changed step by step, where the usual
            orders leave a sheet that might be saved; see `_climbed`.
        tries: how many orders and turns by chance are tried then; see `_varied`.

    Returns: the sheets, or None beyond `most`.
    """
    task = _Task(
        turns=[
            [
                tuple(_ready(q, s, columns) for q, s in shape.turns if (n, q) not in shape.barred)
                for shape in shapes
            ]
            for n, (columns, _) in enumerate(grids)
        ],
        sizes=[min(s.cells for _, s in shape.turns) for shape in shapes],
        empty=[_State(columns, rows) for columns, rows in grids],
    )
    least = math.ceil(sum(task.sizes) / task.largest)
    best: tuple[Sheet, ...] | None = None
    for order, favoured in _trials(shapes, len(grids)):
        limit = most if best is None else len(best) - 1
        found = _first_fit(task, order, favoured, limit)
        if found is not None:
            best = found
            if len(best) <= least:
                return best
    if best is not None and tries:
        best = _varied(task, best, least, tries)
        best = _first_kept(task, best, tries)
    if best is not None and placements >= len(shapes):
        return _climbed(task, best, _orders(shapes), placements // len(shapes))
    return best


def _trials(shapes: Sequence[Shape], grids: int) -> Iterator[tuple[list[int], Favoured]]:
    """The orders to try, each with sheets of one grid, then the plain ones with two in turn."""
    orders = _orders(shapes)
    for grid in range(grids):
        for order in orders:
            yield order, (grid,)
    for turns in itertools.permutations(range(grids), 2):
        for order in orders[: len(ORDERS) + 1]:
            yield order, turns


def _varied(task: _Task, found: tuple[Sheet, ...], least: int, tries: int) -> tuple[Sheet, ...]:
    """The sheets after tries of orders by chance, half of the shapes held to one turn each.

    The usual search takes for each shape the turn that ends highest; a few large shapes often go
    on a sheet only in other turns. Large shapes mostly come first, so that fewer tries are needed.
    """
    best, numbers = found, _numbers(start=5)
    for n in range(4 * tries):
        full = sum(task.sizes) / (task.largest * max(1, len(best) - 1))
        if len(best) <= least or full > FULLEST or (n >= tries and full > HALF_FULL):
            break
        weights = [-size * (1.0 + SPREAD * next(numbers) / 2**15) for size in task.sizes]
        order = sorted(range(len(weights)), key=weights.__getitem__)
        picked = [next(numbers) for _ in weights]
        turns = [
            [
                turns if pick % 2 or not turns else (turns[pick // 2 % len(turns)],)
                for turns, pick in zip(own, picked, strict=True)
            ]
            for own in task.fitting
        ]
        varied = dataclasses.replace(task, turns=turns)
        best = _first_fit(varied, order, (n % len(task.empty),), len(best) - 1) or best
    return best


def _first_kept(task: _Task, found: tuple[Sheet, ...], tries: int) -> tuple[Sheet, ...]:
    """The sheets after tries for all shapes but those that fill the first sheet as they are given.

    Shapes follow one another as the parts of a set do, so those are often the smaller half.
    """
    best = found
    for grid in range(len(task.empty)):
        order = range(len(task.sizes))
        first, *others = _first_fit(task, order, (grid,), None) or best
        if len(best) < 3 or len(others) < 2:
            continue
        laid = {spot.index for spot in first.spots}
        rest = [n for n in order if n not in laid]
        turns = [[own[n] for n in rest] for own in task.turns]
        smaller = _Task(turns=turns, sizes=[task.sizes[n] for n in rest], empty=task.empty)
        start = _first_fit(smaller, range(len(rest)), (grid,), None) or ()
        sheets = _varied(smaller, start, 1, tries)
        if 1 + len(sheets) < len(best):
            best = first, *(_renamed(sheet, rest) for sheet in sheets)
    return best


def _renamed(sheet: Sheet, numbers: Sequence[int]) -> Sheet:
    """A sheet whose shapes have other numbers."""
    spots = [dataclasses.replace(spot, index=numbers[spot.index]) for spot in sheet.spots]
    return dataclasses.replace(sheet, spots=tuple(spots))


def _climbed(
    task: _Task, found: tuple[Sheet, ...], orders: Sequence[Sequence[int]], tries: int
) -> tuple[Sheet, ...]:
    """The sheets after steps that fill some of them better, until one is saved or no try is left.

    Each step takes the order of the best sheets so far and either moves a shape of the sheet with
    the least on it or exchanges two shapes. A sum of squares of what lies on each sheet prefers
    full sheets and nearly empty ones to half full ones.
    """
    taken = sum(task.sizes)
    best, order = found, [spot.index for sheet in found for spot in sheet.spots]
    start: tuple[tuple[Sheet, ...], list[int]] | None = None
    numbers = _numbers()
    for n in range(tries):
        if taken > FULLEST * task.largest * (len(best) - 1):
            break
        if n % MOST_KEPT == 0:
            for state in task.empty:
                state.after.clear()
        if n < len(orders):
            changed = list(orders[n])
        else:
            if (n - len(orders)) % RESTART == 0:
                start = start or (best, order)
                best, order = start
            changed = list(order)
            for _ in range(1 + next(numbers) % 3):
                _change(changed, task, best, numbers)
        sheets = _first_fit(task, changed, (n % len(task.empty),), len(best))
        if sheets is not None and _worth(task, sheets) >= _worth(task, best):
            best, order = sheets, changed
            if start is not None and len(best) < len(start[0]):
                start = best, order
    return best if start is None or len(best) <= len(start[0]) else start[0]


def _worth(task: _Task, sheets: Sequence[Sheet]) -> tuple[int, int]:
    """The fewer sheets the better, then the less even they are filled."""
    return -len(sheets), sum(_load(task, sheet) ** 2 for sheet in sheets)


def _load(task: _Task, sheet: Sheet) -> int:
    """Cells that are covered."""
    return sum(task.sizes[spot.index] for spot in sheet.spots)


def _change(order: list[int], task: _Task, sheets: Sequence[Sheet], numbers: Iterator[int]) -> None:
    count = len(order)
    if next(numbers) % 2:
        spots = min(sheets, key=lambda sheet: _load(task, sheet)).spots
        index = spots[next(numbers) % len(spots)].index
        order.remove(index)
        order.insert(next(numbers) % count, index)
    else:
        one, other = next(numbers) % count, next(numbers) % count
        order[one], order[other] = order[other], order[one]


def _numbers(start: int = 1) -> Iterator[int]:
    """Numbers without a pattern, the same in every run and on every version of Python.

    The generator that the C standard (ISO/IEC 9899, 7.22.2) gives as an example of `rand`.
    """
    state = start
    while True:
        state = (state * 1103515245 + 12345) % 2**31
        yield state // 65536


def spare_spots(
    sheet: Sheet,
    shapes: Sequence[Shape],
    grid: tuple[int, int],
    extras: Sequence[Iterable[Shape]],
) -> list[Spot | None]:
    """Where further shapes fit on a filled sheet, each in the first of its forms that does.

    Args:
        sheet: filled.
        shapes: what the spots of the sheet point to.
        grid: columns and rows of the sheet.
        extras: the forms of each further shape, the favoured one first.

    Returns: for each further shape its spot, whose index is that of the form, or None for no room.
    """
    columns, rows = grid
    state = _State(columns, rows)
    for spot in sheet.spots:
        turns = dict(shapes[spot.index].turns)
        bits = _ready(spot.quarters, turns[spot.quarters], columns).bits
        state.taken |= bits << (spot.row * columns + spot.column)
    spots: list[Spot | None] = []
    for forms in extras:
        found = None
        for index, form in enumerate(forms):
            state = _State(columns, rows, state.taken)
            best = state.best(tuple(_ready(q, s, columns) for q, s in form.turns))
            if best is not None:
                place, shape = best
                row, column = divmod(place, columns)
                found = Spot(index=index, quarters=shape.quarters, column=column, row=row)
                state.taken |= shape.bits << place
                break
        spots.append(found)
    return spots


def _orders(shapes: Sequence[Shape]) -> list[list[int]]:
    """Orders to try: as given, the greatest first in several ways, then by sizes made uneven."""
    firsts = [shape.turns[0][1] for shape in shapes]
    orders: list[list[int]] = [list(range(len(shapes)))]
    for key in ORDERS:
        keys = [key(first) for first in firsts]
        order = sorted(range(len(shapes)), key=lambda n: (*keys[n], n))
        if order not in orders:  # the same again would find the same
            orders.append(order)
    for turn in range(1, MORE_ORDERS + 1):
        weights = [
            s.cells * (1.0 + SPREAD * (GOLDEN * turn * (n + 1) % 1.0)) for n, s in enumerate(firsts)
        ]
        order = [n for _, n in sorted((-weight, n) for n, weight in enumerate(weights))]
        if order not in orders:
            orders.append(order)
    return orders


def _first_fit(
    task: _Task, order: Sequence[int], favoured: Favoured, limit: int | None
) -> tuple[Sheet, ...] | None:
    """Each shape, in order, onto the first sheet that has room; None beyond `limit` sheets."""
    sheets: list[_Filling] = []
    fits = _fill(sheets, task, order, favoured, limit)
    for sheet in sheets:
        sheet.state.forget()
    if not fits:
        return None
    return tuple(Sheet(grid=sheet.grid, spots=tuple(sheet.spots)) for sheet in sheets)


def _fill(
    sheets: list[_Filling],
    task: _Task,
    order: Sequence[int],
    favoured: Favoured,
    limit: int | None,
) -> bool:
    """Fills and adds sheets, see `_first_fit`; False beyond `limit` sheets."""
    share = len(order) <= MOST_SHARED
    waiting = sum(task.sizes)
    for index in order:
        room = sum(sheet.free for sheet in sheets)
        if limit is not None and waiting > room + (limit - len(sheets)) * task.largest:
            return False  # what is left to place is more than the room that is left
        size = task.sizes[index]
        waiting -= size
        if any(
            sheet.free >= size
            and sheet.settle(task.turns[sheet.grid][index], index, size, share=share)
            for sheet in sheets
        ):
            continue
        if limit is not None and len(sheets) >= limit:
            return False
        first = favoured[len(sheets) % len(favoured)]
        for grid in sorted(range(len(task.empty)), key=lambda n: n != first):
            sheet = _Filling(grid, task.empty[grid])
            if sheet.settle(task.turns[grid][index], index, size, share=share):
                sheets.append(sheet)
                break
        else:
            raise ValueError(f"shape {index} fits on no sheet")
    return True
