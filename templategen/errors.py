"""Every error templategen raises on purpose, and the texts that suggest what to do."""

import difflib
import functools
import unicodedata
from collections.abc import Iterable, Sequence

from templategen.messages import ENGLISH_WORDING, Joined, Text, Wording, tr, tr_noop

_MACHINE = (  # what POSIX systems commonly say, entered for translation
    tr_noop("Permission denied"),
    tr_noop("Operation not permitted"),
    tr_noop("Not a directory"),
    tr_noop("Is a directory"),
    tr_noop("No such file or directory"),
    tr_noop("No such device or address"),
    tr_noop("File exists"),
    tr_noop("File name too long"),
    tr_noop("Input/output error"),
    tr_noop("No space left on device"),
    tr_noop("Disk quota exceeded"),
    tr_noop("Read-only file system"),
    tr_noop("Too many levels of symbolic links"),
    tr_noop("Too many open files"),
    tr_noop("File too large"),
    tr_noop("Invalid argument"),
)


def hidden(character: str) -> bool:
    """Whether a character controls a screen or the order of a line instead of being seen.

    C0 and C1 controls, bidirectional and other format characters, line and paragraph
    separators, lone surrogates: general categories Cc, Cf, Zl, Zp and Cs of the Unicode
    Standard, section 4.5. The joiners U+200C and U+200D, which some scripts need, are not.
    """
    if character in "\u200c\u200d":
        return False
    return unicodedata.category(character) in {"Cc", "Cf", "Zl", "Zp", "Cs"}


def plain(text: str) -> str:
    r"""The text with every hidden character written out, such as ``\x1b``."""
    if not any(hidden(c) for c in text):
        return text
    return "".join(c.encode("unicode_escape").decode("ascii") if hidden(c) else c for c in text)


def machine_reason(error: BaseException, otherwise: Text) -> Text:
    """Why the machine refused.

    Args:
        error: what the machine raised.
        otherwise: the text where it gives no reason.
    """
    reason = getattr(error, "strerror", None)
    return tr(str(reason)) if reason else otherwise


def suggestion(name: str, known: Iterable[str], otherwise: Text, *, cutoff: float = 0.4) -> Text:
    """The mend for an unknown name: the nearest known one, else another text.

    Args:
        name: as it was typed.
        known: the names there are.
        otherwise: the text where no name is near.
        cutoff: least likeness of a near name, 0..1 (`difflib.get_close_matches`).

    >>> str(suggestion("heigth", ["height", "diameter"], "see the file"))
    "did you mean 'height'?"
    """
    near = difflib.get_close_matches(name, sorted(map(str, known)), n=1, cutoff=cutoff)
    return meant(near[0]) if near else otherwise


def meant(near: str) -> Text:
    """The mend that offers the nearest known name."""
    return tr("did you mean {name!r}?", name=near)


def known_names(names: Iterable[str]) -> Text:
    """The mend that lists the known names."""
    return tr("known: {names}", names=", ".join(names))


def either(names: Iterable[Text]) -> Text:
    """Words of a file, one of which is to be chosen; at least one.

    >>> str(either(["mm", "in"]))
    'mm or in'
    """
    return functools.reduce(lambda a, b: tr("{first} or {other}", first=a, other=b), names)


class TemplategenError(Exception):
    """A fault a person can mend: where it is, what is wrong, what to do.

    Args:
        what: what is wrong, with the value seen.
        where: file and place in it, such as ``shop.toml: cutters[1].kerf``; may be empty.
        mend: what to do about it; may be empty.
    """

    exit_code = 2

    def __init__(self, what: Text, *, where: Text = "", mend: Text = "") -> None:
        self.what = what
        self.where = where
        self.mend = mend
        super().__init__(what)

    def __str__(self) -> str:
        """One line: place, what, mend."""
        return ENGLISH_WORDING.text(self._line())

    def lines(self, wording: Wording = ENGLISH_WORDING) -> tuple[str, ...]:
        """The fault as lines for a person, one fault a line."""
        text = wording.text(self._line())
        return (plain(" ".join(text.split())),)

    def _line(self) -> Text:
        placed = Joined((self.where, self.what), ": ") if self.where else self.what
        return Joined((placed, self.mend), "; ") if self.mend else placed


class InputError(TemplategenError):
    """The input is wrong (exit code 2)."""


class LimitError(InputError):
    """A figure or a count lies outside the stated bounds (exit code 2)."""


class InputErrors(InputError):  # noqa: N818 - several of them
    """Several faults of one run, each an `InputError`, reported together.

    Args:
        faults: at least one fault.
    """

    def __init__(self, faults: Sequence[TemplategenError]) -> None:
        self.faults = tuple(faults)
        super().__init__(Joined(tuple(fault._line() for fault in self.faults), "; "))
        self.args = (self.faults,)  # what pickle makes it from again

    def __str__(self) -> str:
        """All faults, one a line."""
        return "\n".join(self.lines())

    def lines(self, wording: Wording = ENGLISH_WORDING) -> tuple[str, ...]:
        """The faults as lines for a person, one fault a line."""
        return tuple(line for fault in self.faults for line in fault.lines(wording))


def unreadable(error: Exception, path: str) -> InputError:
    """The fault of a file that is there and cannot be read, with the mend where rights are missing.

    Args:
        error: what the machine raised.
        path: of the file.
    """
    why = machine_reason(error, tr("unreadable"))
    mend = tr("see to the rights of that file") if isinstance(error, PermissionError) else ""
    return InputError(tr("cannot be read ({reason})", reason=why), where=path, mend=mend)


class GeometryError(TemplategenError):
    """A curve that does not exist, such as an arc that never reaches the face."""


class OutputError(TemplategenError):
    """The machine failed: disk full, no permission (exit code 3)."""

    exit_code = 3
