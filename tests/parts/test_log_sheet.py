"""The printed tables of a log: every row once, no text over another."""

import pytest
from builders import changed_job, make_cutters, make_jaws, make_shop
from part_shapes import STYLES, overlaps

from templategen.nest.log_chart import LogChart, make_log_chart
from templategen.parts.chart_sheet import MOST_ROWS
from templategen.parts.log_sheet import log_tables, make
from templategen.parts.style import PrintStyle
from templategen.trade.records import Log


@pytest.fixture(scope="module")
def chart() -> LogChart:
    """A log of more blanks than a sheet holds rows."""
    shop = make_shop(cutters=make_cutters(80, 105), jaws=make_jaws(50, 70, 100))
    job = changed_job(log=Log(diameter=600, length=2400))
    return make_log_chart(job, shop, diameters=[150 + 10.0 * n for n in range(40)], step=10)


@pytest.mark.parametrize("style", STYLES)
def test_every_blank_stands_on_a_sheet(chart: LogChart, style: PrintStyle) -> None:
    """A long table goes over several sheets; each row of it is printed, none over another."""
    tables = log_tables(chart, style=style)
    assert max(len(rows) - 1 for rows in tables.values()) > MOST_ROWS
    sheets = make(chart, style=style)
    assert len(sheets) > len(tables)
    printed = [text.text for sheet in sheets for text in sheet.drawing.texts()]
    for sheet in sheets:
        assert not overlaps(sheet)
    for _, *rows in tables.values():
        for row in rows:
            assert not row[-1] or row[-1] in printed
            assert row[0].split(" (")[0] in " ".join(printed)
    assert sum(len(rows) - 1 for rows in tables.values()) == len(chart.rows)
