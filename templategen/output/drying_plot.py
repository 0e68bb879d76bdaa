"""A plot of a drying record as SVG or PNG: same record, same bytes."""

import datetime
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from templategen.geometry.shapes import Box, Point, Transform, circle
from templategen.messages import Wording, tr_noop
from templategen.output.page_pictures import page_png
from templategen.output.pdf import write_pdf
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.drawing import (
    BODY,
    Anchor,
    Drawing,
    Item,
    Part,
    Path,
    Role,
    Text,
    polyline,
    rectangle,
)
from templategen.parts.lettering import shortened
from templategen.parts.style import PrintStyle
from templategen.sheets.page import Pack, Page, PageFrame, Placement
from templategen.trade.paper import Paper
from templategen.trade.seasoning import COVER, Progress
from templategen.units import MM_PER_INCH, Units

KINDS = (".svg", ".png")
SHEET = Box(0.0, 0.0, 190.5, 114.3)  # mm
PLOT = Box(20.0, 22.0, 170.0, 102.0)  # inside the axes, mm
DPI = 150  # of a PNG
LONGEST_DAYS = 3650.0  # the curve is never drawn further than this beyond the record
GRID, BAND = 0.85, 0.9  # grey levels
MONTHS = (
    *(tr_noop("Jan"), tr_noop("Feb"), tr_noop("Mar"), tr_noop("Apr"), tr_noop("May")),
    *(tr_noop("Jun"), tr_noop("Jul"), tr_noop("Aug"), tr_noop("Sep"), tr_noop("Oct")),
    *(tr_noop("Nov"), tr_noop("Dec")),
)
DAY_STEPS, MONTH_STEPS = (1, 2, 7, 14), (1, 2, 3, 6, 12, 24, 60, 120)  # between dates on the axis
MOST_TICKS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingRecord:
    """The weighings of a bowl and what they say.

    Args:
        title: plain text, drawn as it is.
        dates: of the weighings, rising, at least one.
        masses_g: one a date.
        progress: where the bowl stands.
        target: wished moisture, %.
        unit: name of the unit of mass that is shown.
        grams: grams in one of it.
    """

    title: str
    dates: Sequence[datetime.datetime]
    masses_g: Sequence[float]
    progress: Progress
    target: float
    unit: str
    grams: float

    @property
    def last_day(self) -> float:
        """Where the time axis ends, days after the first weighing: at the target, if it is known.

        A record of less than a day has an axis of one.
        """
        span = (self.dates[-1] - self.dates[0]).total_seconds() / 86400
        return max(1.0, span + min(self.progress.days_left or 0.0, LONGEST_DAYS))

    @property
    def curve(self) -> list[tuple[float, float]]:
        """Days after the first weighing and shown mass along the fitted curve; may be empty."""
        found = self.progress.curve
        if found is None:
            return []
        days = [self.last_day * n / 200 for n in range(201)]
        return [(day, found.mass_at(day) / self.grams) for day in days]

    @property
    def target_range(self) -> tuple[float, float, float] | None:
        """Shown mass at the target moisture: least, best and greatest estimate."""
        found = self.progress
        if found.target_g is None or found.dry_spread is None:
            return None
        level, around = found.target_g / self.grams, COVER * found.dry_spread
        return level * (1 - around), level, level * (1 + around)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Axes:
    """From days and masses to the sheet."""

    last_day: float
    low: float
    high: float

    def x(self, day: float) -> float:
        return PLOT.left + PLOT.width * (0.03 + 0.94 * day / self.last_day)

    def y(self, mass: float) -> float:
        return PLOT.bottom + PLOT.height * (mass - self.low) / (self.high - self.low)


def drying_plot(record: DryingRecord, *, kind: str, wording: Wording) -> bytes:
    """The weighings with the target mass, its uncertainty, and the curve as far as it is known.

    Args:
        record: what is drawn.
        kind: ".svg" or ".png".
        wording: the language.
    """
    drawing = _drawing(record, wording)
    if kind == ".svg":
        return drawing_svg(drawing, look=SvgLook(margin=0.0, wording=wording))
    return _png(drawing, wording)


