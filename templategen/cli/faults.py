"""A slip on the command line as one fault: place, what is wrong, the mend.

The exceptions of the command-line library are told apart by what they carry, not by their
classes, because the library keeps those in a place of its own.
"""

import difflib
import re
from collections.abc import Sequence
from typing import Any

from templategen.errors import InputError
from templategen.messages import Message, Text, Wording, tr


def usage_fault(error: Any, *, place: str, wording: Wording) -> InputError:  # noqa: ANN401 - the library's
    """The library's complaint as one fault with its mend.

    Args:
        error: what the library raised.
        place: the words of the command, where the complaint names none.
        wording: of the help that is quoted.
    """
    context = getattr(error, "ctx", None)
    where = getattr(context, "command_path", None) or place
    parameter = getattr(error, "param", None)
    option = getattr(error, "option_name", None)
    message = str(error.format_message()).strip().rstrip(".")
    if parameter is not None:
        missing = "Missing" in type(error).__name__
        return InputError(
            tr("is missing") if missing else _no_number(error),
            where=f"{where}: {_name(parameter, wording)}",
            mend=_help(parameter, wording),
        )
    if option is not None and hasattr(error, "possibilities"):
        params = getattr(getattr(context, "command", None), "params", ())
        known = [name for p in params for name in getattr(p, "opts", ()) if name[:1] == "-"]
        mend = nearest(option, [*known, "--help"], see(where))
        if option == "--language":
            mend = tr("put it before the command")
        return InputError(tr("unknown option {name!r}", name=option), where=where, mend=mend)
    if option is not None:
        place = f"{where}: {option}"
        if "requires" in message:
            return InputError(tr("needs a value"), where=place, mend=see(where))
        mend = tr("write {option} alone", option=option)
        return InputError(tr("takes no value"), where=place, mend=mend)
    extra = re.search(r"extra arguments?(?:\(s\))? \((.*)\)", message)
    if extra is not None:
        what = tr("{word!r} is more than the command takes", word=extra[1])
        return InputError(what, where=where, mend=tr("put a name with spaces in quotes"))
    if message == "Missing command":
        return InputError(tr("no command is named"), where=where, mend=see(where))
    return InputError(tr("wrong words"), where=where, mend=see(where))


def see(command: str) -> Message:
    """The mend that names the help of a command."""
    return tr("see {command} --help", command=command)


def nearest(word: str, known: Sequence[str], otherwise: Text) -> Text:
    """The mend that names the nearest known word, else another text."""
    near = difflib.get_close_matches(word, sorted(set(known)), n=1, cutoff=0.5)
    return tr("did you mean {name!r}?", name=near[0]) if near else otherwise


def _no_number(error: Any) -> Message:  # noqa: ANN401 - the library's
    """What is wrong with a value: only one that has to be a number can be refused."""
    found = getattr(error.__cause__, "errors", None)
    seen = re.match(r"'(.*)' is not", str(getattr(error, "message", "")))
    value = found()[0].get("input") if callable(found) else seen[1] if seen else None
    if value is None:
        return tr("is not a number")
    return tr("{text!r} is not a number", text=str(value))


def _name(parameter: Any, wording: Wording) -> str:  # noqa: ANN401 - the library's
    names = [str(name) for name in getattr(parameter, "opts", ()) if name[:1] == "-"]
    if names:
        return max(names, key=len)
    metavar = getattr(parameter, "metavar", "")
    return wording.say(metavar).upper() if metavar else str(parameter.name).upper()


def _help(parameter: Any, wording: Wording) -> Message:  # noqa: ANN401 - the library's
    text = getattr(parameter, "help", "")
    if not text:
        return tr("see --help")
    return tr("give: {what}", what=wording.say(text).strip().rstrip("."))
