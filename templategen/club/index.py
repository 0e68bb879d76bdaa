"""The index page of a list's packs: HTML, written row by row, every text escaped."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import BinaryIO

from templategen.messages import Wording

STYLE = """\
:root{color-scheme:light}
*{box-sizing:border-box}
body{font:16px/1.45 "DejaVu Sans",system-ui,sans-serif;margin:0 auto;max-width:1200px;
padding:16px;color:#1a1a1a;background:#fff;overflow-wrap:anywhere}
header{display:flex;flex-wrap:wrap;gap:8px 24px;align-items:center;justify-content:space-between;
border-bottom:2px solid #1a1a1a;padding-bottom:12px}
header img{max-height:72px;max-width:160px}
h1{font-size:1.6em;line-height:1.2;margin:0}
h2{font-size:1.2em;margin:24px 0 8px}
h3{font-size:1.1em;margin:8px 0 4px}
p,ul{margin:4px 0}
ul{padding-left:20px}
table{border-collapse:collapse}
th,td{text-align:left;padding:4px 16px 4px 0;border-bottom:1px solid #bbb}
td.n,th.n{text-align:right;font-variant-numeric:tabular-nums}
a{color:#0b4f8a}
a.file{display:inline-block;padding:8px 0}
main{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,300px),1fr));gap:16px}
article{border:1px solid #888;border-radius:4px;padding:12px;break-inside:avoid}
article img{display:block;width:100%;height:150px;object-fit:contain}
.number{font-size:2em;font-weight:bold;line-height:1;margin-right:10px}
summary{padding:8px 0;cursor:pointer}
@media print{body{font-size:10pt;padding:0}}
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackLink:
    """One finished pack.

    Args:
        paper: its name.
        file: relative to the index.
        sheets: of it.
        digest: SHA-256 of the file.
    """

    paper: str
    file: str
    sheets: int
    digest: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexRow:
    """One entry of the list, or one shop set, as the index shows it.

    Args:
        number: running number of a bench; 0 for a shop set.
        name: what the list calls it.
        facts: short lines below the name.
        picture: file of its nest, relative to the index, or empty.
        picture_digest: SHA-256 of that file.
        packs: its finished packs; none where it was skipped.
        findings: what the plan warns of, which its hand-out prints too; or why it was skipped.
        notes: what else the plan has to say.
        date: ISO 8601, of its job; may be empty.
    """

    number: int
    name: str
    facts: Sequence[str]
    picture: str = ""
    picture_digest: str = ""
    packs: Sequence[PackLink] = ()
    findings: Sequence[str] = ()
    notes: Sequence[str] = ()
    date: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexHead:
    """What stands above the rows.

    Args:
        title: the club's name, or the list's.
        date: ISO 8601, or empty.
        logo: file of the picture, relative to the index, or empty.
        archive: name of the zip beside the index, or empty.
    """

    title: str
    date: str = ""
    logo: str = ""
    archive: str = ""


def paper_totals(rows: Iterable[IndexRow]) -> dict[str, tuple[int, int]]:
    """Files and sheets by the name of the paper, in the order in which the papers come."""
    totals: dict[str, tuple[int, int]] = {}
    for row in rows:
        for pack in row.packs:
            files, sheets = totals.get(pack.paper, (0, 0))
            totals[pack.paper] = files + 1, sheets + pack.sheets
    return totals


def write_index(
    file: BinaryIO,
    head: IndexHead,
    rows: Sequence[IndexRow],
    *,
    cautions: Sequence[str],
    wording: Wording,
) -> None:
    """Writes the page.

    Args:
        file: open for writing.
        head: of the page.
        rows: the shop sets first, then the entries in the order of the list.
        cautions: printed at the end.
        wording: of the page.
    """

    def put(text: str) -> None:
        file.write(text.encode("utf-8", "replace"))

    title = escape(head.title)
    put(f'<!DOCTYPE html>\n<html lang="{wording.language}"><head><meta charset="utf-8">\n')
    put('<meta name="viewport" content="width=device-width, initial-scale=1">\n')
    put('<meta name="generator" content="templategen">\n')
    put(f"<title>{title}</title>\n<style>\n{STYLE}</style></head>\n<body>\n")
    put(_header(head, rows, wording))
    put(_print_plan(rows, wording))
    sets = [row for row in rows if not row.number]
    if sets:
        put(_heading(wording.say("Shop sets: print once")))
    for row in sets:
        put(_shop_set(row, wording))
    put(_heading(wording.say("Benches")))
    put("<main>\n")
    for row in rows:
        if row.number:
            put(_bench(row, wording))
    put("</main>\n")
    put(_heading(wording.say("Cautions")))
    put(f"<footer>{_listed(cautions)}</footer>\n</body></html>\n")


def _heading(text: str) -> str:
    return f"<h2>{escape(text)}</h2>\n"


def _header(head: IndexHead, rows: Sequence[IndexRow], wording: Wording) -> str:
    benches = sum(1 for row in rows if row.number)
    sheets = sum(pack.sheets for row in rows for pack in row.packs)
    facts = [
        head.date,
        wording.say_count("{count} bench", "{count} benches", benches),
        wording.say_count("{count} sheet", "{count} sheets", sheets),
    ]
    parts = [f"<header><div><h1>{escape(head.title)}</h1>"]
    parts.append(f"<p>{escape(' · '.join(filter(None, facts)))}</p>")
    if head.archive:
        words = escape(wording.say("All files in one zip"))
        parts.append(f'<a class="file" href="{escape(head.archive)}">{words}</a>')
    parts.append("</div>")
    if head.logo:
        parts.append(f'<img src="{escape(head.logo)}" alt="">')
    return "".join([*parts, "</header>\n"])


def _print_plan(rows: Sequence[IndexRow], wording: Wording) -> str:
    """How many sheets of which paper."""
    say = wording.say
    heading = [say("Paper"), say("Files"), say("Sheets")]
    lines = [_heading(say("Print plan")), "<table>\n<tr>"]
    lines += [
        f'<th{" class=n" if n else ""} scope="col">{escape(text)}</th>'
        for n, text in enumerate(heading)
    ]
    lines.append("</tr>\n")
    for paper, (files, sheets) in paper_totals(rows).items():
        lines.append(f"<tr><td>{escape(paper.capitalize())}</td><td class=n>{files}</td>")
        lines.append(f"<td class=n>{sheets}</td></tr>\n")
    lines.append("</table>\n")
    words = say("Print at 100 % and measure both bars on every sheet before you cut.")
    return "".join([*lines, f"<p>{escape(words)}</p>\n"])


def _links(row: IndexRow, wording: Wording) -> str:
    found = []
    for pack in row.packs:
        sheets = escape(wording.say_count("{count} sheet", "{count} sheets", pack.sheets))
        name = escape(wording.say("{paper}, PDF", paper=pack.paper.capitalize()))
        found.append(f'<p><a class="file" href="{escape(pack.file)}">{name}</a>: {sheets}</p>\n')
    return "".join(found)


def _bound(text: str) -> str:
    """The text with its figures bound to their units, and wholes to their fractions."""
    return re.sub(r"(?<=\d) (?=(?:mm|in)\b|\d+/\d)", "\u00a0", text)


def _listed(texts: Sequence[str]) -> str:
    rows = "".join(f"<li>{_bound(escape(text))}</li>\n" for text in texts)
    return f"<ul>\n{rows}</ul>" if rows else ""


def _folded(heading: str, texts: Sequence[str]) -> str:
    """A list that a touch on its heading opens; nothing where it is empty."""
    if not texts:
        return ""
    return f"<details><summary>{escape(heading)}</summary>\n{_listed(texts)}</details>"


def _shop_set(row: IndexRow, wording: Wording) -> str:
    facts = "".join(f"<p>{escape(fact)}</p>\n" for fact in row.facts if fact)
    return f"<h3>{escape(row.name)}</h3>\n{facts}{_links(row, wording)}"


def _bench(row: IndexRow, wording: Wording) -> str:
    parts = ["<article>"]
    if row.picture:
        alt = wording.say("Section of the nest of {name}", name=row.name)
        parts.append(f'<img loading="lazy" src="{escape(row.picture)}" alt="{escape(alt)}">')
    parts.append(f'<h3><span class="number">{row.number}</span>{escape(row.name)}</h3>')
    parts += [f"<p>{_bound(escape(fact))}</p>" for fact in row.facts if fact]
    if row.packs:
        parts.append(_links(row, wording))
        count = len(row.findings)
        heading = wording.say_count("{count} caution", "{count} cautions", count)
        parts.append(_folded(heading, row.findings))
    else:
        missing = escape(wording.say("Not made"))
        parts += [f"<p><strong>{missing}</strong></p>", _listed(row.findings)]
    heading = wording.say_count("{count} note", "{count} notes", len(row.notes))
    parts.append(_folded(heading, row.notes))
    parts.append("</article>\n")
    return "\n".join(parts)
