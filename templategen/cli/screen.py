"""The screen of one run: in which language it is spoken to, and how tables and JSON are shown."""

import json
import os
import sys
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import typer

from templategen.errors import InputError, plain
from templategen.messages import Text, Wording, language_wanted, languages, tr

WIDTH = 99  # letters of a line on the screen


@dataclass(slots=True)
class Screen:
    """What one run of the program speaks; made once and handed to every command.

    Args:
        wording: of all that is said; a job's own once a job is open.
        language: what ``--language`` says; empty if it was not given.
    """

    wording: Wording
    language: str = ""

    @classmethod
    def wanted(cls, words: Sequence[str]) -> "Screen":
        """The screen that a command line and the machine ask for."""
        return cls(Wording(language_wanted(words, os.environ)))

    def begin(self, language: str | None) -> None:
        """Takes what ``--language`` says.

        Raises:
            InputError: there is no such language.
        """
        if language is None:
            return
        if language not in languages():
            self.wording = Wording(language_wanted((), os.environ))
            raise InputError(
                tr("{language!r} is no language of this program", language=language),
                where="--language",
                mend=tr("use {known}", known=", ".join(languages())),
            )
        self.wording, self.language = Wording(language), language

    def say(self, template: str, /, **values: object) -> str:
        """A sentence, see `Wording.say`."""
        return self.wording.say(template, **values)

    def show(self, message: Text = "", *, err: bool = False) -> None:
        """Prints a text or a message on a line."""
        echo(self.wording.text(message), err=err)

    def tell(self, template: str, /, **values: object) -> None:
        """Prints a sentence on a line."""
        shown = {k: plain(str(v)) if isinstance(v, str | Path) else v for k, v in values.items()}
        echo(self.wording.say(template, **shown))

    def show_wrapped(self, message: Text, *, first: str = "", err: bool = False) -> None:
        """Prints a text in lines of at most `WIDTH` letters, the following ones set in.

        Args:
            message: the text.
            first: what stands before its first line, such as a dash.
            err: whether it goes to the error output.
        """
        text = self.wording.text(message)
        left = " " * len(first)
        echo(textwrap.fill(text, WIDTH, initial_indent=first, subsequent_indent=left), err=err)

    def show_table(self, rows: Sequence[Sequence[Text]]) -> None:
        """Prints rows of equal length, each column set right; one that knows nothing is left out.

        A table wider than the screen is split; each piece begins with the first column.

        Args:
            rows: the heading, then the rows; ``-`` stands for what is not known.
        """
        texts = [[self.wording.text(cell) for cell in row] for row in rows]
        columns = [
            column for column in zip(*texts, strict=True) if any(cell != "-" for cell in column[1:])
        ]
        first, *rest = columns
        piece = [first]
        for column in rest:
            if len(piece) > 1 and _width([*piece, column]) > WIDTH:
                show_columns(list(zip(*piece, strict=True)))
                piece = [first]
            piece.append(column)
        show_columns(list(zip(*piece, strict=True)))


def _width(columns: Sequence[Sequence[str]]) -> int:
    """Letters of a line of a table: its columns two spaces apart."""
    return sum(max(map(len, column)) + 2 for column in columns) - 2


def echo(text: str, *, err: bool = False) -> None:
    """Prints lines, their hidden characters written out: a name from a file moves no cursor.

    Args:
        text: lines parted by line feeds.
        err: whether they go to the error output.
    """
    typer.echo("\n".join(plain(line) for line in text.split("\n")), err=err)


def screen_of(ctx: Any) -> Screen:  # noqa: ANN401 - the library's, or its alias in typer
    """The screen of the run that a command belongs to."""
    root = ctx.find_root()
    if root.obj is None:
        root.obj = Screen.wanted(())
    screen: Screen = root.obj
    return screen


def show_columns(rows: Sequence[Sequence[str]]) -> None:
    """Prints rows of equal length, each column set right."""
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=True)]
        echo("  ".join(cells).rstrip())


def show_json(data: object) -> None:
    """Prints JSON; where the output is not UTF-8, in ASCII, so that no letter is lost."""
    coding = str(getattr(sys.stdout, "encoding", "") or "").lower().replace("-", "")
    ascii_only = coding not in ("utf8", "utf8sig")
    typer.echo(json.dumps(data, indent=1, ensure_ascii=ascii_only, allow_nan=False))


def forgive_screens() -> None:
    """Letters that a screen or a pipe has no code for are shown as question marks from now on."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
