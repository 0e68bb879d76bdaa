"""Parts onto pages: small ones packed, large ones tiled, with bars, marks and neighbours' names."""

import dataclasses
import math
from collections.abc import Sequence
from dataclasses import dataclass

from templategen.errors import LimitError
from templategen.geometry.shapes import Arc, Box, Line, Point, Transform, circle
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    arc_path,
    line,
)
from templategen.parts.lettering import shortened
from templategen.sheets.page import Pack, Page, Placement, Registration
from templategen.sheets.paper import Paper
from templategen.units import Units

STRIP_LEFT, STRIP_BOTTOM, STRIP_TOP = 11.0, 17.0, 6.0  # mm kept for bars and wording
RIM = 5.5  # mm round a tile for the neighbours' names
GAP = 4.0  # mm between packed parts
MARK_CLEAR = 6.0  # mm from a registration mark's centre to a cut line
MOST_TILES = 100  # tiles of one part
CAUTION = "Face shield on. Power off and locked before you touch belts or tools. Stand clear."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Tile:
    column: int
    row: int
    window: Box  # in the turned part's frame

    @property
    def name(self) -> str:
        return f"{chr(ord('A') + self.column % 26)}{self.row + 1}"


def content_area(paper: Paper, margin: float = 10.0) -> Box:
    """The part of a page that parts may use, page mm."""
    return Box(
        margin + STRIP_LEFT,
        margin + STRIP_BOTTOM,
        paper.width - margin,
        paper.height - margin - STRIP_TOP,
    )


def lay_out(
    parts: Sequence[Part],
    *,
    paper: Paper,
    units: Units,
    job_title: str,
    date: str,
    margin: float = 10.0,
    lap: float = 10.0,
    first_page: int = 1,
) -> Pack:
    """All parts on pages of one paper.

    Args:
        parts: full-size parts; their keys are unique.
        paper: the sheet.
        units: of the scale-check bars: 150 mm or 6 in.
        job_title: printed on each page.
        date: the job's date, or empty.
        margin: mm, at least 5.
        lap: how far neighbouring tiles overlap, mm.
        first_page: number of the first page.

    Raises:
        LimitError: a part would need more than 100 tiles.
    """
    area = content_area(paper, margin)
    small = [p for p in parts if _fits(p, area)]
    large = [p for p in parts if not _fits(p, area)]
    pages: list[Page] = []
    for part in large:
        pages += _tiled(
            part, first_page + len(pages), area, lap, paper, units, job_title, date, margin
        )
    for shelf in _packed(small, area):
        number = first_page + len(pages)
        titles = ", ".join(dict.fromkeys(p.part.title for p in shelf))
        pages.append(
            Page(
                number=number,
                label=f"Sheet {number}",
                paper=paper,
                title=titles,
                placements=tuple(shelf),
                marks=(),
                furniture=page_furniture(
                    paper, units, f"Sheet {number}", titles, job_title, date, margin
                ),
            )
        )
    return Pack(pages=tuple(pages), job_title=job_title)


def page_furniture(
    paper: Paper, units: Units, label: str, title: str, job_title: str, date: str, margin: float
) -> Drawing:
    """Bars, wording and caution of one page, page mm."""
    step, count = (25.4, 6) if units is Units.IN else (10.0, 15)
    left = margin + STRIP_LEFT
    across = min(count, int((paper.width - margin - left) / step))
    down = min(count, int((paper.height - 2 * margin - STRIP_BOTTOM) / step))

    def named(count: int) -> str:
        return f"{count} in" if units is Units.IN else f"{count * 10} mm"

    y, x = margin + 8.0, margin + 6.5
    items: list[Item] = [line(left, y, left + across * step, y)]
    for n in range(across + 1):
        tall = 3.0 if n in (0, across) else 1.5
        items.append(line(left + n * step, y, left + n * step, y + tall))
    base = margin + STRIP_BOTTOM
    items.append(line(x, base, x, base + down * step))
    for n in range(down + 1):
        wide = 3.0 if n in (0, down) else 1.5
        items.append(line(x, base + n * step, x + wide, base + n * step))
    check = "measure before you cut"
    items.append(Text(text=f"{named(across)} across: {check}", at=Point(left, y + 4.0)))
    items.append(
        Text(
            text=f"{named(down)} down: {check}",
            at=Point(x - 1.6, base),
            angle=math.pi / 2,
        )
    )
    room = paper.width - margin - left
    foot = " · ".join(t for t in (label, title, job_title, date) if t)
    items.append(Text(text=shortened(foot, width=room, size=BODY), at=Point(left, margin + 2.5)))
    items.append(
        Text(
            text=shortened(CAUTION, width=room, size=BODY),
            at=Point(left, paper.height - margin - 3.4),
        )
    )
    return Drawing(items=tuple(items))