def _drawing(record: DryingRecord, wording: Wording) -> Drawing:
    masses = [mass / record.grams for mass in record.masses_g]
    seen = [*masses, *[mass for _, mass in record.curve], *(record.target_range or ())]
    room = 0.08 * (max(seen) - min(seen)) or 0.05 * max(seen)
    axes = _Axes(last_day=record.last_day, low=min(seen) - room, high=max(seen) + room)
    title = shortened(record.title, width=PLOT.width, size=4.2, bold=True)
    caution = wording.say("An estimate, never a rating: weigh until the mass holds still.")
    middle = (PLOT.left + PLOT.right) / 2
    items: list[Item] = [
        rectangle(SHEET, role=Role.NOTE, fill=1.0, width=0.0),
        Text(text=title, at=Point(PLOT.left, PLOT.top + 4.0), size=4.2, bold=True),
        Text(text=caution, at=Point(middle, 5.0), anchor=Anchor.MIDDLE),
    ]
    if record.target_range is not None:
        low, _, high = (axes.y(mass) for mass in record.target_range)
        items.append(_band(Box(PLOT.left, low, PLOT.right, high)))
    items += _mass_axis(record, axes, wording) + _date_axis(record, axes, wording)
    items += _moisture_axis(record, axes, wording)
    items.append(rectangle(PLOT, role=Role.NOTE, width=0.2))
    if record.target_range is not None:
        items.append(_level(PLOT.left, PLOT.right, axes.y(record.target_range[1])))
    if record.curve:
        items.append(_curve([(axes.x(day), axes.y(mass)) for day, mass in record.curve]))
    for date, mass in zip(record.dates, masses, strict=True):
        day = (date - record.dates[0]).total_seconds() / 86400
        items.append(_dot(axes.x(day), axes.y(mass)))
    return Drawing(items=(*items, *_legend(record, wording)))


def _dot(x: float, y: float) -> Path:
    dot = circle(Point(x, y), 0.7)
    return Path(segments=(dot,), role=Role.NOTE, closed=True, fill=0.0, width=0.0)


def _curve(points: list[tuple[float, float]]) -> Path:
    return polyline(points, role=Role.NOTE, dashed=True, width=0.3)


def _level(left: float, right: float, y: float) -> Path:
    return polyline(((left, y), (right, y)), role=Role.NOTE, width=0.4)


def _band(box: Box) -> Path:
    return rectangle(box, role=Role.NOTE, fill=BAND, width=0.0)


def _steps(low: float, high: float) -> tuple[list[float], int]:
    """Round figures between two, at most `MOST_TICKS`, and the decimals they need."""
    least = (high - low) / MOST_TICKS
    power = 10.0 ** math.floor(math.log10(least))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= least)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    return [n * step for n in range(first, last + 1)], places


def _mass_axis(record: DryingRecord, axes: _Axes, wording: Wording) -> list[Item]:
    figures, places = _steps(axes.low, axes.high)
    items: list[Item] = []
    for mass in figures:
        y = axes.y(mass)
        grid = Box(PLOT.left, y - 0.06, PLOT.right, y + 0.06)
        items.append(rectangle(grid, role=Role.NOTE, fill=GRID, width=0.0))
        at = Point(PLOT.left - 1.5, y - 0.36 * BODY)
        shown = wording.figure(mass, f".{places}f")
        items.append(Text(text=shown, at=at, anchor=Anchor.END))
    words = wording.say("mass, {unit}", unit=record.unit)
    return [*items, _beside(words, 6.0)]


def _moisture_axis(record: DryingRecord, axes: _Axes, wording: Wording) -> list[Item]:
    """Moisture content on the right, by the estimate of the ovendry mass, if there is one."""
    if record.progress.dry_g is None:
        return []
    dry = record.progress.dry_g / record.grams
    figures, places = _steps(100 * (axes.low / dry - 1), 100 * (axes.high / dry - 1))
    items: list[Item] = []
    for percent in figures:
        y = axes.y(dry * (1 + percent / 100))
        tick = ((PLOT.right, y), (PLOT.right + 1.0, y))
        items.append(polyline(tick, role=Role.NOTE, width=0.2))
        shown = wording.figure(percent + 0.0, f".{places}f")
        items.append(Text(text=shown, at=Point(PLOT.right + 2.0, y - 0.36 * BODY)))
    return [*items, _beside(wording.say("moisture by estimate, %"), 186.0)]


