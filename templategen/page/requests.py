"""What a request holds, checked; a wrong kind of value is a fault and never a traceback."""

import math
import re
from collections.abc import Mapping
from typing import Any

from templategen.errors import InputError
from templategen.messages import tr

DEEPEST = 12  # tables and lists inside one another
LONGEST = 10_000  # letters of one text
MOST_WHOLE = 10**6
_COMMA = re.compile(r"(?<=\d),(?=\d)")


def form_in(request: Mapping[str, Any], key: str) -> dict[str, Any]:
    """A JSON object of a request.

    Raises:
        InputError: it is none, or nested too deeply.
    """
    value = request.get(key)
    if not isinstance(value, dict):
        raise _wrong(key)
    if _depth(value) > DEEPEST:
        raise InputError(tr("nested too deeply"), where=key)
    return value


def _depth(value: object, most: int = DEEPEST + 1) -> int:
    if not most or not isinstance(value, dict | list):
        return 0
    inner = value.values() if isinstance(value, dict) else value
    return 1 + max((_depth(held, most - 1) for held in inner), default=0)


def text_in(request: Mapping[str, Any], key: str, default: str | None = None) -> str:
    """A text of a request; the default where it is left out or null.

    Raises:
        InputError: it is none, or missing without a default.
    """
    value = request.get(key)
    if value is None and default is not None:
        return default
    if not isinstance(value, str) or len(value) > LONGEST:
        raise _wrong(key)
    return value


def given_in(request: Mapping[str, Any], key: str) -> str | None:
    """A text of a request; None where it is left out or empty.

    Raises:
        InputError: it is no text.
    """
    return text_in(request, key, "") or None


def figures_in(request: Mapping[str, Any], key: str) -> str:
    """A text of figures, empty where it is left out; a decimal comma becomes a point.

    Raises:
        InputError: it is no text.
    """
    return _COMMA.sub(".", text_in(request, key, "").strip())


def texts_in(request: Mapping[str, Any], key: str) -> tuple[str, ...]:
    """A list of texts; empty where it is left out or null.

    Raises:
        InputError: it is none.
    """
    value = request.get(key)
    if value is None:
        return ()
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise _wrong(key)
    return tuple(value)


def whole_in(request: Mapping[str, Any], key: str, default: int | None = None) -> int:
    """A whole number, -10⁶ to 10⁶.

    Raises:
        InputError: it is none, or missing without a default.
    """
    value = request.get(key)
    if value is None and default is not None:
        return default
    if not isinstance(value, int) or isinstance(value, bool) or abs(value) > MOST_WHOLE:
        raise _wrong(key)
    return value


def number_in(request: Mapping[str, Any], key: str, default: float) -> float:
    """A number, -10⁶ to 10⁶; the default where it is left out.

    Raises:
        InputError: it is none.
    """
    value = request.get(key)
    if value is None:
        return default
    if not isinstance(value, int | float) or isinstance(value, bool):
        raise _wrong(key)
    if not math.isfinite(value) or abs(value) > MOST_WHOLE:
        raise _wrong(key)
    return float(value)


def flag_in(request: Mapping[str, Any], key: str) -> bool:
    """Whether a key is true; anything else is not."""
    return request.get(key) is True


def _wrong(key: str) -> InputError:
    return InputError(tr("is missing or of a wrong kind"), where=key)
