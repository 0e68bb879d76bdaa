"""Changes the values of a TOML text: comments, order and what is unchanged stay as they are."""

import tomllib
from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table

from templategen.errors import InputError
from templategen.messages import tr


def edited_toml(text: str, table: Mapping[str, object], *, where: str) -> str:
    r"""The text with the values of a table.

    Args:
        text: TOML, may be empty.
        table: what the text is to state: keys that it lacks are removed, equal ones untouched.
        where: names the file in faults.

    Raises:
        InputError: the text is not TOML.

    >>> print(edited_toml("a = 1  # one\nb = 2\n", {"a": 1, "b": 3}, where=""), end="")
    a = 1  # one
    b = 3
    """
    try:
        document = tomlkit.parse(text)
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise InputError(
            tr("not TOML: {reason}", reason=str(error)), where=where, mend=tr("mend that line")
        ) from error
    _update(document, document.unwrap(), table)
    result = document.as_string()
    if _without_empty(tomllib.loads(result)) != _without_empty(
        table
    ):  # the library lost or doubled something
        raise InputError(
            tr("cannot be changed in place"),
            where=where,
            mend=tr("write it in plain tables, as in the starter files"),
        )
    return result


def _update(target: Any, old: Mapping[str, Any], new: Mapping[str, Any]) -> None:  # noqa: ANN401 - tomlkit's containers
    for key in old.keys() - new.keys():
        del target[key]
    for key, value in new.items():
        if key in old and _same(old[key], value):
            continue
        if isinstance(value, Mapping) and isinstance(old.get(key), Mapping):
            _update(target[key], old[key], value)
        elif key in old and isinstance(target[key], AoT) and _are_tables(value):
            _update_rows(target[key], old[key], value)
        elif value != {}:
            target[key] = _item(value, inline=not isinstance(target, tomlkit.TOMLDocument))


def _update_rows(target: AoT, old: list[Mapping[str, Any]], new: list[Mapping[str, Any]]) -> None:
    """An array of tables: rows keep their remarks where they keep their id."""
    names = [row.get("id") for row in old]
    wished = [row.get("id") for row in new]
    if names != wished and len(set(names)) == len(names) and len(set(wished)) == len(wished):
        for n in reversed(range(len(names))):
            if names[n] not in wished:
                del target[n]
                del names[n]
        kept = [name for name in wished if name in names]
        if kept == names:  # none changed its place
            for n, row in enumerate(new):
                if n >= len(names) or names[n] != row.get("id"):
                    target.insert(n, _table(row))
                    names.insert(n, row.get("id"))
    while len(target) > len(new):
        del target[-1]
    current = target.unwrap()
    for n, row in enumerate(new):
        if n < len(current):
            _update(target[n], current[n], row)
        else:
            target.append(_table(row))


def _same(old: object, new: object) -> bool:
    """Whether a value of a file and a wished one are the same; 1 and true are not."""
    if isinstance(old, bool) is not isinstance(new, bool):
        return False
    return old == new


def _are_tables(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(row, Mapping) for row in value)


def _table(row: Mapping[str, Any]) -> Table:
    table = tomlkit.table()
    for key, value in row.items():
        table[key] = _item(value, inline=True)
    table.add(tomlkit.nl())
    return table


def _item(value: object, *, inline: bool) -> Any:  # noqa: ANN401 - tomlkit's items
    """A value as TOML; inside a table a table of figures stays on its line."""
    if isinstance(value, Mapping):
        if not inline or any(isinstance(held, Mapping | list) for held in value.values()):
            return _table(value)
        short = tomlkit.inline_table()
        short.update(value)
        return short
    if isinstance(value, list) and value and _are_tables(value):
        rows = tomlkit.aot()
        for row in value:
            rows.append(_table(row))
        return rows
    return tomlkit.item(value)


def _without_empty(value: object) -> object:
    """The same with plain dicts and lists, and without empty tables."""
    if isinstance(value, Mapping):
        inner = {key: _without_empty(held) for key, held in value.items()}
        return {key: held for key, held in inner.items() if held != {}}
    if isinstance(value, list | tuple):
        return [_without_empty(held) for held in value]
    return value
