"""The blanks that a log gives, as printed tables: one for each way round."""

from collections.abc import Sequence

from templategen.messages import tr_noop
from templategen.nest.log_chart import LogChart
from templategen.parts.chart_sheet import MOST_ROWS, WIDTH, cell_text, finished_sheet, letters_of
from templategen.parts.columns import TableLayout, TextColumn
from templategen.parts.drawing import Part
from templategen.parts.style import PrintStyle
from templategen.trade.choices import LogRim
from templategen.units import format_length

WAYS = {  # headings of the tables
    LogRim.PITH: tr_noop("Rim to the pith"),
    LogRim.BARK: tr_noop("Rim to the bark"),
}
HEADS = (
    tr_noop("blank Ø"),
    tr_noop("height"),
    tr_noop("blanks"),
    tr_noop("bowls of each"),
    tr_noop("bowls in all"),
)
LAYOUT = TableLayout(names=38.0, column=34.0, indent=2.0, above=0.6, between=0.8)
HOW = tr_noop(
    "For each diameter the highest blank whose turned outside and tenon lie in sound wood; its "
    "back corners may be bark or air. Blanks: from both halves of the log. Bowls: the outermost "
    "among them, then the cutters by their letters from the rim inward; a dash: no core. Plan "
    "each blank before you saw."
)


def make(chart: LogChart, *, style: PrintStyle) -> tuple[Part, ...]:
    """A sheet for each way round, or several where the table is long."""
    tables = [
        (WAYS[rim], [heads, *rows[top : top + MOST_ROWS]])
        for rim, (heads, *rows) in log_tables(chart, style=style).items()
        for top in range(0, len(rows), MOST_ROWS)
    ]
    return tuple(
        _sheet(chart, way, rows, number=number, style=style)
        for number, (way, rows) in enumerate(tables, start=1)
    )


def log_tables(chart: LogChart, *, style: PrintStyle) -> dict[LogRim, list[list[str]]]:
    """The rows of the table of each way round that has any, below its heading."""
    letters = letters_of(chart.shop)
    tables: dict[LogRim, list[list[str]]] = {}
    for row in chart.rows:
        rows = tables.setdefault(row.blank.rim, [[style.say(head) for head in HEADS]])
        rows.append(
            [
                _plain(row.blank.diameter, style),
                _plain(row.blank.height, style),
                str(row.blank.count),
                cell_text(row.cell, letters) or style.text(row.cell.reason),
                str(row.bowls) if row.bowls else "",
            ]
        )
    return tables


def log_title(chart: LogChart, *, style: PrintStyle) -> str:
    """The log in a line: its size, and what is cut away."""
    log = chart.log
    return style.say(
        "Log Ø {size}; pith to the blank {pith}, each end {trim}, saw {saw}",
        size=style.lengths((log.diameter, log.length)),
        pith=_plain(log.pith, style),
        trim=_plain(log.end_trim, style),
        saw=_plain(log.saw, style),
    )


def _plain(length: float, style: PrintStyle) -> str:
    """A length as a saw works: inches to 1/32, without thousandths."""
    return format_length(length, style.units, wording=style.wording)


def _sheet(
    chart: LogChart, way: str, rows: Sequence[Sequence[str]], *, number: int, style: PrintStyle
) -> Part:
    column = TextColumn(WIDTH - 6, first=-6.0)
    column.write(log_title(chart, style=style), bold=True)
    column.write(style.say("Shop: {shop}", shop=style.text(chart.shop.shown_name)))
    key = ", ".join(f"{letter} = {name}" for name, letter in letters_of(chart.shop).items())
    column.write(style.say("Cutters: {key}", key=key))
    column.skip(1.5)
    column.write(style.say(way), bold=True)
    column.skip(1.0)
    column.table(rows, LAYOUT)
    column.skip(1.5)
    column.write(style.say(HOW))
    title = style.say("Log {number}", number=number)
    return finished_sheet(column, kind="log", key=f"log-{number}", title=title, style=style)
