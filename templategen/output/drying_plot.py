"""A plot of a drying record as SVG or PNG: same record, same bytes."""

import datetime
import io
import logging
import re
import warnings
from collections.abc import Sequence

import matplotlib
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.dates import AutoDateLocator, ConciseDateFormatter, date2num
from matplotlib.figure import Figure
from matplotlib.ticker import ScalarFormatter

from templategen.messages import in_figures, mark, say, spoken
from templategen.output.svg import xml_text
from templategen.trade.seasoning import COVER, Progress

KINDS = (".svg", ".png")
SIZE = (7.5, 4.5)  # inches
DPI = 150  # of a PNG
LONGEST_DAYS = 3650.0  # the curve is never drawn further than this beyond the record
MONTHS = (  # as the library writes them
    *(mark("Jan"), mark("Feb"), mark("Mar"), mark("Apr"), mark("May"), mark("Jun")),
    *(mark("Jul"), mark("Aug"), mark("Sep"), mark("Oct"), mark("Nov"), mark("Dec")),
)
_MONTH = re.compile(rf"\b({'|'.join(MONTHS)})\b")
_STYLE = {
    "font.family": "DejaVu Sans",
    "font.size": 9.0,
    "svg.hashsalt": "templategen",
    "svg.fonttype": "none",
    "path.simplify": False,
    "text.usetex": False,
    "text.parse_math": False,
}


class _Figures(ScalarFormatter):  # type: ignore[misc] # the library is not typed here
    """Figures along an axis as the language in use writes them."""

    def __call__(self, x: float, pos: int | None = None) -> str:
        """One figure."""
        return in_figures(str(super().__call__(x, pos)))


class _Dates(ConciseDateFormatter):  # type: ignore[misc] # the library is not typed here
    """Dates along an axis, months named in the language in use."""

    def format_ticks(self, values: Sequence[float]) -> list[str]:
        """All dates."""
        return [_with_month(text) for text in super().format_ticks(values)]

    def get_offset(self) -> str:
        """The year, or the day, that all dates have in common."""
        return _with_month(str(super().get_offset()))


def _with_month(text: str) -> str:
    return _MONTH.sub(lambda found: say(found[1]), text)


def _spoken_svg(data: bytes) -> bytes:
    """The SVG with the language it is written in (XML 1.0, 2.12)."""
    return data.replace(b"<svg ", f'<svg xml:lang="{spoken()}" '.encode(), 1)


def drying_plot(
    *,
    kind: str,
    title: str,
    dates: Sequence[datetime.datetime],
    masses_g: Sequence[float],
    told: Progress,
    target: float,
    unit: str,
    grams: float,
) -> bytes:
    """The weighings with the target mass, its uncertainty, and the curve as far as it is known.

    Args:
        kind: ".svg" or ".png".
        title: plain text, drawn as it is.
        dates: of the weighings, rising, at least one.
        masses_g: one a date.
        told: what the record says.
        target: wished moisture, %.
        unit: name of the unit of mass that is shown.
        grams: grams in one of it.
    """
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    with matplotlib.rc_context(_STYLE), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph")  # a letter the font lacks is a box
        figure = Figure(figsize=SIZE, dpi=DPI, layout="constrained")
        canvas = FigureCanvasAgg(figure)
        axes = figure.add_subplot()
        axes.set_title(xml_text(title), fontweight="bold", loc="left")
        axes.set_ylabel(say("mass, {unit}", unit=unit))
        axes.grid(visible=True, linewidth=0.4, color="0.85")
        axes.plot(
            [date2num(d) for d in dates],
            [m / grams for m in masses_g],
            marker="o",
            markersize=4,
            linestyle="none",
            color="black",
            label=say("weighed"),
            zorder=3,
        )
        ahead = min(told.days_left or 0.0, LONGEST_DAYS)
        span = (dates[-1] - dates[0]).total_seconds() / 86400
        if told.curve is not None:
            days = [(span + ahead) * n / 200 for n in range(201)]
            start = date2num(dates[0])
            axes.plot(
                [start + d for d in days],
                [told.curve.mass_at(d) / grams for d in days],
                linewidth=1.0,
                linestyle="--",
                color="0.35",
                label=say("fitted curve"),
            )
        if told.target_g is not None and told.dry_spread is not None:
            level, around = told.target_g / grams, COVER * told.dry_spread
            axes.axhline(
                level,
                color="black",
                linewidth=1.2,
                label=say("target {percent:g} %", percent=float(target)),
            )
            axes.axhspan(
                level * (1 - around),
                level * (1 + around),
                color="0.9",
                zorder=0,
                label=say("target, uncertainty"),
            )
        if told.dry_g is not None:
            dry = told.dry_g / grams
            side = axes.secondary_yaxis(
                "right", functions=(lambda m: 100 * (m / dry - 1), lambda x: dry * (1 + x / 100))
            )
            side.set_ylabel(say("moisture by estimate, %"))
            side.yaxis.set_major_formatter(_Figures())
        locator = AutoDateLocator(minticks=3, maxticks=8)
        axes.xaxis.set_major_locator(locator)
        axes.xaxis.set_major_formatter(_Dates(locator))
        axes.yaxis.set_major_formatter(_Figures())
        axes.margins(x=0.04, y=0.08)
        axes.legend(frameon=False, loc="upper right")
        axes.set_xlabel(say("An estimate, never a rating: weigh until the mass holds still."))
        out = io.BytesIO()
        if kind == ".svg":
            figure.savefig(out, format="svg", metadata={"Date": None, "Creator": "templategen"})
        else:
            canvas.print_png(out, metadata={"Software": "templategen"})
    return _spoken_svg(out.getvalue()) if kind == ".svg" else out.getvalue()
