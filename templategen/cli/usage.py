"""Commands whose help is in the language of the screen, and groups that load them when called.

Help texts stand in the code as templates (`tr_noop`) and are rendered when help is shown, on copies
of the library's objects.
"""

import copy
import functools
import importlib
from collections.abc import Mapping
from typing import Any, ClassVar, get_type_hints

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command

from templategen.cli.faults import nearest, see
from templategen.cli.screen import screen_of
from templategen.errors import InputError
from templategen.messages import Wording, tr, tr_noop

_KINDS = {  # what a value is, as the library names it; a switch takes none
    "<path>": tr_noop("<path>"),
    "<str>": tr_noop("<text>"),
    "<int>": tr_noop("<number>"),
    "<float>": tr_noop("<number>"),
    "<bool>": "",
    "<list[str]>": tr_noop("<text>"),
}
_LIBRARY = {  # what the library's help says of its own accord, by the name of the constant
    "OPTIONS_PANEL_TITLE": tr_noop("Options"),
    "ARGUMENTS_PANEL_TITLE": tr_noop("Arguments"),
    "COMMANDS_PANEL_TITLE": tr_noop("Commands"),
    "DEFAULT_STRING": tr_noop("[default: {}]"),
    "REQUIRED_LONG_STRING": tr_noop("[required]"),
}


class Command(TyperCommand):
    """One command; its help is in the language of the screen."""

    def format_usage(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - as the library
        """Writes the line of usage."""
        _write_usage(self, ctx, formatter)

    def format_help(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - as the library
        """Writes the help."""
        super(Command, _in_words(self, ctx)).format_help(ctx, formatter)


class Group(TyperGroup):
    """A group of commands; to an unknown one it answers the nearest."""

    def format_usage(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - as the library
        """Writes the line of usage."""
        _write_usage(self, ctx, formatter)

    def format_help(self, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - as the library
        """Writes the help with a line for each command."""
        shown = _in_words(self, ctx)
        shown.subcommand_metavar = screen_of(ctx).say("COMMAND [ARGS]...")
        say = screen_of(ctx).wording.say
        shown.commands = {
            name: Command(name=name, help=say(text)) for name, text in self.helps().items()
        }
        super(Group, shown).format_help(ctx, formatter)

    def helps(self) -> dict[str, str]:
        """Name and help of every command, as templates."""
        return {name: command.help or "" for name, command in self.commands.items()}

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:  # noqa: ANN401 - as the library
        """The command that the first word names; ``help`` stands for ``--help``.

        Raises:
            InputError: there is none of that name.
        """
        known = self.list_commands(ctx)
        if args == ["help"]:
            typer.echo(ctx.get_help())
            ctx.exit()
        if args[:1] == ["help"]:
            args = [*args[1:], "--help"]
        if args and args[0] not in known:
            raise InputError(
                tr("unknown command {name!r}", name=args[0]),
                where=ctx.command_path,
                mend=nearest(args[0], [*known, "help"], see(ctx.command_path)),
            )
        return super().resolve_command(ctx, args)


class LazyGroup(Group):
    """A group whose commands' modules are imported when they are called.

    `entries` gives the help of each command, by its name. The command is the function of that
    name in the module ``templategen.cli.NAME``, or the `typer.Typer` there named ``app``.
    """

    entries: ClassVar[Mapping[str, str]] = {}

    def list_commands(self, ctx: Any) -> list[str]:  # noqa: ANN401 - as the library
        """The names of the commands in the order of the help."""
        return list(self.entries)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:  # noqa: ANN401 - as the library
        """The command of a name, its module imported; None if there is none."""
        if cmd_name not in self.commands and cmd_name in self.entries:
            self.commands[cmd_name] = loaded(cmd_name, self.entries[cmd_name])
        return super().get_command(ctx, cmd_name)

    def helps(self) -> dict[str, str]:
        """Name and help of every command, as templates."""
        return dict(self.entries)


def loaded(name: str, text: str) -> Any:  # noqa: ANN401 - the library's
    """The library's command of a name, its module imported; `text` is its help."""
    module = importlib.import_module(f"templategen.cli.{name}")
    target = getattr(module, "app", None)
    if target is None:
        target = typer.Typer(add_completion=False)
        function = getattr(module, name)
        _leave_files_to_readers(function)
        target.command(name, cls=Command, help=text)(function)
    command = get_command(target)
    command.name = name
    return command


def _leave_files_to_readers(function: Any) -> None:  # noqa: ANN401 - any signature
    """Turns off the library's own look at a command's files: our readers say what is wrong."""
    for hint in get_type_hints(function, include_extras=True).values():
        for described in getattr(hint, "__metadata__", ()):
            if hasattr(described, "readable"):
                described.readable = False


def _in_words(command: Any, ctx: Any) -> Any:  # noqa: ANN401 - the library's
    """A copy of a command with every text of its help in the language of the screen."""
    # Loaded here because it takes as long as all else and only help needs it.
    from typer import rich_utils  # noqa: PLC0415

    wording = screen_of(ctx).wording
    for name, text in _LIBRARY.items():
        setattr(rich_utils, name, wording.say(text))
    shown = copy.copy(command)
    shown.help = wording.say(command.help) if command.help else ""
    shown.epilog = wording.say(command.epilog) if command.epilog else None
    shown.options_metavar = wording.say("[OPTIONS]")
    shown.params = [_parameter_in_words(p, wording) for p in command.get_params(ctx)]
    shown.add_help_option = False  # it is among the parameters
    return shown


def _parameter_in_words(parameter: Any, wording: Wording) -> Any:  # noqa: ANN401 - the library's
    shown = copy.copy(parameter)
    if "--help" in parameter.opts:
        shown.help = wording.say("Show this message and exit.")
    elif parameter.help:
        shown.help = wording.say(parameter.help)
    if parameter.metavar:
        shown.metavar = wording.say(parameter.metavar)
    shown.display_type = functools.partial(_kind, parameter.display_type, wording)
    return shown


def _kind(named: Any, wording: Wording, ctx: Any) -> str:  # noqa: ANN401 - the library's
    kind = str(named(ctx))
    return wording.say(_KINDS.get(kind, kind))


def _write_usage(command: Any, ctx: Any, formatter: Any) -> None:  # noqa: ANN401 - the library's
    pieces = " ".join(command.collect_usage_pieces(ctx))
    formatter.write_usage(ctx.command_path, pieces, prefix=screen_of(ctx).say("Usage: "))
