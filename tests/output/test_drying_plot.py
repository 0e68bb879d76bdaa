"""The plot of a drying record: its words, its points and its picture, by readers of others."""

import datetime
import io
import itertools
import math
import re
import xml.etree.ElementTree as ET

import pytest
import svgelements
from PIL import Image
from pseudo import MARKED_WITH_COMMA, unmarked

from templategen.messages import ENGLISH_WORDING, Wording
from templategen.output.drying_plot import DryingRecord, drying_plot
from templategen.trade.seasoning import from_volume, progress

SVG = "{http://www.w3.org/2000/svg}"
XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"


def _mass(day: float) -> float:
    return 2160 + 1800 * math.exp(-0.03 * day)


def _plot(
    kind: str,
    *,
    title: str = "a-1",
    days: int = 80,
    step: float = 10.0,
    known: bool = True,
    wording: Wording = ENGLISH_WORDING,
) -> bytes:
    """The plot of an invented record, in kilograms."""
    times = [step * n for n in range(math.ceil(days / step))]
    start = datetime.datetime(2026, 5, 2)  # noqa: DTZ001 - a record has no time zone
    grounds = [from_volume(2000)] if known else []
    masses = [_mass(t) for t in times]
    record = DryingRecord(
        title=title,
        dates=[start + datetime.timedelta(days=t) for t in times],
        masses_g=masses,
        progress=progress(times, masses, known=grounds, target=12.5, rest_moisture=8),
        target=12.5,
        unit="kg",
        grams=1000.0,
    )
    return drying_plot(record, kind=kind, wording=wording)


def _texts(data: bytes) -> list[ET.Element]:
    return list(ET.fromstring(data).iter(f"{SVG}text"))


def test_the_words_of_the_plot() -> None:
    """By an XML parser: title, legend, target and caution."""
    texts = {t.text for t in _texts(_plot(".svg", title="<a & b>"))}
    assert {"<a & b>", "weighed", "fitted curve", "target 12.5 %", "mass, kg"} <= texts
    assert "An estimate, never a rating: weigh until the mass holds still." in texts


def test_every_weighing_is_a_point_at_its_mass() -> None:
    """Centres of the dots by svgelements, against the figures printed beside the axes."""
    data = _plot(".svg")
    marks = {t.text or "": t for t in _texts(data)}

    def scale(pattern: str, along: str) -> tuple[float, float]:
        """Position on the sheet of 0, and of 1 more."""
        found = [(float(s), float(t.attrib[along])) for s, t in marks.items() if _is(s, t, pattern)]
        (low, p0), (high, p1) = min(found), max(found)
        per = (p1 - p0) / (high - low)
        return p0 - low * per, per

    def _is(text: str, element: ET.Element, pattern: str) -> bool:
        left = float(element.attrib["x"]) < 20  # the moisture axis is on the right
        return left and re.fullmatch(pattern, text) is not None

    zero, per_kg = scale(r"\d\.\d", "y")
    first, last = (float(marks[day].attrib["x"]) for day in ("2 May", "11 Jul"))  # 70 days apart
    reader = svgelements.SVG.parse(io.BytesIO(data), ppi=25.4)
    boxes = [e.bbox() for e in reader.select() if isinstance(e, svgelements.Path)]
    size = float(reader.width) / 190.5
    dots = [
        ((left + right) / 2 / size, (top + bottom) / 2 / size)
        for left, top, right, bottom in boxes
        if right - left == pytest.approx(1.4 * size, abs=1e-3)
    ]
    baseline = 0.36 * 9 * 25.4 / 72  # figures stand so far below their level
    for day in range(0, 80, 10):
        x = first + (last - first) * day / 70
        y = zero + per_kg * _mass(day) / 1000 - baseline
        assert min(math.dist(dot, (x, y)) for dot in dots) < 0.01


@pytest.mark.parametrize(
    ("days", "step"), [(1, 1.0), (5, 0.5), (60, 10.0), (900, 30.0), (9000, 300.0)]
)
def test_dates_and_figures_keep_apart(days: int, step: float) -> None:
    """Records of a day up to 25 years: from 2 to 10 dates, none so near that they touch."""
    texts = _texts(_plot(".svg", days=days, step=step))
    dates = [t for t in texts if re.fullmatch(r"\d+ [A-Z][a-z]{2}", t.text or "")]
    assert 2 <= len(dates) <= 10
    xs = sorted(float(t.attrib["x"]) for t in dates)
    assert all(b - a > 12.0 for a, b in itertools.pairwise(xs))
    assert any(re.fullmatch(r"20\d\d", t.text or "") for t in texts)


def test_the_plot_speaks() -> None:
    """Axes, legend and months translated; figures with the language's comma, coordinates without.

    Read by the standard library.
    """
    data = _plot(".svg", title="", wording=MARKED_WITH_COMMA)
    assert ET.fromstring(data).get(XML_LANG) == "de"
    said = [t.text or "" for t in _texts(data)]
    assert "⟦target 12,5 %⟧" in said
    assert any(re.fullmatch(r"\d,\d", text) for text in said)
    assert not re.findall(r"[^\W\d_]+", unmarked(" ".join(said)))
    assert any("⟦Jun⟧" in text for text in said)
    assert not any(
        "," in found for found in re.findall(r'\s(?:width|d|x|y)="([^"]*)"', data.decode())
    )


def test_a_picture_is_a_picture() -> None:
    """The PNG by an independent reader; strange letters and lone weighings still draw."""
    data = _plot(".png")
    with Image.open(io.BytesIO(data)) as picture:
        assert picture.size == (1125, 675)  # 190.5 × 114.3 mm at 150 dpi
        assert picture.convert("L").getextrema() == (0, 255)
    assert data == _plot(".png")
    for kind in (".svg", ".png"):
        assert _plot(kind, title="栗 $x^2$", days=1, known=False)
