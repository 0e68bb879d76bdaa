"""The chart of a shop as printed tables: bowls and cutters by the size of the blank."""

from collections.abc import Sequence

from templategen.geometry.shapes import Box
from templategen.messages import tr_noop
from templategen.nest.chart import Chart, ChartCell
from templategen.parts.columns import TableLayout, TextColumn
from templategen.parts.drawing import BODY, Part, Role, part_of, rectangle
from templategen.parts.lettering import text_width
from templategen.parts.style import PrintStyle
from templategen.trade.records import DryingWall, LengthWall, ShareWall, Shop

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
    letters = letters_of(chart.shop)
    corner = style.say("diameter")
    heads = [style.length(height) for height in chart.heights]
    names = [style.length(diameter) for diameter in chart.diameters]
    cells = [[cell_text(cell, letters) for cell in row] for row in chart.cells]
    layout = TableLayout(
        names=4.0 + _widest([corner, *names], bold=True),
        column=3.0 + max(_widest(heads, bold=True), *(_widest(row) for row in cells)),
        indent=2.0,
        above=0.6,
        between=0.8,
        bold_names=True,
    )
    columns = max(1, int((WIDTH - layout.names) / layout.column))
    tables = [
        [[corner, *heads[left : left + columns]]]
        + [
            [names[n], *cells[n][left : left + columns]]
            for n in range(top, min(top + MOST_ROWS, len(names)))
        ]
        for top in range(0, len(names), MOST_ROWS)
        for left in range(0, len(heads), columns)
    ]
    return tuple(
        _sheet(chart, letters, rows, layout, number=number, style=style)
        for number, rows in enumerate(tables, start=1)
    )


def _widest(texts: Sequence[str], *, bold: bool = False) -> float:
    """Width of the longest text, mm."""
    return max(text_width(text, size=BODY, bold=bold) for text in texts)


def letters_of(shop: Shop) -> dict[str, str]:
    """A letter for each cutter of a shop, by its id; primed where the letters run out."""
    return {
        cutter.id: LETTERS[n % len(LETTERS)] + "'" * (n // len(LETTERS))
        for n, cutter in enumerate(shop.cutters)
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
                wood=chart.job.blank.shown_wood or style.say("own wood"),
                least=least,
            )


def _sheet(
    chart: Chart,
    letters: dict[str, str],
    rows: Sequence[Sequence[str]],
    layout: TableLayout,
    *,
    number: int,
    style: PrintStyle,
) -> Part:
    column = TextColumn(WIDTH - 6, first=-6.0)
    heading = tr_noop("Chart of {shop}: bowls by diameter (down) and height (across)")
    column.write(style.say(heading, shop=chart.shop.shown_name), bold=True)
    column.write(wishes(chart, style=style))
    names = chart.job.nest.cutters or tuple(letters)
    key = ", ".join(f"{letters[name]} = {name}" for name in names)
    column.write(style.say("Cutters: {key}", key=key))
    column.skip(1.5)
    column.table(rows, layout)
    column.skip(1.5)
    column.write(style.say(HOW))
    title = style.say("Chart {number}", number=number)
    return finished_sheet(column, kind="chart", key=f"chart-{number}", title=title, style=style)


def finished_sheet(
    column: TextColumn, *, kind: str, key: str, title: str, style: PrintStyle
) -> Part:
    """A column of tables and wording as a framed sheet, the caution at its foot.

    Args:
        column: what stands on the sheet so far.
        kind: of the part, such as ``chart``.
        key: of its own in the pack.
        title: for people.
        style: language of the caution.
    """
    column.write(
        style.say("Estimates of geometry only: the makers' limits and sound wood come first.")
    )
    frame = rectangle(Box(0.0, column.y, WIDTH, 0.0), role=Role.NOTE)
    return part_of(kind, key, title, (frame, *column.items), may_turn=False, may_tile=False)
