"""The chart of a shop as printed tables: bowls and cutters by the size of the blank."""

from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point
from templategen.messages import mark, say
from templategen.nest.chart import Chart, ChartCell
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.labels import LEADING, length
from templategen.parts.lettering import text_width, wrap
from templategen.trade.records import DryingWall, LengthWall, ShareWall
from templategen.units import Units

WIDTH = 174.0  # mm: fits A4 and letter
MOST_ROWS = 34  # blanks' diameters in one table
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
HOW = mark(
    "Bowls of each blank, the outermost among them, then its cutters by their letters from the "
    "rim inward. A dash: the blank gives no core. An empty place: the shop cannot turn or hold "
    "such a blank. Figures are the planner's best; plan each blank before you cut."
)


def make(chart: Chart, *, units: Units) -> tuple[Part, ...]:
    """As many tables as the chart needs, each on a sheet of its own."""
    letters = letters_of(chart)
    marks = [[cell_text(cell, letters) for cell in row] for row in chart.cells]
    heads = [length(height, units) for height in chart.heights]
    corner = say("diameter")
    first = 4.0 + max(text_width(length(d, units), size=BODY, bold=True) for d in chart.diameters)
    first = max(first, 4.0 + text_width(corner, size=BODY, bold=True))
    wide = 3.0 + max(
        [text_width(m, size=BODY) for row in marks for m in row]
        + [text_width(h, size=BODY, bold=True) for h in heads]
    )
    columns = max(1, int((WIDTH - first) / wide))
    parts: list[Part] = []
    for top in range(0, len(chart.diameters), MOST_ROWS):
        for left in range(0, len(heads), columns):
            body = [row[left : left + columns] for row in marks[top : top + MOST_ROWS]]
            names = [length(d, units) for d in chart.diameters[top : top + MOST_ROWS]]
            parts.append(
                _sheet(
                    chart,
                    letters,
                    [[corner, *heads[left : left + columns]]]
                    + [[name, *row] for name, row in zip(names, body, strict=True)],
                    (first, wide),
                    number=len(parts) + 1,
                    units=units,
                )
            )
    return tuple(parts)


def letters_of(chart: Chart) -> dict[str, str]:
    """A letter for each cutter of the shop, by its id; primed where the letters run out."""
    return {
        cutter.id: LETTERS[n % len(LETTERS)] + "'" * (n // len(LETTERS))
        for n, cutter in enumerate(chart.shop.cutters)
    }


def cell_text(cell: ChartCell, letters: dict[str, str]) -> str:
    """A cell in short, such as ``4 dcb``: bowls, then the letters of the cutters."""
    if not cell.bowls:
        return ""
    if not cell.cutters:
        return "–"
    return f"{cell.bowls} {''.join(letters[name] for name in cell.cutters)}"


def wishes(chart: Chart, *, units: Units) -> str:
    """What the chart is for: wall and least bowl in words."""
    least = length(chart.job.nest.min_bowl, units)
    match chart.job.nest.wall:
        case ShareWall(share):
            return say(
                "wall {share:g} % of the rim, bowls of {least} and more",
                share=100 * share,
                least=least,
            )
        case LengthWall(wall):
            return say(
                "wall {wall}, bowls of {least} and more", wall=length(wall, units), least=least
            )
        case DryingWall():
            return say(
                "wall from drying ({wood}), bowls of {least} and more",
                wood=chart.job.blank.wood or say("own wood"),
                least=least,
            )


def _sheet(
    chart: Chart,
    letters: dict[str, str],
    rows: Sequence[Sequence[str]],
    widths: tuple[float, float],
    *,
    number: int,
    units: Units,
) -> Part:
    items: list[Item] = []
    y = -6.0

    def write(text: str, *, bold: bool = False) -> None:
        nonlocal y
        for part in wrap(text, width=WIDTH - 6, size=BODY, bold=bold):
            items.append(Text(text=part, at=Point(3, y), bold=bold))
            y -= LEADING

    title = say(
        "Chart of {shop}: bowls by diameter (down) and height (across)", shop=chart.shop.name
    )
    write(title, bold=True)
    write(wishes(chart, units=units))
    names = chart.job.nest.cutters or tuple(letters)
    key = ", ".join(f"{letters[name]} = {name}" for name in names)
    write(say("Cutters: {key}", key=key))
    y -= 1.5
    first, wide = widths
    right = first + wide * (len(rows[0]) - 1)
    for n, row in enumerate(rows):
        items.append(line(0, y + BODY + 0.6, right, y + BODY + 0.6, role=Role.NOTE))
        items.append(Text(text=row[0], at=Point(2, y), bold=True))
        for k, cell in enumerate(row[1:]):
            items.append(Text(text=cell, at=Point(first + k * wide + 1.5, y), bold=n == 0))
        y -= LEADING + 0.8
    items.append(line(0, y + BODY + 0.6, right, y + BODY + 0.6, role=Role.NOTE))
    y -= 1.5
    write(say(HOW))
    write(say("Estimates of geometry only: the makers' limits and sound wood come first."))
    items = [item for item in items if not (isinstance(item, Text) and not item.text)]
    items.insert(0, rectangle(Box(0.0, y, WIDTH, 0.0), role=Role.NOTE))
    return Part(
        kind="chart",
        key=f"chart-{number}",
        title=say("Chart {number}", number=number),
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=False,
    )
