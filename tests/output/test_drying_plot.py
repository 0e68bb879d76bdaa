"""The plot of a drying record: its words, its points and its picture, by readers of others."""

import datetime
import io
import math
import xml.etree.ElementTree as ET

from PIL import Image

from templategen.messages import Wording
from templategen.output.drying_plot import DryingRecord, drying_plot
from templategen.trade.seasoning import from_volume, progress


def _plot(
    kind: str, *, title: str = "a-1", count: int = 8, known: bool = True, language: str = "en"
) -> bytes:
    times = [10.0 * n for n in range(count)]
    masses = [2160 + 1800 * math.exp(-0.03 * t) for t in times]
    start = datetime.datetime(2026, 5, 2)  # noqa: DTZ001 - a record has no time zone
    grounds = [from_volume(2000)] if known else []
    record = DryingRecord(
        title=title,
        dates=[start + datetime.timedelta(days=t) for t in times],
        masses_g=masses,
        progress=progress(times, masses, known=grounds, target=12, rest_moisture=8),
        target=12,
        unit="g",
        grams=1.0,
    )
    return drying_plot(record, kind=kind, wording=Wording(language))


def test_the_words_of_the_plot() -> None:
    """The SVG by an XML parser: title, legend and target; the same bytes a second time."""
    data = _plot(".svg", title="<a & b>")
    assert data == _plot(".svg", title="<a & b>")
    svg = "{http://www.w3.org/2000/svg}"
    texts = {"".join(t.itertext()).strip() for t in ET.fromstring(data).iter(f"{svg}text")}
    assert {"<a & b>", "weighed", "fitted curve", "target 12 %"} <= texts


def test_a_picture_is_a_picture() -> None:
    """The PNG by an independent reader; strange letters and lone weighings still draw."""
    with Image.open(io.BytesIO(_plot(".png"))) as picture:
        assert picture.size == (1125, 675)  # 190.5 × 114.3 mm at 150 dpi
        low, high = picture.convert("L").getextrema()
        assert (low, high) == (0, 255)
    assert _plot(".png") == _plot(".png")
    assert _plot(".svg", title="栗 $x^2$", count=1, known=False).startswith(b"<?xml")
    assert _plot(".svg", count=1, language="de").startswith(b"<?xml")
