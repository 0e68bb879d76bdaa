"""How many cases the fuzzing tests try, the bounds that hold for each, and what a refusal is."""

import os
import unicodedata
from collections.abc import Callable

from hypothesis import HealthCheck, settings

from templategen.errors import TemplategenError

DEEP = os.environ.get("HYPOTHESIS_PROFILE") == "deep"
MOST_SECONDS = 10.0
MOST_MB = 500


def cases(few: int, many: int = 20_000) -> settings:
    """`few` cases, the same ones every time, or with `HYPOTHESIS_PROFILE=deep` `many` others."""
    return settings(
        max_examples=many if DEEP else few,
        derandomize=not DEEP,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


CASES = cases(60)


def read_or_refused(read: Callable[[], object]) -> None:
    """Calls a reader, which may refuse as a fault of the input, in lines that a screen can show.

    No line holds a control character, a lone surrogate or a separator of lines.
    """
    try:
        read()
    except TemplategenError as error:
        lines, code = error.lines(), error.exit_code
    else:
        return
    assert code == 2
    assert lines
    kinds = {unicodedata.category(c) for line in lines for c in line}
    assert not kinds & {"Cc", "Cs", "Zl", "Zp"}
