"""Widths of text in the bundled font, so that parts are laid out before any file is written."""

import functools
import io
import re
import unicodedata
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from fontTools.ttLib import TTFont

TOGETHER = re.compile(  # the spaces where lines break: not in "cut 1 (R170)", not before "2:"
    r"(?<![\dØ×=]) (?!=)(?!\(\d+[.,]\d{3}[,)])(?!(?<=[a-z] )\d+(?: \(|:))(?!×)"
    r"|(?<=\d) (?!(?:mm|in|kg|lb|%)(?:[ ,;.:)]|$)|\d+/\d|×|\()"
)
SHORT_LINE = 0.2  # of the width: a shorter last line looks lost
EVEN_LINE = 0.4  # of the widest line: a shorter last one is not balanced
FONT_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}


def font_path(*, bold: bool = False) -> Path:
    """Where the bundled TrueType font lies, in the wheel or in the source tree."""
    package = Path(__file__).resolve().parent.parent
    name = FONT_FILES[bold]
    inside = package / "fonts" / name
    return inside if inside.exists() else package.parent / "fonts" / name


@functools.cache
def _metrics(bold: bool) -> tuple[dict[int, str], Any, int]:
    font = TTFont(io.BytesIO(font_path(bold=bold).read_bytes()), lazy=True)
    # Numbers for the glyphs' names: the names themselves are not needed, and are slow to read.
    font.setGlyphOrder([".notdef", *map(str, range(1, font["maxp"].numGlyphs))])
    return font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm


@functools.lru_cache(maxsize=4096)
def _advance(character: str, bold: bool) -> float:
    names, widths, em = _metrics(bold)
    name = names.get(ord(character), ".notdef")
    return float(widths[name][0]) / em


def missing_letters(text: str) -> str:
    """The letters of a text that cannot be printed, each once, in their order.

    Those that the bundled font lacks, and those of scripts written from right to left: lines are
    drawn from the left, so that such a word would stand backwards.
    """
    known = _metrics(False)[0]
    return "".join(
        dict.fromkeys(
            c for c in text if ord(c) not in known or unicodedata.bidirectional(c) in ("R", "AL")
        )
    )


def printable(text: str) -> str:
    """A name as it can be printed: a question mark for each letter that cannot.

    Returns: an empty text where no letter and no digit would be left.

    >>> printable("Zoe\u0308 & 栗"), printable("栗の鉢")
    ('Zoë & ?', '')
    """
    composed = unicodedata.normalize("NFC", text)
    missing = missing_letters(composed)
    if not missing:
        return composed
    shown = "".join("?" if c in missing else c for c in composed)
    return shown if any(c.isalnum() for c in shown) else ""


def text_width(text: str, *, size: float, bold: bool = False) -> float:
    """Length of a line of text, mm.

    Args:
        text: one line.
        size: font size, mm.
        bold: in the bold cut.
    """
    return size * _ems(text, bold)


@functools.lru_cache(maxsize=8192)
def _ems(text: str, bold: bool) -> float:
    """Length of a line of text in widths of an em."""
    return sum([_advance(character, bold) for character in text])


@functools.lru_cache(maxsize=2048)
def bound_words(text: str) -> tuple[str, ...]:
    """The words of a text, a figure bound to its fraction, unit, brackets and times sign.

    >>> bound_words("entry 4 1/2 in from the axis, 2 × 18 mm")
    ('entry', '4 1/2 in', 'from', 'the', 'axis,', '2 × 18 mm')
    >>> bound_words("wall 5/8 in (0.617), cut 1 (R170)")
    ('wall', '5/8 in (0.617),', 'cut 1 (R170)')
    >>> bound_words("least wall: bowl 2: 14.3 mm")
    ('least', 'wall:', 'bowl 2:', '14.3 mm')
    """
    return tuple(TOGETHER.split(" ".join(text.split())))


def without_dots(row: str) -> str:
    """A row without the dot between phrases where it would begin or end the row.

    >>> without_dots("Mill Road ash ·")
    'Mill Road ash'
    """
    return row.strip(" ·") or row


def wrap(text: str, *, width: float, size: float, bold: bool = False) -> list[str]:
    """The text broken at spaces into lines no longer than `width` mm.

    A figure stays with its fraction, unit and thousandths where they fit. A single word longer
    than the width is broken inside. No line begins or ends with the dot between two phrases. The
    last line takes words from the one above it rather than be short.

    >>> wrap("light feed, start at 190", width=35.0, size=3.175)
    ['light feed, start', 'at 190']
    >>> wrap("", width=35.0, size=3.175)
    []
    """
    return list(_wrapped(text, width, size, bold))


