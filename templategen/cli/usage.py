"""A slip on the command line, said in one line: place, what is wrong, the mend.

The exceptions of the command-line library are told apart by what they carry, not by their
classes, because the library keeps those in a place of its own.
"""

import difflib
import re
import sys
from collections.abc import Sequence
from typing import Any

import typer
from typer.core import TyperGroup

from templategen.errors import InputError

INTERRUPTED = 130  # 128 + SIGINT, the custom of POSIX shells
PIPE_CLOSED = 141  # 128 + SIGPIPE, likewise


class Commands(TyperGroup):
    """The group of all commands; an unknown one is answered with the nearest."""

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:  # noqa: ANN401 - as the library
        """The command that the first word names.

        Raises:
            InputError: there is none of that name.
        """
        known = self.list_commands(ctx)
        if args and args[0] not in known:
            raise InputError(
                f"unknown command {args[0]!r}",
                where="templategen",
                mend=_nearest(args[0], known, "see templategen --help"),
            )
        return super().resolve_command(ctx, args)


def call(app: typer.Typer) -> int:
    """Runs the command line.

    Returns: the exit code.

    Raises:
        InputError: the words given are not as the command takes them.
    """
    try:
        code = app(standalone_mode=False, prog_name="templategen")
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
            raise usage_fault(error, place=_place(app, sys.argv[1:])) from error
        raise
    return code if isinstance(code, int) else 0


def usage_fault(error: Any, *, place: str) -> InputError:  # noqa: ANN401 - the library's
    """The library's complaint as one fault with its mend; `place` where it names none."""
    context = getattr(error, "ctx", None)
    where = getattr(context, "command_path", None) or place
    params = list(getattr(getattr(context, "command", None), "params", ()))
    parameter = getattr(error, "param", None)
    option = getattr(error, "option_name", None)
    message = str(error.format_message()).strip().rstrip(".")
    if parameter is not None:
        name = _name(parameter)
        if "Missing" in type(error).__name__:
            return InputError("is missing", where=f"{where}: {name}", mend=_help(parameter))
        what = str(getattr(error, "message", "") or message).rstrip(".")
        return InputError(what, where=f"{where}: {name}", mend=_help(parameter))
    if option is not None and hasattr(error, "possibilities"):
        known = [name for p in params for name in getattr(p, "opts", ()) if name[:1] == "-"]
        mend = _nearest(option, [*known, "--help"], f"see {where} --help")
        return InputError(f"unknown option {option!r}", where=where, mend=mend)
    if option is not None:
        if "requires" in message:
            return InputError(
                "needs a value", where=f"{where}: {option}", mend=f"see {where} --help"
            )
        return InputError(
            "takes no value", where=f"{where}: {option}", mend=f"write {option} alone"
        )
    extra = re.search(r"extra arguments?(?:\(s\))? \((.*)\)", message)
    if extra is not None:
        what = f"{extra[1]!r} is more than the command takes"
        return InputError(what, where=where, mend="put a name with spaces in quotes")
    return InputError(message or "wrong words", where=where, mend=f"see {where} --help")


def _place(app: typer.Typer, words: Sequence[str]) -> str:
    names = {c.name or getattr(c.callback, "__name__", "") for c in app.registered_commands}
    spoken = next((word for word in words if word in names), "")
    return f"templategen {spoken}".rstrip()


def _name(parameter: Any) -> str:  # noqa: ANN401
    names = [name for name in getattr(parameter, "opts", ()) if name[:1] == "-"]
    return max(names, key=len) if names else str(getattr(parameter, "name", "")).upper()


def _help(parameter: Any) -> str:  # noqa: ANN401
    text = str(getattr(parameter, "help", "") or "").strip().rstrip(".")
    return f"give: {text}" if text else "see --help"


def _nearest(word: str, known: Sequence[str], otherwise: str) -> str:
    near = difflib.get_close_matches(word, sorted(set(known)), n=1, cutoff=0.5)
    return f"did you mean {near[0]!r}?" if near else otherwise