def _fits(part: Part, area: Box) -> bool:
    box = part.drawing.bounds()
    upright = box.width <= area.width and box.height <= area.height
    turned = part.may_turn and box.height <= area.width and box.width <= area.height
    return upright or turned or not part.may_tile


def _packed(parts: Sequence[Part], area: Box) -> list[list[Placement]]:
    best: list[list[Placement]] | None = None
    for order in ("height", "width", "area"):
        for turn in (False, True):
            pages = _shelves(parts, area, order=order, prefer_turn=turn)
            if best is None or len(pages) < len(best):
                best = pages
    return best or []


def _shelves(
    parts: Sequence[Part], area: Box, *, order: str, prefer_turn: bool
) -> list[list[Placement]]:
    turned: list[tuple[Part, Transform, Box]] = []
    for part in parts:
        box = part.drawing.bounds()
        upright = box.width <= area.width and box.height <= area.height
        can_turn = part.may_turn and box.height <= area.width and box.width <= area.height
        turn = Transform()
        if can_turn and (not upright or (prefer_turn and box.height > box.width)):
            turn = Transform.rotate(math.pi / 2)
            box = Box(-box.top, box.left, -box.bottom, box.right)
        turned.append((part, turn, box))
    keys = {
        "height": lambda t: (-t[2].height, -t[2].width),
        "width": lambda t: (-t[2].width, -t[2].height),
        "area": lambda t: (-t[2].width * t[2].height,),
    }
    pages: list[list[Placement]] = []
    shelves: list[list[float]] = []  # a row: page, y of its top, its height, next x
    for part, turn, box in sorted(turned, key=keys[order]):
        row = next(
            (s for s in shelves if box.height <= s[2] + 1e-9 and s[3] + box.width <= area.right),
            None,
        )
        if row is None:
            for index in range(len(pages)):
                used = [s for s in shelves if s[0] == index]
                top = min(s[1] - s[2] for s in used) - GAP
                if top - box.height >= area.bottom:
                    row = [float(index), top, box.height, area.left]
                    break
            else:
                pages.append([])
                row = [float(len(pages) - 1), area.top, box.height, area.left]
            shelves.append(row)
        shift = Transform.move(row[3] - box.left, row[1] - box.top)
        window = Box(row[3], row[1] - box.height, row[3] + box.width, row[1])
        pages[int(row[0])].append(
            Placement(part=part, transform=turn.then(shift), clip=window.grown(GAP / 2 - 0.1))
        )
        row[3] += box.width + GAP
    return pages


def _samples(drawing: Drawing, *roles: Role) -> list[Point]:
    points: list[Point] = []
    for path in drawing.paths(*roles):
        for segment in path.segments:
            match segment:
                case Line(start, end):
                    count = max(1, math.ceil(math.dist(start, end)))
                    points += [
                        Point(
                            start.x + (end.x - start.x) * n / count,
                            start.y + (end.y - start.y) * n / count,
                        )
                        for n in range(count + 1)
                    ]
                case Arc():
                    count = max(8, math.ceil(abs(segment.sweep) * segment.radius))
                    points += [
                        segment.at(segment.from_angle + segment.sweep * n / count)
                        for n in range(count + 1)
                    ]
    return points


