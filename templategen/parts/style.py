"""How a pack is worded: its units and its language, carried down to every part and sheet."""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.messages import ENGLISH_WORDING, Text, Wording
from templategen.units import Units, format_length


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintStyle:
    """Units and language of all that is printed.

    Args:
        units: of lengths.
        wording: language of sentences and figures.
    """

    units: Units
    wording: Wording = ENGLISH_WORDING

    def say(self, template: str, /, **values: object) -> str:
        """A sentence in the language of the print, see `Wording.say`."""
        return self.wording.say(template, **values)

    def say_count(self, one: str, many: str, count: int, /, **values: object) -> str:
        """A sentence whose wording depends on a number, see `Wording.say_count`."""
        return self.wording.say_count(one, many, count, **values)

    def text(self, message: Text) -> str:
        """A message in the language of the print."""
        return self.wording.text(message)

    def figure(self, value: float, spec: str) -> str:
        """A number by a format specification, as the language writes it."""
        return self.wording.figure(value, spec)

    def length(self, value: float) -> str:
        """A length as printed: tenths of a millimetre, or inches to 1/32 with thousandths."""
        return format_length(value, self.units, decimals=True, wording=self.wording)

    def lengths(self, values: Sequence[float]) -> str:
        """Lengths joined by a times sign, the unit named once; inches to 1/32 alone.

        >>> PrintStyle(units=Units.MM).lengths([400, 180.5])
        '400 × 180.5 mm'
        """
        first, *second = (self._joined(values, unit) for unit in self.units.shown)
        return f"{first} ({second[0]})" if second else first

    def _joined(self, values: Sequence[float], units: Units) -> str:
        shown = [format_length(v, units, unit=False, wording=self.wording) for v in values]
        return f"{' × '.join(shown)} {units.value}"
