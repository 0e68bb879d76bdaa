"""A slip on the command line, said in one line: place, what is wrong, the mend.

The exceptions of the command-line library are told apart by what they carry, not by their
classes, because the library keeps those in a place of its own. Help is the library's too; what
it does not look up in a catalogue is put into the language in use here.
"""

import difflib
import functools
import json
import re
import sys
from collections.abc import Sequence
from typing import Any

import typer
from typer.core import TyperCommand, TyperGroup

from templategen.errors import InputError
from templategen.messages import mark, say

INTERRUPTED = 130  # 128 + SIGINT, the custom of POSIX shells
PIPE_CLOSED = 141  # 128 + SIGPIPE, likewise


_KINDS = {  # what a value is, as the library names it; a switch takes none
    "<path>": mark("<path>"),
    "<str>": mark("<text>"),
    "<int>": mark("<number>"),
    "<float>": mark("<number>"),
    "<bool>": "",
    "<list[str]>": mark("<text>"),
}


class Command(TyperCommand):
    """One command; its help is in the language in use."""

    def __init__(self, **attributes: Any) -> None:  # noqa: ANN401 - as the library
        super().__init__(**{**attributes, "options_metavar": say("[OPTIONS]")})

    def format_usage(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - as the library
        """Writes the line of usage."""
        _write_usage(self, ctx, formatter)

    def get_params(self, ctx: Any) -> Any:  # noqa: ANN401 - as the library
        """The arguments and options, each with its help."""
        return _worded(super().get_params(ctx))


class Group(TyperGroup):
    """A group of commands, in the language in use; to an unknown one it answers the nearest."""

    def __init__(self, **attributes: Any) -> None:  # noqa: ANN401 - as the library
        words = {
            "options_metavar": say("[OPTIONS]"),
            "subcommand_metavar": say("COMMAND [ARGS]..."),
        }
        super().__init__(**{**attributes, **words})

    def format_usage(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - as the library
        """Writes the line of usage."""
        _write_usage(self, ctx, formatter)

    def get_params(self, ctx: Any) -> Any:  # noqa: ANN401 - as the library
        """The options, each with its help."""
        return _worded(super().get_params(ctx))

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:  # noqa: ANN401 - as the library
        """The command that the first word names.

        Raises:
            InputError: there is none of that name.
        """
        known = self.list_commands(ctx)
        if args and args[0] not in known:
            raise InputError(
                say("unknown command {name!r}", name=args[0]),
                where=ctx.command_path,
                mend=_nearest(args[0], known, _see(ctx.command_path)),
            )
        return super().resolve_command(ctx, args)


def _write_usage(command: Any, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - the library's
    pieces = " ".join(command.collect_usage_pieces(ctx))
    formatter.write_usage(ctx.command_path, pieces, prefix=say("Usage: "))


def _worded(parameters: Any) -> Any:  # noqa: ANN401 - the library's
    """The parameters, their kinds and the help of ``--help`` in the language in use."""
    for parameter in parameters:
        if "--help" in parameter.opts:
            parameter.help = say("Show this message and exit.")
        kind = getattr(parameter, "display_type", None)
        if kind is not None and not hasattr(kind, "func"):
            parameter.display_type = functools.partial(_kind, kind)
    return parameters


def _kind(named: Any, ctx: Any) -> str:  # noqa: ANN401 - the library's
    kind = str(named(ctx))
    word = _KINDS.get(kind, kind)
    return say(word) if word else ""


def forgive_screens() -> None:
    """Letters that a screen or a pipe has no code for are shown as question marks from now on."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def show_json(data: object) -> None:
    """Prints JSON; where the output is not UTF-8, in ASCII, so that no letter is lost."""
    coding = str(getattr(sys.stdout, "encoding", "") or "").lower().replace("-", "")
    ascii_only = coding not in ("utf8", "utf8sig")
    typer.echo(json.dumps(data, indent=1, ensure_ascii=ascii_only, allow_nan=False))


def call(app: typer.Typer) -> int:
    """Runs the command line.

    Returns: the exit code.

    Raises:
        InputError: the words given are not as the command takes them.
    """
    forgive_screens()
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
            return InputError(say("is missing"), where=f"{where}: {name}", mend=_help(parameter))
        return InputError(_no_number(error), where=f"{where}: {name}", mend=_help(parameter))
    if option is not None and hasattr(error, "possibilities"):
        known = [name for p in params for name in getattr(p, "opts", ()) if name[:1] == "-"]
        mend = _nearest(option, [*known, "--help"], _see(where))
        if option == "--language":
            mend = say("put it before the command")
        return InputError(say("unknown option {name!r}", name=option), where=where, mend=mend)
    if option is not None:
        place = f"{where}: {option}"
        if "requires" in message:
            return InputError(say("needs a value"), where=place, mend=_see(where))
        mend = say("write {option} alone", option=option)
        return InputError(say("takes no value"), where=place, mend=mend)
    extra = re.search(r"extra arguments?(?:\(s\))? \((.*)\)", message)
    if extra is not None:
        what = say("{word!r} is more than the command takes", word=extra[1])
        return InputError(what, where=where, mend=say("put a name with spaces in quotes"))
    if message == "Missing command":
        return InputError(say("no command is named"), where=where, mend=_see(where))
    return InputError(say("wrong words"), where=where, mend=_see(where))


def _no_number(error: Any) -> str:  # noqa: ANN401 - the library's
    """What is wrong with a value: only one that has to be a number can be refused."""
    found = getattr(error.__cause__, "errors", None)
    seen = re.match(r"'(.*)' is not", str(getattr(error, "message", "")))
    value = found()[0].get("input") if callable(found) else seen[1] if seen else None
    if value is None:
        return say("is not a number")
    return say("{text!r} is not a number", text=str(value))


def _place(app: typer.Typer, words: Sequence[str]) -> str:
    names = {c.name or getattr(c.callback, "__name__", "") for c in app.registered_commands}
    spoken = next((word for word in words if word in names), "")
    return f"templategen {spoken}".rstrip()


def _name(parameter: Any) -> str:  # noqa: ANN401
    names = [str(name) for name in getattr(parameter, "opts", ()) if name[:1] == "-"]
    if names:
        return max(names, key=len)
    return str(getattr(parameter, "metavar", "") or getattr(parameter, "name", "")).upper()


def _help(parameter: Any) -> str:  # noqa: ANN401
    text = str(getattr(parameter, "help", "") or "").strip().rstrip(".")
    return say("give: {what}", what=text) if text else say("see --help")


def _see(command: str) -> str:
    return say("see {command} --help", command=command)


def _nearest(word: str, known: Sequence[str], otherwise: str) -> str:
    near = difflib.get_close_matches(word, sorted(set(known)), n=1, cutoff=0.5)
    return say("did you mean {name!r}?", name=near[0]) if near else otherwise