@functools.lru_cache(maxsize=4096)
def _wrapped(text: str, width: float, size: float, bold: bool) -> tuple[str, ...]:
    if not text.strip():
        return ()
    words = bound_words(text)
    if any(text_width(word, size=size, bold=bold) > width for word in words):
        words = tuple(text.split())
    pieces = [piece for word in words for piece in _pieces(word, width, size, bold)]
    space = text_width(" ", size=size, bold=bold)
    lines: list[list[str]] = []
    so_far = 0.0  # length of the last line
    for piece in pieces:
        own = text_width(piece, size=size, bold=bold)
        if lines and so_far + space + own <= width:
            lines[-1].append(piece)
            so_far += space + own
        else:
            lines.append([piece])
            so_far = own
    if len(lines) > 1 and len(pieces) == len(words):  # no word is broken
        lines = _last_lengthened(lines, width, size=size, bold=bold)
    rows = [" ".join(line) for line in lines]
    return tuple(rows if len(rows) < 2 else map(without_dots, rows))


def _pieces(word: str, width: float, size: float, bold: bool) -> list[str]:
    """A word, broken where it is longer than a line."""
    pieces = []
    while len(word) > 1 and text_width(word, size=size, bold=bold) > width:
        cut = len(word) - 1
        while cut > 1 and text_width(word[:cut], size=size, bold=bold) > width:
            cut -= 1
        pieces.append(word[:cut])
        word = word[cut:]
    return [*pieces, word]


def _last_lengthened(
    lines: Sequence[Sequence[str]],
    width: float,
    *,
    size: float,
    bold: bool,
    short: float = SHORT_LINE,
) -> list[list[str]]:
    """Lines of words, a short last one lengthened by words from the one above.

    Args:
        lines: at least one, none longer than `width`.
        width: mm.
        size: of the font, mm.
        bold: in the bold cut.
        short: of the width, under which a line is short; the line above does not become so.
    """

    def length(words: Sequence[str]) -> float:
        return text_width(" ".join(words), size=size, bold=bold)

    *found, last = map(list, lines)
    while found and length(last) < short * width < length(found[-1][:-1]):
        moved = [found[-1][-1], *last]
        if length(moved) > width:
            break
        found[-1].pop()
        last = moved
    return [*found, last]


def shortened(text: str, *, width: float, size: float, bold: bool = False, tail: str = "") -> str:
    """The text cut short with an ellipsis to fit `width` mm; `tail` always follows whole.

    It is cut between words; inside a word only where not even the first word fits.
    """
    if text_width(text + tail, size=size, bold=bold) <= width:
        return text + tail
    words = text.split()
    for count in range(len(words) - 1, 0, -1):
        shown = f"{' '.join(words[:count]).rstrip('·,;: ')}…{tail}"
        if text_width(shown, size=size, bold=bold) <= width:
            return shown
    while text and text_width(f"{text}…{tail}", size=size, bold=bold) > width:
        text = text[:-1].rstrip()
    return f"{text}…{tail}"


def balanced(text: str, *, width: float, size: float, bold: bool = False) -> list[str]:
    """The text as `wrap` breaks it, with its lines as even as can be.

    It takes as few lines as `wrap` does; no line holds one word alone that fits elsewhere.

    >>> balanced("one two three four", width=25.0, size=3.175)
    ['one two', 'three four']
    """
    return list(_balanced(text, width, size, bold))


@functools.lru_cache(maxsize=4096)
def _balanced(text: str, width: float, size: float, bold: bool) -> tuple[str, ...]:
    best = wrap(text, width=width, size=size, bold=bold)
    longest = max((text_width(w, size=size, bold=bold) for w in bound_words(text)), default=0.0)
    if len(best) < 2 or longest > width:
        return tuple(best)
    low, high = longest, width  # narrower, a word would be broken inside
    while high - low > 1.0:
        middle = (low + high) / 2
        lines = wrap(text, width=middle, size=size, bold=bold)
        fits = all(text_width(line, size=size, bold=bold) <= middle for line in lines)
        if len(lines) == len(best) and fits:
            best, high = lines, middle
        else:
            low = middle
    widest = max(text_width(line, size=size, bold=bold) for line in best)
    even = _last_lengthened(
        [bound_words(line) for line in best], widest, size=size, bold=bold, short=EVEN_LINE
    )
    return tuple(without_dots(" ".join(line)) for line in even)