def _inside(point: Point, box: Box) -> bool:
    return box.left <= point.x <= box.right and box.bottom <= point.y <= box.top


def _grid(part: Part, area: Box, lap: float) -> tuple[Transform, Drawing, list[_Tile], int, int]:
    """The turn, the turned drawing and its tiles, for the fewest tiles that hold ink."""
    best: tuple[tuple[int, int], Transform, Drawing, list[_Tile], int, int] | None = None
    for angle in (0.0, math.pi / 2) if part.may_turn else (0.0,):
        turn = Transform.rotate(angle)
        drawing = part.drawing.moved(turn)
        box = drawing.bounds().grown(0.5)
        columns = max(1, math.ceil((box.width - lap) / (area.width - lap)))
        rows = max(1, math.ceil((box.height - lap) / (area.height - lap)))
        if columns * rows > MOST_TILES:
            raise LimitError(
                f"{part.title} needs more than {MOST_TILES} sheets", mend="use larger paper"
            )
        ink = _samples(drawing)
        texts = [t.bounds() for t in drawing.texts()]
        spare_x = columns * (area.width - lap) + lap - box.width
        spare_y = rows * (area.height - lap) + lap - box.height
        for share_x in (0.0, 0.25, 0.5, 0.75, 1.0) if columns > 1 else (0.5,):
            for share_y in (0.0, 0.25, 0.5, 0.75, 1.0) if rows > 1 else (0.5,):
                left, top = box.left - spare_x * share_x, box.top + spare_y * share_y
                tiles = []
                for row in range(rows):
                    for column in range(columns):
                        x = left + column * (area.width - lap)
                        y = top - row * (area.height - lap)
                        window = Box(x, y - area.height, x + area.width, y)
                        if any(_inside(p, window) for p in ink) or any(
                            window.holds(t) for t in texts
                        ):
                            tiles.append(_Tile(column=column, row=row, window=window))
                split = sum(not any(t.window.holds(b) for t in tiles) for b in texts)
                score = (len(tiles), split)
                if best is None or score < best[0]:
                    best = (score, turn, drawing, tiles, columns, rows)
    assert best is not None
    return best[1:]


def _tiled(
    part: Part,
    first: int,
    area: Box,
    lap: float,
    paper: Paper,
    units: Units,
    job_title: str,
    date: str,
    margin: float,
) -> list[Page]:
    frame = area.grown(-RIM)
    turn, drawing, tiles, columns, rows = _grid(part, frame, lap)
    numbers = {(t.column, t.row): first + n for n, t in enumerate(tiles)}
    names = {(t.column, t.row): t.name for t in tiles}
    marks = _seam_marks(part, drawing, tiles, lap)
    back = turn.inverse()
    whole = {
        index: [t for t in tiles if t.window.holds(text.bounds())]
        for index, text in enumerate(drawing.items)
        if isinstance(text, Text)
    }
    pages: list[Page] = []
    for tile in tiles:
        place = (tile.column, tile.row)
        number = numbers[place]
        shift = Transform.move(frame.left - tile.window.left, frame.bottom - tile.window.bottom)
        own = [m for m in marks if place in m[1]]
        items = [
            item
            for index, (item, moved) in enumerate(
                zip(part.drawing.items, drawing.items, strict=True)
            )
            if isinstance(moved, Path)
            or whole[index][:1] == [tile]
            or (not whole[index] and moved.bounds().meets(tile.window))
        ]
        points = [back.apply(m[0]) for m in own]
        for point in points:
            items += mark_items(point)
        shown = dataclasses.replace(part, drawing=Drawing(items=tuple(items)))
        label = f"Sheet {number}"
        title = f"{part.title}, {tile.name} of {columns} × {rows}"
        furniture = page_furniture(paper, units, label, title, job_title, date, margin)
        pages.append(
            Page(
                number=number,
                label=label,
                paper=paper,
                title=title,
                placements=(Placement(part=shown, transform=turn.then(shift), clip=frame),),
                marks=tuple(
                    Registration(part_key=part.key, label=m[2], point=p)
                    for m, p in zip(own, points, strict=True)
                ),
                furniture=furniture + _edges(frame, place, numbers, names),
            )
        )
    return pages


