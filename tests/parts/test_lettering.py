"""How text is broken into lines: nothing lost, nothing too long, no lone word at the end."""

from collections.abc import Callable

import pytest
from babel.messages.pofile import read_po

from templategen import messages
from templategen.parts.drawing import BODY
from templategen.parts.labels import fill_rows
from templategen.parts.lettering import balanced, text_width, wrap

WIDTHS = (60.0, 88.0, 166.0)  # mm: of a tag, of a column of the work order, of a card


def _sentences() -> list[str]:
    """The German sentences of the project, the longest that it prints."""
    path = messages.FOLDER / "de" / "LC_MESSAGES" / f"{messages.DOMAIN}.po"
    with path.open(encoding="utf-8") as file:
        return [m.string for m in read_po(file) if m.id and isinstance(m.string, str)]


@pytest.mark.parametrize("lines_of", [wrap, balanced])
def test_sentences_are_whole_within_the_width_and_end_with_no_lone_word(
    lines_of: Callable[..., list[str]],
) -> None:
    """No word is lost, no line is too long, and none ends with one word of four letters or less."""
    for text in _sentences():
        for width in WIDTHS:
            lines = lines_of(text, width=width, size=BODY)
            assert " ".join(lines).split() == text.split() or "·" in text
            assert all(text_width(line, size=BODY) <= width for line in lines), lines
            assert len(lines) < 2 or " " in lines[-1] or len(lines[-1]) > 4, lines


def test_a_job_and_its_date_keep_the_dot_between_them() -> None:
    """In rows of any width a dot stands between title and date, or a row ends between them."""
    label, tried = "Mill Road ash (invented) · 2026-07-09", 0
    for width in range(22, 90):
        rows = fill_rows([label], lambda _, width=width: float(width), most=9)
        if rows is not None:
            tried += 1
            assert " ".join(rows).replace(" · ", " ") == label.replace(" · ", " ")
            assert not any("(invented) 2026" in row for row in rows), width
    assert tried > 50
