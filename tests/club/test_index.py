"""The index page of a club: its language, its way into HTML, its width on a phone."""

import html.parser
import io
import re
from pathlib import Path

from browser import open_browser

from templategen.club.index import IndexHead, IndexRow, PackLink, write_index
from templategen.messages import Wording

NAMES = ("Verein <b>", "Anna & Co", "p.svg", "Werkstatt")
LINK = PackLink(paper="a4", file="x.pdf", sheets=1)
ROWS = (
    IndexRow(number=0, name=NAMES[3], facts=(), packs=(LINK,)),
    IndexRow(number=1, name=NAMES[1], facts=("M1",), picture=NAMES[2], packs=(LINK, LINK),
             findings=("M2",), notes=("M3", "M4")),
    IndexRow(number=12, name="Donaudampfschifffahrtsgesellschaft" * 2, facts=(), findings=("M5",)),
)  # fmt: skip


class _Page(html.parser.HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.lang: str | None = None
        self.said: list[str] = []
        self.is_style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "html":
            self.lang = dict(attrs)["lang"]
        self.is_style = tag == "style"
        self.said += [value for name, value in attrs if name == "alt" and value]

    def handle_data(self, data: str) -> None:
        if data.strip() and not self.is_style:
            self.said.append(data.strip())


def _index(language: str) -> str:
    file = io.BytesIO()
    head = IndexHead(title=NAMES[0], date="2026-05-02", logo="l.svg", archive="a.zip")
    write_index(file, head, ROWS, cautions=("M6",), wording=Wording(language))
    return file.getvalue().decode("utf-8")


def test_nothing_is_left_in_english() -> None:
    """No word of the German page stands in the English one, names and figures left out.

    Attribute lang (HTML standard, 3.2.6) is the page's language.
    """
    said = {}
    for language in ("en", "de"):
        page = _Page()
        page.feed(_index(language))
        assert page.lang == language
        text = " ".join(page.said)
        for name in (*NAMES, ROWS[2].name):
            assert name in text or name == "p.svg"
            text = text.replace(name, "")
        said[language] = set(re.findall(r"[^\W\d_]{2,}", text))
    assert len(said["en"]) > 20
    assert said["en"] & said["de"] <= {"PDF", "in"}


def test_only_what_was_not_made_says_why_unasked() -> None:
    """Cautions of twenty benches would hide the files: their number stands there, a touch opens."""
    said = re.split(r"<article>", _index("en"))
    made, skipped = said[1:]
    folded = re.search(r"<details><summary>1 caution</summary>.*?M2.*?</details>", made, re.S)
    assert folded is not None
    assert "M5" in skipped
    assert "<details>" not in skipped


def test_it_fits_a_phone(tmp_path: Path) -> None:
    """In chromium nothing is wider than the window, and links are high enough for a thumb.

    24 CSS px at the least: WCAG 2.2, 2.5.8.
    """
    (tmp_path / "index.html").write_text(_index("de"), encoding="utf-8")
    with open_browser() as browser:
        page = browser.new_page()
        page.goto((tmp_path / "index.html").as_uri())
        for width in (1440, 800, 360):
            page.set_viewport_size({"width": width, "height": 800})
            assert page.evaluate("document.documentElement.scrollWidth") == width
        heights = "[...document.querySelectorAll('a, summary')].map(e => e.offsetHeight)"
        sizes = page.evaluate(heights)
        assert len(sizes) == 6
        assert min(sizes) >= 24
        page.close()
