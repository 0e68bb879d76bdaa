"""Every error templategen raises on purpose. Imports nothing of the project."""

from collections.abc import Sequence


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
        return (" ".join(str(self).split()),)


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
