"""Valid files with something changed: an object, or lines that name the place; nothing else.

`HYPOTHESIS_PROFILE=deep` tries 20,000 files a test in place of a derandomised few.
"""

import copy
import json
import math
from collections.abc import Callable
from typing import Any

import pytest
from builders import EXAMPLES, demo_plan, read_job
from cases import cases, comes_back, read_or_refused, read_whole_list
from hypothesis import given
from hypothesis import strategies as st
from tables import in_unit, jobs_and_shops

from templategen.app.printers import read_printers
from templategen.inputs.shop_file import read_shop
from templategen.inputs.starters import starter_files
from templategen.inputs.weighings import read_record
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import make_recipe, read_recipe
from templategen.proof.remake import remake
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.units import Units

TEXTS = {
    "shop": starter_files("en")["shop.toml"],
    "job": starter_files("en")["job.toml"],
    "club.toml": (EXAMPLES / "club.toml").read_text("utf-8"),
    "club.csv": (EXAMPLES / "club.csv").read_text("utf-8"),
    "record": "identity;date;mass_kg\nA-0;2026-05-02;4,25\nA-1;2026-05-02;1.9 kg\n# note\n"
    "A-0;2026-06-02T12:00;3,9\nA-1;2026-06-02;1800 g\n",
    "printers": '{"format": "templategen-printers/1", "printers": [\n'
    '{"name": "study", "across": 0.998, "down": 1.002}]}\n',
}
PIECES = [
    '"', "'", "=", "[", "]", "[[", "{", "}", ",", ";", "\t", "\n", "\r", "#", "\\", "\\u0000",
    "\0", "\ufeff", "\x85", "\u2028", "\u202e", "e", "-", "0", "9" * 30, "1e400", "nan", "-inf",
    "true", "null", "1979-05-27T07:32:00Z", "mm", " in", "½", "٣", "ı", "=cmd|'/c x'!A1", "%%d",
    "<script>", "../", "kg", "[red]",
]  # fmt: skip
HUGE = [
    1e308, -1e308, 1e-308, 5e-324, -0.0, 0, 10**400, -(10**400), 2**63, math.nan, math.inf,
    -math.inf, 0.1 + 0.2, "1e308", "9" * 9, "9" * 400, "-0 mm", "1/0 in", "1e5 mm", "", " ",
    True, None, [], {}, [[]], [1] * 1000, "x" * 300, "\u202e", "\0", "\ud800",
]  # fmt: skip


@st.composite
def changed_texts(draw: st.DrawFn) -> tuple[str, str]:
    """The kind of a file, and its text with up to five places lost, doubled, swapped or put in."""
    kind = draw(st.sampled_from(sorted(TEXTS)))
    text = TEXTS[kind]
    for _ in range(draw(st.integers(1, 5))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 20)))
        new = draw(
            st.sampled_from(PIECES)
            | st.text(max_size=4)
            | st.just(text[start:end] * 2)
            | st.just(text[start:end][::-1])
        )
        text = text[:start] + new + text[end:]
    return kind, text


@cases(150)
@given(changed_texts())
def test_any_change_of_a_text(
    tmp_path_factory: pytest.TempPathFactory, one: tuple[str, str]
) -> None:
    """A letter wrong anywhere in a shop, job, list, record or printers file."""
    kind, text = one
    folder = tmp_path_factory.getbasetemp() / "changed"
    folder.mkdir(exist_ok=True)
    for name in ("lakeside-400.toml", "lakeside-shop.toml", "small-shop.toml", "small-220.toml"):
        if not (folder / name).exists():
            (folder / name).write_bytes((EXAMPLES / name).read_bytes())
    path = folder / (kind if kind.startswith("club") else f"{kind}.file")
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    match kind:
        case "shop":
            read_or_refused(lambda: read_shop(path))
        case "job":
            read_or_refused(lambda: read_job(path))
        case "record":
            read_or_refused(lambda: read_record(path))
        case "printers":
            read_or_refused(lambda: read_printers(path))
        case _:
            read_or_refused(lambda: read_whole_list(path))


def _places(value: object, way: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The way to every value inside a value."""
    found = [way] if way else []
    items: list[tuple[str | int, object]] = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    for key, inner in items:
        found += _places(inner, (*way, key))
    return found


OTHERS = (
    st.sampled_from(HUGE)
    | st.text(max_size=8)
    | st.floats()
    | st.integers()
    | st.integers(-1500, 1500)
)
CHANGES = st.lists(
    st.tuples(
        st.integers(0, 100_000), st.sampled_from(["lost", "doubled", "other", "other"]), OTHERS
    ),
    min_size=1,
    max_size=3,
)


def _changed(whole: dict[str, Any], changes: list[tuple[int, str, object]]) -> dict[str, Any]:
    """The table with values at any depth replaced, doubled or taken out."""
    made = copy.deepcopy(whole)
    for place, what, other in changes:
        places = _places(made)
        if not places:
            break
        *way, last = places[place % len(places)]
        inner: Any = made
        for step in way:
            inner = inner[step]
        if what == "lost":
            del inner[last]
        elif what == "doubled" and isinstance(inner, list):
            inner.append(copy.deepcopy(inner[last]))
        else:
            inner[last] = copy.deepcopy(other)  # or the next change would change HUGE
    return made


@cases(100)
@given(jobs_and_shops(), st.sampled_from(["mm", "in"]), CHANGES, CHANGES)
def test_any_value_of_a_job_or_shop(
    both: tuple[dict[str, Any], dict[str, Any]],
    units: str,
    of_job: list[tuple[int, str, object]],
    of_shop: list[tuple[int, str, object]],
) -> None:
    """Valid tables with values replaced by huge, tiny, wrong or missing ones.

    What is read is within its bounds, and comes back from its own table.
    """
    comes_back(
        _changed(in_unit(both[0], units), of_job), _changed(in_unit(both[1], units), of_shop)
    )


@pytest.fixture(scope="module")
def recipe() -> Callable[[], dict[str, Any]]:
    """The recipe of a pack of the built-in demo, as read from its bytes."""
    plan, style = demo_plan(), PrintStyle(units=Units.MM)
    parts = make_parts(plan, kinds=("gauge stick", "tag"), style=style)
    pack = make_pack(plan, parts, frame=PageFrame(paper=paper_named("a4")), style=style)
    text = json.dumps(make_recipe(plan, pack))
    return lambda: json.loads(text)  # a function, or each failure would print all of it


@cases(15)
@given(CHANGES)
def test_any_value_of_a_recipe(
    recipe: Callable[[], dict[str, Any]], changes: list[tuple[int, str, object]]
) -> None:
    """A stranger's recipe: read and drawn anew, or one line; the same whatever the change."""
    made = _changed(recipe(), changes)

    def read() -> None:
        found = read_recipe(json.dumps(made).encode("utf-8", "surrogatepass"), where="pack.pdf")
        remake(found)

    read_or_refused(read)
