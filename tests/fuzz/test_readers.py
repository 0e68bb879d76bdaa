"""Readers against random files: an object or one of the project's own errors, nothing else.

`HYPOTHESIS_PROFILE=deep` tries 20,000 cases a test in place of a derandomised few.
"""

from typing import Any

import pytest
from builders import read_job
from cases import CASES, cases, comes_back, read_or_refused, read_whole_list
from hypothesis import given
from hypothesis import strategies as st
from tables import UNITS, in_unit, jobs_and_shops

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import read_shop, shop_from_table
from templategen.inputs.weighings import read_record
from templategen.proof.recipe import read_recipe

KEYS = [
    "name", "units", "lathe", "swing", "power", "post", "min_standoff", "cutters", "id",
    "radius", "kerf", "max_swing", "jaws", "depth", "true_circle", "jaw_count", "rules",
    "title", "date", "shop", "blank", "diameter", "height", "wood", "outside", "nest",
    "wall", "floor", "relief", "shift", "tenon", "share", "core_share", "print", "paper",
    "parts", "pins", "cutter", "pinned", "blanks", "logo", "papers", "job", "format",
    "plan", "pages", "number", "transform", "window", "marks",
]  # fmt: skip
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


@CASES
@given(VALUES)
def test_any_tables(value: object) -> None:
    """Shops and jobs of whatever shape and figures."""
    read_or_refused(lambda: shop_from_table(value, where="shop.toml"))
    read_or_refused(lambda: job_from_table(value, where="job.toml"))


@cases(100)
@given(jobs_and_shops(ones_in=(1,)), UNITS)
def test_any_job_and_shop_comes_back_from_its_table(
    both: tuple[dict[str, Any], dict[str, Any]], unit: str
) -> None:
    """Read, written and read again: every field of both, in millimetres and in inches."""
    comes_back(in_unit(both[0], unit), in_unit(both[1], unit))


@CASES
@given(st.binary(max_size=300), st.sampled_from(["shop", "job", "list", "csv", "record", "recipe"]))
def test_any_bytes(tmp_path_factory: pytest.TempPathFactory, data: bytes, kind: str) -> None:
    """Files of any bytes."""
    path = tmp_path_factory.getbasetemp() / f"any.{'csv' if kind == 'csv' else 'toml'}"
    path.write_bytes(data)
    match kind:
        case "shop":
            read_or_refused(lambda: read_shop(path))
        case "job":
            read_or_refused(lambda: read_job(path))
        case "list" | "csv":
            read_or_refused(lambda: read_whole_list(path))
        case "record":
            read_or_refused(lambda: read_record(path))
        case _:
            read_or_refused(lambda: read_recipe(data, where="pack"))
