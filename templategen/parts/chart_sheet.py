"""The chart of a shop as printed tables: bowls and cutters by the size of the blank."""

from collections.abc import Sequence

from templategen.geometry.shapes import Box, Point
from templategen.messages import tr_noop
from templategen.nest.chart import Chart, ChartCell
from templategen.parts.drawing import BODY, Drawing, Item, Part, Role, Text, line, rectangle
from templategen.parts.labels import LEADING
from templategen.parts.lettering import text_width, wrap
from templategen.parts.style import PrintStyle
from templategen.trade.records import DryingWall, LengthWall, ShareWall

WIDTH = 174.0  # mm: fits A4 and letter
MOST_ROWS = 34  # blanks' diameters in one table
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
HOW = tr_noop(
    "Bowls of each blank, the outermost among them, then its cutters by their letters from the "
    "rim inward. A dash: the blank gives no core. An empty place: the shop cannot turn or hold "
    "such a blank. Figures are the planner's best; plan each blank before you cut."
)


def make(chart: Chart, *, style: PrintStyle) -> tuple[Part, ...]:
    """As many tables as the chart needs, each on a sheet of its own."""
    letters = letters_of(chart)
    marks = [[cell_text(cell, letters) for cell in row] for row in chart.cells]
    heads = [style.length(height) for height in chart.heights]
    corner = style.say("diameter")
    first = 4.0 + max(text_width(style.length(d), size=BODY, bold=True) for d in chart.diameters)
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
            names = [style.length(d) for d in chart.diameters[top : top + MOST_ROWS]]
            parts.append(
                _sheet(
                    chart,
                    letters,
                    [[corner, *heads[left : left + columns]]]
                    + [[name, *row] for name, row in zip(names, body, strict=True)],
                    (first, wide),
                    number=len(parts) + 1,
                    style=style,
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


def wishes(chart: Chart, *, style: PrintStyle) -> str:
    """What the chart is for: wall and least bowl in words."""
    least = style.length(chart.job.nest.min_bowl)
    match chart.job.nest.wall:
        case ShareWall(share):
            return style.say(
                "wall {share:g} % of the rim, bowls of {least} and more",
                share=100 * share,
                least=least,
            )
        case LengthWall(wall):
            return style.say(
                "wall {wall}, bowls of {least} and more", wall=style.length(wall), least=least
            )
        case DryingWall():
            return style.say(
                "wall from drying ({wood}), bowls of {least} and more",
                wood=chart.job.blank.wood or style.say("own wood"),
                least=least,
            )


def _sheet(
    chart: Chart,
    letters: dict[str, str],
    rows: Sequence[Sequence[str]],
    widths: tuple[float, float],
    *,
    number: int,
    style: PrintStyle,
) -> Part:
    items: list[Item] = []
    y = -6.0

    def write(text: str, *, bold: bool = False) -> None:
        nonlocal y
        for part in wrap(text, width=WIDTH - 6, size=BODY, bold=bold):
            items.append(Text(text=part, at=Point(3, y), bold=bold))
            y -= LEADING

    title = style.say(
        "Chart of {shop}: bowls by diameter (down) and height (across)", shop=chart.shop.name
    )
    write(title, bold=True)
    write(wishes(chart, style=style))
    names = chart.job.nest.cutters or tuple(letters)
    key = ", ".join(f"{letters[name]} = {name}" for name in names)
    write(style.say("Cutters: {key}", key=key))
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
    write(style.say(HOW))
    write(style.say("Estimates of geometry only: the makers' limits and sound wood come first."))
    items = [item for item in items if not (isinstance(item, Text) and not item.text)]
    items.insert(0, rectangle(Box(0.0, y, WIDTH, 0.0), role=Role.NOTE))
    return Part(
        kind="chart",
        key=f"chart-{number}",
        title=style.say("Chart {number}", number=number),
        drawing=Drawing(items=tuple(items)),
        may_turn=False,
        may_tile=False,
    )
