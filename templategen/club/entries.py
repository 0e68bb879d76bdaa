"""The entries of a list as they stand in it, and their running numbers."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from templategen.errors import plain
from templategen.messages import Text, Wording

MOST_ENTRIES = 10_000
LONGEST_NAME = 100  # letters of a club's or a bench's name


@dataclass(frozen=True, slots=True, kw_only=True)
class RawEntry:
    """One entry as it stands in the list, not yet checked. `number` counts from 1.

    Under the empty key stands what is wrong with the entry as a whole, and the mend, as a tuple.
    """

    number: int
    where: Text
    values: dict[str, Any]

    def place(self, wording: Wording) -> str:
        """Where it stands in the list."""
        return wording.text(self.where)

    def named_place(self, wording: Wording) -> str:
        """Where it stands in the list, and its name if it has one; safe on a screen."""
        place = self.place(wording)
        return plain(f'{place} "{self.name[:LONGEST_NAME]}"' if self.name else place)

    @property
    def name(self) -> str:
        """What the list calls it, not yet checked; may be empty."""
        name = self.values.get("name")
        return " ".join(name.split()) if isinstance(name, str) else ""

    @property
    def key(self) -> str:
        """What the entry is known by from one run to the next: its name, else its job or size."""
        if self.name:
            return self.name.casefold()[:LONGEST_NAME]
        if job := self.values.get("job"):
            return f"job {job}"[: 2 * LONGEST_NAME]
        return f"size {self.values.get('diameter')} x {self.values.get('height')}"[:LONGEST_NAME]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """An entry with its running number.

    Args:
        raw: the entry.
        number: in files, covers and footers; the same in every run.
        again: 1, or which of those of one name it is: the second, the third.
    """

    raw: RawEntry
    number: int
    again: int


def numbered(entries: Iterator[RawEntry], known: dict[str, int]) -> Iterator[Bench]:
    """The entries with their numbers, one after the other.

    Args:
        entries: in the order of the list.
        known: numbers of earlier runs by the key of an entry; new ones are put in. A number is
            never given to another entry, also not when its own has left the list.
    """
    seen: Counter[str] = Counter()
    following = max(known.values(), default=0) + 1
    for raw in entries:
        seen[raw.key] += 1
        again = seen[raw.key]
        key = raw.key if again == 1 else f"{raw.key} ({again})"
        if key not in known:
            known[key], following = following, following + 1
        yield Bench(raw=raw, number=known[key], again=again)
