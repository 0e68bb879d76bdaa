"""Looks up woods in the table."""

from templategen.errors import InputError
from templategen.messages import tr
from templategen.trade.wood import PROPERTIES, Wood, near_names, search_woods, woods

__all__ = ["PROPERTIES", "Wood", "woods_named"]


def woods_named(words: str) -> tuple[Wood, ...]:
    """The woods whose name holds the words, at least one; all of them for no words.

    Raises:
        InputError: there is none; names near it are offered.
    """
    found = search_woods(words) if words.strip() else woods()
    if not found:
        near = near_names(words)
        mend = (
            tr("near it: {names}", names=", ".join(near))
            if near
            else tr("'templategen wood' lists them all")
        )
        raise InputError(tr("no wood {name!r} in the table", name=words), where="wood", mend=mend)
    return tuple(found)
