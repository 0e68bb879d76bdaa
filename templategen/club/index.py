"""The index page of a club's packs: HTML, written row by row, every text escaped."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import BinaryIO

from templategen.messages import Wording

STYLE = """\
body{font:11pt/1.4 "DejaVu Sans",sans-serif;margin:12mm;color:#000}
main{display:grid;grid-template-columns:repeat(auto-fill,minmax(78mm,1fr));gap:8mm}
article{border:.3mm solid #000;padding:3mm;break-inside:avoid}
img{display:block;width:100%;height:44mm;object-fit:contain}
h2{font-size:12pt;margin:2mm 0 1mm}
p,ul{margin:1mm 0}
ul{padding-left:5mm}
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackLink:
    """One finished pack: paper, file name, number of sheets."""

    paper: str
    file: str
    sheets: int


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexRow:
    """One entry of the list as the index shows it; without packs it was skipped.

    Args:
        name: what the list calls it.
        facts: short lines below the name.
        picture: file of its nest, relative to the index, or empty.
        packs: its finished packs.
        findings: what the plan has to say, or why it was skipped.
    """

    name: str
    facts: Sequence[str]
    picture: str
    packs: Sequence[PackLink]
    findings: Sequence[str]


def write_index(
    file: BinaryIO,
    *,
    title: str,
    rows: Iterable[IndexRow],
    cautions: Sequence[str],
    wording: Wording,
) -> None:
    """Writes the page; no more than one row is held at a time.

    Args:
        file: open for writing.
        title: the club's name, or the list's.
        rows: in the order of the list.
        cautions: printed at the end.
        wording: of the page.
    """

    def put(text: str) -> None:
        file.write(text.encode("utf-8", "replace"))

    name = escape(title)
    put(f'<!DOCTYPE html>\n<html lang="{wording.language}"><head><meta charset="utf-8">\n')
    put(f"<title>{name}</title>\n")
    put(f"<style>\n{STYLE}</style></head>\n<body><h1>{name}</h1>\n<main>\n")
    for row in rows:
        put(_row(row, wording))
    put(f"</main>\n<h2>{escape(wording.say('Cautions'))}</h2>\n<ul>\n")
    for caution in cautions:
        put(f"<li>{escape(caution)}</li>\n")
    put("</ul>\n</body></html>\n")


def _row(row: IndexRow, wording: Wording) -> str:
    parts = ["<article>"]
    if row.picture:
        alt = wording.say("Section of the nest of {name}", name=row.name)
        parts.append(f'<img loading="lazy" src="{escape(row.picture)}" alt="{escape(alt)}">')
    parts.append(f"<h2>{escape(row.name)}</h2>")
    parts += [f"<p>{escape(fact)}</p>" for fact in row.facts if fact]
    for pack in row.packs:
        sheets = escape(wording.say_count("{count} sheet", "{count} sheets", pack.sheets))
        link = f'<a href="{escape(pack.file)}">{escape(pack.paper)}</a>'
        parts.append(f"<p>{link}: {sheets}</p>")
    if not row.packs:
        parts.append(f"<p><strong>{escape(wording.say('Not made'))}</strong></p>")
    if row.findings:
        parts.append("<ul>")
        parts += [f"<li>{escape(text)}</li>" for text in row.findings]
        parts.append("</ul>")
    parts.append("</article>\n")
    return "\n".join(parts)
