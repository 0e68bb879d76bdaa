"""Widths of text in the bundled font, so that parts are laid out before any file is written."""

import functools
import io
import re
import unicodedata
from pathlib import Path
from typing import Any

from fontTools.ttLib import TTFont

TOGETHER = re.compile(  # where lines break
    r"(?<![\dØ×]) (?!\(\d+[.,]\d{3}[,)])|(?<=\d) (?!(?:mm|in|kg|lb|%)(?:[ ,;.:)]|$)|\d+/\d|×)"
)
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
    """The words of a text, a figure bound to its fraction, unit, thousandths and times sign.

    >>> bound_words("entry 4 1/2 in from the axis, 2 × 18 mm")
    ('entry', '4 1/2 in', 'from', 'the', 'axis,', '2 × 18 mm')
    >>> bound_words("wall 5/8 in (0.617)")
    ('wall', '5/8 in (0.617)')
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
    than the width is broken inside. No line begins or ends with the dot between two phrases.
    """
    return list(_wrapped(text, width, size, bold))


@functools.lru_cache(maxsize=4096)
def _wrapped(text: str, width: float, size: float, bold: bool) -> tuple[str, ...]:
    lines: list[str] = []
    current, so_far = "", 0.0  # the line that is being filled, and its length
    space = text_width(" ", size=size, bold=bold)
    words = bound_words(text)
    if any(text_width(word, size=size, bold=bold) > width for word in words):
        words = tuple(text.split())
    for word in words:
        own = text_width(word, size=size, bold=bold)
        while own > width and len(word) > 1:
            cut = len(word) - 1
            while cut > 1 and text_width(word[:cut], size=size, bold=bold) > width:
                cut -= 1
            if current:
                lines.append(current)
                current = ""
            lines.append(word[:cut])
            word = word[cut:]
            own = text_width(word, size=size, bold=bold)
        if not current:
            current, so_far = word, own
        elif so_far + space + own > width:
            lines.append(without_dots(current))
            current, so_far = word, own
        else:
            current, so_far = f"{current} {word}", so_far + space + own
    if current:
        lines.append(without_dots(current) if lines else current)
    return tuple(lines)


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
    if len(best) < 2:
        return tuple(best)
    longest = max(text_width(word, size=size, bold=bold) for word in bound_words(text))
    low, high = longest, width  # narrower, a word would be broken inside
    while high - low > 1.0:
        middle = (low + high) / 2
        lines = wrap(text, width=middle, size=size, bold=bold)
        fits = all(text_width(line, size=size, bold=bold) <= middle for line in lines)
        if len(lines) == len(best) and fits:
            best, high = lines, middle
        else:
            low = middle
    return tuple(best)
