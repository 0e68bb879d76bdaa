"""A bar on a terminal for what takes long; elsewhere only its notes are printed."""

import sys
from types import TracebackType
from typing import Any

import typer

from templategen.errors import plain


class ProgressBar:
    """Shows how much is done, where a person looks on.

    Args:
        label: what is counted, beside the bar.
    """

    def __init__(self, label: str) -> None:
        self.label = label
        self.bar: Any = None
        self.task: Any = None

    def __enter__(self) -> "ProgressBar":
        """Begins the bar, if the error output is a terminal."""
        if sys.stderr.isatty():
            # Loaded here because it takes as long as a plan and only a terminal needs it.
            from rich.console import Console  # noqa: PLC0415
            from rich.progress import (  # noqa: PLC0415
                BarColumn,
                MofNCompleteColumn,
                Progress,
                TextColumn,
                TimeElapsedColumn,
            )

            columns = (TextColumn(self.label), BarColumn(), MofNCompleteColumn(),
                       TimeElapsedColumn())  # fmt: skip
            self.bar = Progress(*columns, console=Console(stderr=True), transient=True)
            self.bar.start()
            self.task = self.bar.add_task(self.label, total=None)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Removes the bar."""
        if self.bar is not None:
            self.bar.stop()

    def __call__(self, done: int, total: int) -> None:
        """Shows that `done` of `total` are done."""
        if self.bar is not None:
            self.bar.update(self.task, completed=done, total=total)

    def note(self, text: str) -> None:
        """Prints a line above the bar, its hidden characters written out."""
        text = plain(text)
        if self.bar is None:
            typer.echo(text, err=True)
        else:
            self.bar.console.print(text, markup=False, emoji=False, highlight=False, soft_wrap=True)
