"""The program: its commands by name, and how a run ends. Only this layer sets exit codes."""

import contextlib
import os
import sys
from collections.abc import Mapping
from typing import Annotated, ClassVar

import typer

from templategen.cli.faults import usage_fault
from templategen.cli.screen import Screen, forgive_screens, screen_of
from templategen.cli.usage import LazyGroup
from templategen.errors import (
    GeometryError,
    InputError,
    OutputError,
    TemplategenError,
    machine_reason,
)
from templategen.messages import tr, tr_noop

INTERRUPTED = 130  # 128 + SIGINT, the custom of POSIX shells
PIPE_CLOSED = 141  # 128 + SIGPIPE, likewise
NAME = "templategen"


class Program(LazyGroup):
    """All commands, in the order of the help. A new command is a module and a line here."""

    entries: ClassVar[Mapping[str, str]] = {
        "page": tr_noop("Opens the page in your browser: plan, change and print without a "
                        "command."),
        "plan": tr_noop("Shows how many bowls the blank gives and how to set each cut."),
        "pack": tr_noop("Prints the templates full size into one PDF, or into cutting files, "
                        "one a part."),
        "shop": tr_noop("Prints the templates that a shop needs once: cutters, jaws, heights, "
                        "whatever the blank."),
        "club": tr_noop("Prints a hand-out for each bench of a list, each shop's set once, an "
                        "index page and a zip.\n\nA run that was interrupted goes on where it "
                        "stopped. A bad entry is named and skipped."),
        "chart": tr_noop("Charts how many bowls blanks of many sizes give, and by which cutters."),
        "log": tr_noop("Shows which blanks a log gives and how many bowls each of them gives."),
        "scale": tr_noop("Prints the scale sheet, to measure a printer by."),
        "scan": tr_noop("Measures a printer by the scan of a sheet: its scale across and down and "
                        "its skew."),
        "verify": tr_noop("Compares every line, word and picture of a pack with what its job "
                          "gives; exit 1 if not true."),
        "reprint": tr_noop("Prints a pack anew from the recipe inside it, on other paper or for "
                           "another printer."),
        "wood": tr_noop("Lists the woods of the table, or shows one with the source of each "
                        "figure."),
        "dry": tr_noop("Tells from a weighing record how dry a rough-out is, and draws it."),
        "start": tr_noop("Writes a commented shop file and job file to begin with."),
        "measure": tr_noop("Finds a cutter's radius from a chord and its rise."),
        "printer": tr_noop("Keeps what you measured on your printers."),
    }  # fmt: skip


app = typer.Typer(
    name=NAME,
    cls=Program,
    help=tr_noop(
        "Plans how to core nested bowls from a green blank and prints the templates full size."
    ),
    epilog=tr_noop(
        "Face shield on. Power off and locked before you touch belts or tools. Sound wood only; "
        "stand clear; the makers' limits come first."
    ),
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

LanguageOpt = Annotated[
    str | None,
    typer.Option(
        help=tr_noop("Language of all that is printed and said: a code such as en or de.")
    ),
]


@app.callback()
def begin(ctx: typer.Context, *, language: LanguageOpt = None) -> None:
    """Begins every command with the language that is asked for."""
    screen_of(ctx).begin(language)


def run() -> None:
    """Runs a command; a fault is one line and an exit code, never a traceback."""
    screen = Screen.wanted(sys.argv[1:])
    sys.exit(_flushed(_exit_code(screen), screen))


def _exit_code(screen: Screen) -> int:
    """Runs the command line and prints its faults; its exit code."""
    try:
        return _call(screen)
    except GeometryError as error:
        return _fail(InputError(error.what, where=error.where, mend=error.mend), screen)
    except TemplategenError as error:
        return _fail(error, screen)
    except OSError as error:
        what = machine_reason(error, tr("the machine failed"))
        return _fail(OutputError(what, where=str(error.filename or "")), screen)
    except MemoryError:
        return _fail(OutputError(tr("out of memory")), screen)
    except RecursionError:
        return _fail(InputError(tr("nested too deeply")), screen)
    except Exception as error:
        what = tr("the program failed ({reason})", reason=f"{type(error).__name__}: {error}")
        return _fail(
            OutputError(what, mend=tr("please report this line with the input files")), screen
        )
    except KeyboardInterrupt:
        return INTERRUPTED


def _call(screen: Screen) -> int:
    """Runs the command line; its exit code.

    Raises:
        InputError: the words given are not as the command takes them.
    """
    forgive_screens()
    try:
        code = app(standalone_mode=False, prog_name=NAME, obj=screen)
    except KeyboardInterrupt:
        return INTERRUPTED
    except SystemExit:  # the library's only one here: nobody reads what is printed any more
        return PIPE_CLOSED
    except Exception as error:
        if type(error).__name__ == "Abort":
            return INTERRUPTED
        if type(error).__name__ == "NoArgsIsHelpError":
            typer.echo(str(error), nl=bool(str(error)))
            return 0
        if hasattr(error, "format_message") and hasattr(error, "exit_code"):
            spoken = next((word for word in sys.argv[1:] if word in Program.entries), "")
            place = f"{NAME} {spoken}".rstrip()
            raise usage_fault(error, place=place, wording=screen.wording) from error
        raise
    return code if isinstance(code, int) else 0


def _fail(error: TemplategenError, screen: Screen) -> int:
    """Prints a fault; its exit code. A full error output changes nothing in it."""
    with contextlib.suppress(OSError):
        for text in error.lines(screen.wording):
            typer.echo(text, err=True)
    return error.exit_code


def _flushed(code: int, screen: Screen) -> int:
    """Writes what the output still holds; the exit code, `code` where the run did not go well.

    A stream that cannot be written to is turned to the null device, so that the interpreter, which
    flushes again as it ends, neither complains nor changes the exit code.
    """
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError as error:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
            if isinstance(error, BrokenPipeError):
                return code or PIPE_CLOSED
            if stream is sys.stdout and code == 0:
                why = machine_reason(error, tr("failed"))
                what = tr("cannot be written ({why})", why=why)
                code = _fail(OutputError(what, where=tr("standard output")), screen)
    return code
