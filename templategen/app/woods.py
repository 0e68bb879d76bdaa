"""Looks up woods in the table."""

from templategen.errors import InputError
from templategen.messages import tr
from templategen.trade.wood import PROPERTIES, Wood, search_woods, woods
from templategen.trade.wood_names import UnknownWood, match_wood, name_in, names_by_language

__all__ = ["PROPERTIES", "Wood", "common_names", "names_by_language", "woods_named"]


def common_names(wood: Wood, language: str) -> list[str]:
    """What a wood is called: its usual name in a language, then its Latin one."""
    return list(dict.fromkeys([name_in(wood.botanical, language), wood.name, wood.botanical]))


def woods_named(words: str) -> tuple[Wood, ...]:
    """The woods whose name holds the words, at least one; all of them for no words.

    Raises:
        InputError: there is none; names near it are offered.
    """
    found = search_woods(words) if words.strip() else woods()
    if not found:
        match = match_wood(words)
        near = match.near if isinstance(match, UnknownWood) else ()
        mend = (
            tr("near it: {names}", names=", ".join(near))
            if near
            else tr("'templategen wood' lists them all")
        )
        raise InputError(tr("no wood {name!r} in the table", name=words), where="wood", mend=mend)
    return tuple(found)
