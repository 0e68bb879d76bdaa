"""The scale sheet: what a person reads off its verniers with a steel rule is the printed length."""

import math

import pytest
from part_shapes import words

from templategen.messages import Wording
from templategen.parts.drawing import Drawing
from templategen.parts.scale_sheet import scale_part
from templategen.parts.style import PrintStyle
from templategen.units import Units

Bar = list[float]  # places of the lines across a bar, mm from its start, the start itself left out


def _bars(drawing: Drawing, frame: tuple[float, float]) -> dict[str, Bar]:
    """The lines that end on each bar and on each diagonal, along it from the mark where it starts.

    Args:
        drawing: the sheet.
        frame: width and height of the bars.
    """
    slope = math.atan2(frame[1], frame[0])
    ways = {"across": (0.0, 0.0), "down": (math.pi / 2, 0.0), "rising": (slope, 0.0),
            "falling": (-slope, frame[1])}  # fmt: skip
    found = {}
    for name, (angle, above) in ways.items():
        along = math.cos(angle), math.sin(angle)
        places = []
        for path in drawing.paths():
            (x0, y0), (x1, y1) = path.segments[0].start, path.segments[-1].end
            way = (x1 - x0) * along[0] + (y1 - y0) * along[1]
            off = x0 * -along[1] + (y0 - above) * along[0]
            if abs(way) < 1e-6 and abs(off) < 1e-6:
                places.append(x0 * along[0] + (y0 - above) * along[1])
        places.sort()
        found[name] = [place - places[0] for place in places[1:]]
    return found


def _read(bar: Bar, count: int, mark: float, start: float) -> float:
    """The length that the rule shows: whole marks at the end line, the rest by the vernier.

    As a caliper is read: the line that lies nearest to any mark of the rule tells the rest.

    Args:
        bar: as printed.
        count: of the vernier's lines.
        mark: from mark to mark of the rule.
        start: the mark laid on the start line.
    """
    end = bar[-1] + start
    lines = [place + start for place in bar[: -count - 1 : -1]]
    meets = min(range(count), key=lambda n: abs(lines[n] / mark - round(lines[n] / mark)))
    # By eye the end line stands between two marks, to a third of their distance or so.
    whole = round(end / mark - meets / count)
    assert abs(whole + meets / count - end / mark) < 0.3
    return (whole + meets / count) * mark - start


@pytest.mark.parametrize("units", [Units.MM, Units.IN])
@pytest.mark.parametrize("scale", [0.9951, 0.9987, 1.0, 1.0004, 1.0033, 1.0058])
def test_the_vernier_reads_the_printed_length(units: Units, scale: float) -> None:
    """Within 0.1 mm on every bar, or 0.2 mm where the vernier itself is stretched by 0.5 %.

    How a caliper is read is common practice; no code of the sheet is used.
    """
    inch = units is Units.IN
    step, mark, count, start = (25.4, 25.4 / 16, 16, 25.4) if inch else (10.0, 1.0, 10, 10.0)
    steps = (7, 9) if inch else (18, 25)
    part = scale_part(steps, PrintStyle(units=units), heading="Invented")
    bars = _bars(part.drawing, (steps[0] * step, steps[1] * step))
    assert bars["across"][-1] == pytest.approx(steps[0] * step)
    assert bars["down"][-1] == pytest.approx(steps[1] * step)
    assert bars["rising"][-1] == pytest.approx(bars["falling"][-1])
    assert bars["rising"][-1] / step == pytest.approx(round(bars["rising"][-1] / step))
    for name, bar in bars.items():
        printed = [scale * place for place in bar]
        read = _read(printed, count, mark, start)
        allowed = 0.1 if abs(scale - 1) < 0.004 else 0.2
        assert read == pytest.approx(printed[-1], abs=allowed), name


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(("units", "steps"), [(Units.MM, (17, 22)), (Units.IN, (7, 9))])
def test_the_command_is_whole_and_no_step_is_left_out(
    units: Units, steps: tuple[int, int], language: str
) -> None:
    """On letter no line breaks within an option's figures, and the word on damp paper is there."""
    style = PrintStyle(units=units, wording=Wording(language))
    part = scale_part(steps, style, heading="A long heading as of a printed sheet")
    rows = [text.text for text in part.drawing.texts() if "--" in text.text and text.bold]
    assert all(row.startswith(("templategen", "--")) for row in rows)
    assert all(row.count('"') % 2 == 0 for row in rows)
    assert sum(row.count("--") for row in rows) == 3
    assert {"en": "Damp paper", "de": "Feuchtes Papier"}[language] in words(part)
