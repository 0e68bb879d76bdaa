"""How many cases the fuzzing tests try, the bounds that hold for each, and what a refusal is."""

import json
import os
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from hypothesis import HealthCheck, settings

from templategen.club.lists import check_entry, read_club
from templategen.errors import TemplategenError
from templategen.inputs.job_file import job_from_table, job_to_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table

T = TypeVar("T")
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


def read_or_refused(read: Callable[[], T]) -> T | None:
    """Calls a reader, which may refuse as a fault of the input, in lines that a screen can show.

    No line holds a control character, a lone surrogate or a separator of lines.

    Returns: what was read, or None if it was refused.
    """
    try:
        return read()
    except TemplategenError as error:
        lines, code = error.lines(), error.exit_code
    assert code == 2
    assert lines
    kinds = {unicodedata.category(c) for line in lines for c in line}
    assert not kinds & {"Cc", "Cs", "Zl", "Zp"}
    return None


def comes_back(job_table: dict[str, Any], shop_table: dict[str, Any]) -> None:
    """What is read of a job and a shop comes back from its own table, through JSON.

    Its unit is kept, and so is the last bit of every length.
    """
    shop = read_or_refused(lambda: shop_from_table(shop_table, where="shop.toml"))
    if shop is None:
        return
    table = json.loads(json.dumps(shop_to_table(shop), allow_nan=False))
    assert table["units"] == shop.units.value
    assert shop_from_table(table, where="again") == shop
    rules = shop.rules
    job = read_or_refused(lambda: job_from_table(job_table, where="job", shop_defaults=rules))
    if job is not None:
        table = json.loads(json.dumps(job_to_table(job), allow_nan=False))
        assert table["units"] == job.units.value
        assert job_from_table(table, where="again") == job


def read_whole_list(path: Path) -> None:
    """Reads a club's list and each of its entries, which may be refused by themselves."""
    listed = read_club(path)
    for raw in listed.entries():
        read_or_refused(lambda raw=raw: check_entry(raw, listed.settings, folder=path.parent))
