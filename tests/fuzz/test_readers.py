"""Readers against random files: an object or one of the project's own errors, nothing else.

`HYPOTHESIS_PROFILE=deep` tries 20,000 cases a test in place of a derandomised few.
"""

import os
import unicodedata
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from templategen.club.lists import check_entry, read_club
from templategen.errors import TemplategenError
from templategen.inputs.job_file import job_from_table, read_job
from templategen.inputs.shop_file import read_shop, shop_from_table
from templategen.inputs.weighings import read_record
from templategen.proof.recipe import read_recipe

DEEP = os.environ.get("HYPOTHESIS_PROFILE") == "deep"
CASES = settings(
    max_examples=20_000 if DEEP else 60,
    derandomize=not DEEP,
    deadline=None,
    database=None,
    suppress_health_check=list(HealthCheck),
)
KEYS = [
    "name",
    "units",
    "lathe",
    "swing",
    "power",
    "post",
    "min_standoff",
    "cutters",
    "id",
    "radius",
    "kerf",
    "max_swing",
    "jaws",
    "depth",
    "true_circle",
    "jaw_count",
    "rules",
    "title",
    "date",
    "shop",
    "blank",
    "diameter",
    "height",
    "wood",
    "outside",
    "nest",
    "wall",
    "floor",
    "relief",
    "shift",
    "tenon",
    "share",
    "core_share",
    "print",
    "paper",
    "parts",
    "pins",
    "cutter",
    "pinned",
    "blanks",
    "logo",
    "papers",
    "job",
    "format",
    "plan",
    "pages",
    "number",
    "transform",
    "window",
    "marks",
]
NUMBERS = st.integers() | st.floats() | st.integers(-500, 500)
WORDS = st.sampled_from(
    [*KEYS, "mm", "in", "16 in", "1e999", "drying", "10 %", "arc", "1.5 kW", ""]
)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | WORDS | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=8), inner, max_size=6)
    ),
    max_leaves=25,
)


def _refused(read: object, *words: object, **names: object) -> None:
    lines: tuple[str, ...] = ("read",)
    code = 2
    try:
        read(*words, **names)  # type: ignore[operator]
    except TemplategenError as error:
        lines, code = error.lines(), error.exit_code
    assert lines
    assert code == 2
    said = {unicodedata.category(c) for line in lines for c in line}
    assert not said & {"Cc", "Cs", "Zl", "Zp"}  # a line is one line, and gives a screen no orders


@CASES
@given(VALUES)
def test_any_tables(value: object) -> None:
    """Shops and jobs of whatever shape and figures."""
    _refused(shop_from_table, value, where="shop.toml")
    _refused(job_from_table, value, where="job.toml")


@CASES
@given(st.binary(max_size=300), st.sampled_from(["shop", "job", "list", "csv", "record", "recipe"]))
def test_any_bytes(tmp_path_factory: pytest.TempPathFactory, data: bytes, kind: str) -> None:
    """Files of any bytes."""
    path = tmp_path_factory.getbasetemp() / f"any.{'csv' if kind == 'csv' else 'toml'}"
    path.write_bytes(data)
    match kind:
        case "shop":
            _refused(read_shop, path)
        case "job":
            _refused(read_job, path)
        case "list" | "csv":
            _refused(_whole_list, path)
        case "record":
            _refused(read_record, path)
        case _:
            _refused(read_recipe, data, where="pack")


def _whole_list(path: Path) -> None:
    listed = read_club(path)
    for entry in listed.entries():
        check_entry(entry, listed.settings, folder=path.parent)
