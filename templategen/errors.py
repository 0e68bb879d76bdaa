"""Every error templategen raises on purpose. Imports the wording alone of the project."""

import unicodedata
from collections.abc import Sequence

from templategen.messages import mark, say

_MACHINE = (  # what POSIX systems commonly say, entered for translation
    mark("Permission denied"),
    mark("Operation not permitted"),
    mark("Not a directory"),
    mark("Is a directory"),
    mark("No such file or directory"),
    mark("No such device or address"),
    mark("File exists"),
    mark("File name too long"),
    mark("Input/output error"),
    mark("No space left on device"),
    mark("Disk quota exceeded"),
    mark("Read-only file system"),
    mark("Too many levels of symbolic links"),
    mark("Too many open files"),
    mark("File too large"),
    mark("Invalid argument"),
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


def machine_reason(error: BaseException, otherwise: str) -> str:
    """Why the machine refused, in the language in use where its wording is known there.

    Args:
        error: what the machine raised.
        otherwise: said where it gives no reason.
    """
    reason = getattr(error, "strerror", None)
    return say(str(reason)) if reason else otherwise


class TemplategenError(Exception):
    """A fault a person can mend: where it is, what is wrong, what to do.

    Args:
        what: what is wrong, with the value seen.
        where: file and place in it, such as ``shop.toml: cutters[1].kerf``; may be empty.
        mend: what to do about it; may be empty.
    """

    exit_code = 2

    def __init__(self, what: str, *, where: str = "", mend: str = "") -> None:
        self.what = what
        self.where = where
        self.mend = mend
        super().__init__(str(self))

    def __str__(self) -> str:
        """One line: place, what, mend."""
        text = f"{self.where}: {self.what}" if self.where else self.what
        return f"{text}; {self.mend}" if self.mend else text

    def lines(self) -> tuple[str, ...]:
        """The fault as lines for a person, one fault a line."""
        return (plain(" ".join(str(self).split())),)


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
        super().__init__("; ".join(str(fault) for fault in self.faults))

    def __str__(self) -> str:
        """All faults, one a line."""
        return "\n".join(self.lines())

    def lines(self) -> tuple[str, ...]:
        """The faults as lines for a person, one fault a line."""
        return tuple(line for fault in self.faults for line in fault.lines())


class GeometryError(TemplategenError):
    """A curve that does not exist, such as an arc that never reaches the face."""


class OutputError(TemplategenError):
    """The machine failed: disk full, no permission (exit code 3)."""

    exit_code = 3
