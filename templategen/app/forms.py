"""Forms: the table of a job or shop file as JSON, with figures as a person types them."""

import datetime
import re
from collections.abc import Mapping
from typing import Any

from templategen.app.form_fields import Kind, kinds_of

_FIGURE = re.compile(r"[+-]?\d{1,15}(?:[.,]\d{1,15})?")
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_TYPED = {Kind.LENGTH, Kind.NUMBER, Kind.WALL, Kind.FLOOR}
_LISTS = {Kind.LENGTHS, Kind.SECTION}
WHOLE_TABLES = ("log", "relief")  # left out where nothing is stated in them


def form_of(table: Mapping[str, object]) -> dict[str, Any]:
    """A table as JSON: dates as text."""
    return {key: _shown(value) for key, value in table.items()}


def _shown(value: object) -> object:
    if isinstance(value, Mapping):
        return form_of(value)
    if isinstance(value, list):
        return [_shown(held) for held in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return value


def table_of(form: Mapping[str, object], doc: str) -> dict[str, object]:
    """The table that a form states, to be checked by the reader of the file.

    Plain figures become numbers, with a point or a comma; a field that is empty is left out. What
    is no figure stays as it was typed: the reader says what is wrong with it.

    Args:
        form: JSON object, not checked.
        doc: job or shop.

    >>> table_of({"blank": {"diameter": "400,5", "height": "7 in", "wood": ""}}, "job")
    {'blank': {'diameter': 400.5, 'height': '7 in'}}
    """
    return _table(form, "", kinds_of(doc))


def _table(form: Mapping[str, object], path: str, kinds: Mapping[str, Kind]) -> dict[str, object]:
    table: dict[str, object] = {}
    for key, value in form.items():
        place = f"{path}.{key}" if path else key
        typed = _value(value, place, kinds)
        if typed is None or typed == "":
            continue
        if typed == {} and value != {} and key in WHOLE_TABLES:
            continue
        table[key] = typed
    return table


def _value(value: object, place: str, kinds: Mapping[str, Kind]) -> object:
    kind = kinds.get(place)
    if isinstance(value, Mapping):
        return _table(value, place, kinds)
    if isinstance(value, list):
        if kind in _LISTS:
            return [_figure(held) for held in value if held != ""] or None
        rows = [_table(held, place, kinds) if isinstance(held, Mapping) else held for held in value]
        return rows if rows or kind is None else None
    if not isinstance(value, str):
        return value
    text = value.strip()
    if kind in _TYPED:
        return _figure(text)
    if kind in _LISTS:
        return [_figure(part.strip()) for part in text.split(";") if part.strip()] or None
    if kind is Kind.QUANTITY:
        return _COMMA.sub(".", text)
    if kind is Kind.DATE:
        return _date(text)
    if place.startswith("nest.pinned.") and place != "nest.pinned.cutter":
        return _figure(text)
    return text


def _figure(value: object) -> object:
    """A number, or the text with a point for a decimal comma."""
    if not isinstance(value, str):
        return value
    text = value.strip()
    if not _FIGURE.fullmatch(text):
        return _COMMA.sub(".", text)
    number = float(text.replace(",", "."))
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _date(text: str) -> object:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return text
