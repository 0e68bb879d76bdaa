"""The index page of a club."""

import html.parser
import io
import re

from pseudo import MARKED, unmarked

from templategen.club.index import IndexRow, PackLink, write_index


class _Page(html.parser.HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.lang: str | None = None
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "html":
            self.lang = dict(attrs)["lang"]
        self.said += [value for name, value in attrs if name == "alt" and value]

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.said.append(data.strip())


def test_the_index_page_states_its_language() -> None:
    """Attribute lang of the page (HTML standard, 3.2.6), and every word of its own translated."""
    link = PackLink(paper="a4", file="x.pdf", sheets=1)
    rows = [
        IndexRow(name="N", facts=(), picture="p.svg", packs=(link,), findings=()),
        IndexRow(name="N", facts=(), picture="", packs=(), findings=()),
    ]
    file = io.BytesIO()
    write_index(file, title="N", rows=rows, cautions=(), wording=MARKED)
    page = _Page()
    page.feed(file.getvalue().decode("utf-8"))
    assert page.lang == "de"
    said = [text for text in page.said if "display:grid" not in text]
    assert set(re.findall(r"[^\W\d_]+", unmarked(" ".join(said)))) == {"N", "a"}
    assert any("⟦1 sheet⟧" in text for text in said)
