"""The program: its commands by name, and how a run ends. Only this layer sets exit codes."""

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
        "club": tr_noop("Prints packs for many blanks and papers, with an index page and a zip of "
                        "them all.\n\nA run that was interrupted goes on where it stopped. A bad "
                        "entry is named and skipped."),
        "chart": tr_noop("Charts how many bowls blanks of many sizes give, and by which cutters."),
        "log": tr_noop("Shows which blanks a log gives and how many bowls each of them gives."),
        "scale": tr_noop("Prints the scale sheet, to measure a printer by."),
        "verify": tr_noop("Measures every part, seam and bar of a pack against the model; exit 1 "
                          "if not true."),
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
    try:
        sys.exit(_call(screen))
    except GeometryError as error:
        _fail(InputError(error.what, where=error.where, mend=error.mend), screen)
    except TemplategenError as error:
        _fail(error, screen)
    except OSError as error:
        what = machine_reason(error, tr("the machine failed"))
        _fail(OutputError(what, where=str(error.filename or "")), screen)
    except MemoryError:
        _fail(OutputError(tr("out of memory")), screen)
    except RecursionError:
        _fail(InputError(tr("nested too deeply")), screen)
    except Exception as error:
        what = tr("the program failed ({reason})", reason=f"{type(error).__name__}: {error}")
        _fail(OutputError(what, mend=tr("please report this line with the input files")), screen)
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


def _call(screen: Screen) -> int:
    """Runs the command line; its exit code.

    Raises:
        InputError: the words given are not as the command takes them.
    """
    forgive_screens()
    try:
        code = app(standalone_mode=False, prog_name=NAME, obj=screen)
        sys.stdout.flush()
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


def _fail(error: TemplategenError, screen: Screen) -> None:
    for text in error.lines(screen.wording):
        typer.echo(text, err=True)
    sys.exit(error.exit_code)