def _beside(words: str, x: float) -> Text:
    """The name of an upright axis, read from the right."""
    middle = Point(x, (PLOT.bottom + PLOT.top) / 2)
    return Text(text=words, at=middle, angle=math.pi / 2, anchor=Anchor.MIDDLE)


def _ticked_days(first: datetime.date, last: datetime.date) -> list[datetime.date]:
    """Round dates from `first` to `last`, as many as the axis has room for."""
    for step in DAY_STEPS:
        if (last - first).days / step < MOST_TICKS:
            return [
                first + datetime.timedelta(days=n) for n in range(0, (last - first).days + 1, step)
            ]
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    step = next((s for s in MONTH_STEPS if len(months) / s <= MOST_TICKS), MONTH_STEPS[-1])
    days = [datetime.date(n // 12, n % 12 + 1, 1) for n in months if n % step == 0]
    return [day for day in days if day >= first]


def _date_axis(record: DryingRecord, axes: _Axes, wording: Wording) -> list[Item]:
    start = record.dates[0]
    first = start.date()
    items: list[Item] = []
    year = 0
    for day in _ticked_days(first, first + datetime.timedelta(days=math.floor(axes.last_day))):
        midnight = datetime.datetime.combine(day, datetime.time(), start.tzinfo)
        x = axes.x(max(0.0, (midnight - start).total_seconds() / 86400))
        tick = ((x, PLOT.bottom), (x, PLOT.bottom - 1.0))
        items.append(polyline(tick, role=Role.NOTE, width=0.2))
        month = wording.say(MONTHS[day.month - 1])
        shown = wording.say("{day} {month}", day=day.day, month=month)
        items.append(Text(text=shown, at=Point(x, PLOT.bottom - 5.0), anchor=Anchor.MIDDLE))
        if day.year != year:
            year = day.year
            at = Point(x, PLOT.bottom - 9.5)
            items.append(Text(text=str(year), at=at, anchor=Anchor.MIDDLE))
    return items


def _legend(record: DryingRecord, wording: Wording) -> list[Item]:
    """What the marks mean, in the upper right corner, which a falling curve leaves free."""
    left, y = PLOT.right - 52.0, PLOT.top - 5.0
    right = left + 8.0
    signs: list[tuple[Callable[[float], Item], str]] = [
        (lambda y: _dot((left + right) / 2, y), wording.say("weighed"))
    ]
    if record.curve:
        signs.append((lambda y: _curve([(left, y), (right, y)]), wording.say("fitted curve")))
    if record.target_range is not None:
        target = wording.say("target {percent:g} %", percent=float(record.target))
        signs.append((lambda y: _level(left, right, y), target))
        uncertainty = wording.say("target, uncertainty")
        signs.append((lambda y: _band(Box(left, y - 1.2, right, y + 1.2)), uncertainty))
    items: list[Item] = []
    for sign, words in signs:
        at = Point(right + 2.0, y - 0.36 * BODY)
        items += [sign(y), Text(text=words, at=at)]
        y -= 5.0
    return items


def _png(drawing: Drawing, wording: Wording) -> bytes:
    """The drawing as a picture: our own PDF of it, drawn by pdfium."""
    paper = Paper(name="plot", width=SHEET.width, height=SHEET.height)
    part = Part(kind="plot", key="plot", title="", drawing=drawing)
    page = Page(
        number=1,
        label="",
        paper=paper,
        title="",
        placements=(Placement(part=part, transform=Transform(), clip=SHEET),),
    )
    style = PrintStyle(units=Units.MM, wording=wording)
    pack = Pack(pages=(page,), job_title="", frame=PageFrame(paper=paper), style=style)
    width = round(SHEET.width * DPI / MM_PER_INCH)
    png = page_png(write_pdf(pack, title="", attachments={}), 1, width=width)
    assert png is not None  # there is a first page
    return png
