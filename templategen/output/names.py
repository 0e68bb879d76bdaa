"""File names from the names of parts: safe on every system, never out of the folder."""

import hashlib
from collections.abc import Sequence

from templategen.trade.latin import latin_words

LONGEST = 60  # letters of a name, its ending left out; every file system takes 255 bytes
_TAKEN = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(10))}
# device names that Windows keeps for itself (Microsoft, "Naming files", from memory)


def latin_name(text: str) -> str:
    """What a text leaves for a file name: lower-case letters, digits and hyphens; maybe nothing.

    >>> latin_name("Jörg Müller"), latin_name("Łódź 2"), latin_name("Анна")
    ('joerg-mueller', 'lodz-2', '')
    """
    return "-".join(latin_words(text))[:LONGEST].strip("-")


def safe_name(text: str, *, fallback: str = "part") -> str:
    """A file name made of lower-case letters, digits and hyphens.

    Args:
        text: any text; accents are dropped, everything else becomes a hyphen. Letters of other
            scripts are lost, so four digits of the text's SHA-256 keep such names apart.
        fallback: the name where nothing is left.

    >>> safe_name("Cut plate 2, cutter R105")
    'cut-plate-2-cutter-r105'
    >>> safe_name("../../etc/passwd")
    'etc-passwd'
    >>> safe_name("Érable ½")
    'erable-1-2'
    >>> safe_name("Анна", fallback="pack"), safe_name("Ольга", fallback="pack")
    ('pack-25f4', 'pack-995a')
    """
    words = latin_name(text)
    if any(c.isalpha() and not latin_name(c.lower()) for c in text):
        check = hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()[:4]
        return f"{words[: LONGEST - 5].strip('-') or fallback}-{check}"
    if not words:
        return fallback
    return f"{words}-{fallback}" if words in _TAKEN else words


def unique_names(texts: Sequence[str], *, fallback: str = "part") -> tuple[str, ...]:
    """A safe name for each text, in order; those that would be the same get numbers.

    >>> unique_names(["Ring", "ring", "Ring 2"])
    ('ring', 'ring-3', 'ring-2')
    """
    names = [safe_name(text, fallback=fallback) for text in texts]
    taken = set(names)
    used: set[str] = set()
    unique: list[str] = []
    for name in names:
        own, number = name, 1
        while own in used or (number > 1 and own in taken):
            number += 1
            own = f"{name}-{number}"
        used.add(own)
        unique.append(own)
    return tuple(unique)