def mark_items(point: Point) -> list[Item]:
    """A registration mark: a cross 8 mm wide in a ring of 4 mm."""
    return [
        line(point.x - 4, point.y, point.x + 4, point.y),
        line(point.x, point.y - 4, point.x, point.y + 4),
        arc_path(circle(point, 2.0), role=Role.MARK),
    ]


def _edges(
    frame: Box,
    place: tuple[int, int],
    numbers: dict[tuple[int, int], int],
    names: dict[tuple[int, int], str],
) -> Drawing:
    column, row = place
    middle_x, middle_y = (frame.left + frame.right) / 2, (frame.bottom + frame.top) / 2
    up = math.pi / 2
    sides = (
        ((column - 1, row), Point(frame.left - 1.6, middle_y), up, "trim here, over",
         (frame.left, frame.bottom, frame.left, frame.top)),
        ((column + 1, row), Point(frame.right + 4.0, middle_y), up, "glue under",
         (frame.right, frame.bottom, frame.right, frame.top)),
        ((column, row - 1), Point(middle_x, frame.top + 1.6), 0.0, "trim here, over",
         (frame.left, frame.top, frame.right, frame.top)),
        ((column, row + 1), Point(middle_x, frame.bottom - 4.0), 0.0, "glue under",
         (frame.left, frame.bottom, frame.right, frame.bottom)),
    )  # fmt: skip
    items: list[Item] = []
    for other, at, angle, verb, (x0, y0, x1, y1) in sides:
        if other in numbers:
            items.append(line(x0, y0, x1, y1, role=Role.MARK, dashed=True))
            text = f"{verb} sheet {numbers[other]} ({names[other]})"
            items.append(Text(text=text, at=at, angle=angle, anchor=Anchor.MIDDLE))
    return Drawing(items=tuple(items))


def _seam_marks(
    part: Part, drawing: Drawing, tiles: list[_Tile], lap: float
) -> list[tuple[Point, set[tuple[int, int]], str]]:
    """Two marks a seam, in the turned frame: point, the tiles that carry it, label."""
    cut = _samples(drawing, Role.CUT)
    texts = [t.bounds() for t in drawing.texts()]
    kept = {(t.column, t.row): t for t in tiles}
    marks: list[tuple[Point, set[tuple[int, int]], str]] = []
    for (column, row), tile in kept.items():
        for other, upright in (((column + 1, row), True), ((column, row + 1), False)):
            if other not in kept:
                continue
            window = tile.window
            if upright:
                low, high = window.bottom + 6, window.top - 6
            else:
                low, high = window.left + 6, window.right - 6
            for half in (0, 1):
                start = low + half * (high - low) * 0.55
                spots = [start + (high - low) * 0.45 * n / 40 for n in range(41)]
                points = [
                    Point(window.right - lap / 2, s)
                    if upright
                    else Point(s, window.bottom + lap / 2)
                    for s in spots
                ]
                point = max(points, key=lambda p: _clearance(p, cut, texts))
                label = f"{part.key} {tile.name}-{kept[other].name} {half + 1}"
                marks.append((point, {(column, row), other}, label))
    return marks


def _clearance(point: Point, cut: list[Point], texts: list[Box]) -> float:
    near = min((math.dist(point, c) for c in cut), default=MARK_CLEAR * 2)
    box = Box(point.x - 4, point.y - 4, point.x + 4, point.y + 4)
    penalty = 10.0 if any(box.meets(t) for t in texts) else 0.0
    return min(near, MARK_CLEAR * 2) - penalty
