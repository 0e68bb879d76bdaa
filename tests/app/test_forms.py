"""Forms: what is typed becomes what a file states; every key has its field."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from builders import EXAMPLES

from templategen.app.form_fields import FORMS, Kind, notes_of
from templategen.app.forms import form_of, table_of
from templategen.app.jobs import open_demo
from templategen.inputs.job_file import job_from_table, job_to_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table
from templategen.inputs.starters import starter_files
from templategen.messages import ENGLISH_WORDING, Wording
from templategen.units import Units

OWN = sorted(path for path in EXAMPLES.glob("*.toml") if path.name != "club.toml")


@pytest.mark.parametrize("path", OWN, ids=lambda path: path.name)
def test_a_form_gives_its_file_back(path: Path) -> None:
    """The form of every example, sent back as it was read, states the same."""
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    doc = "job" if "blank" in table else "shop"
    assert table_of(form_of(table), doc) == table


@pytest.mark.parametrize(
    ("path", "typed", "stated"),
    [
        ("blank.diameter", "400", 400),
        ("blank.diameter", " 400,5 ", 400.5),
        ("blank.diameter", "15 3/4 in", "15 3/4 in"),
        ("blank.diameter", "15,75 in", "15.75 in"),
        ("blank.diameter", "4oo", "4oo"),  # the reader says what is wrong with it
        ("nest.wall", "9,5 %", "9.5 %"),
        ("nest.wall", "22", 22),
        ("nest.wall", "drying", "drying"),
        ("nest.max_slope", "12,5", 12.5),
        ("nest.wanted", "250; 180,5 ;", [250, 180.5]),
        ("nest.wanted", ["250", "7 in"], [250, "7 in"]),
        ("blank.wood", "12", "12"),  # a name stays a text
        ("title", "400", "400"),
    ],
)
def test_typed_text_becomes_what_a_file_states(path: str, typed: object, stated: object) -> None:
    """Plain figures become numbers, a decimal comma a point; all else stays as typed."""
    *tables, key = path.split(".")
    form: dict[str, Any] = {key: typed}
    wanted: dict[str, Any] = {key: stated}
    for table in reversed(tables):
        form, wanted = {table: form}, {table: wanted}
    assert table_of(form, "job") == wanted


def test_an_emptied_field_is_left_out() -> None:
    """An empty field means the default; a log of which nothing is stated is none."""
    form = {"title": "", "log": {"diameter": "", "length": None}, "tenon": {"share": ""}}
    assert table_of(form, "job") == {"tenon": {}}


@pytest.mark.parametrize(("doc", "table"), [
    ("job", job_to_table(open_demo().job)), ("shop", shop_to_table(open_demo().shop)),
])  # fmt: skip
def test_every_key_of_a_file_has_a_field(doc: str, table: dict[str, Any]) -> None:
    """A key that a job or a shop may state is in its form, apart from those named here."""
    fields = {field.path for group in FORMS[doc] for field in group.fields}
    for name, inner in table.items():
        row = inner[0] if isinstance(inner, list) else inner
        keys = {f"{name}.{key}" for key in row} if isinstance(row, dict) else {name}
        assert keys - {"nest.pinned"} <= fields


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("units", [Units.MM, Units.IN])
def test_limits_and_defaults_are_those_of_the_files(units: Units, language: str) -> None:
    """Every length and number has limits from its reader; what is needed is what it misses."""
    wording = Wording(language)
    for doc, groups in FORMS.items():
        notes = notes_of(doc, units, wording)
        for group in groups:
            for field in group.fields:
                if field.kind in (Kind.LENGTH, Kind.NUMBER):
                    assert any(c.isdigit() for c in notes[field.path].limits), field.path
    needed = {path for path, one in notes_of("job", units, wording).items() if one.is_required}
    assert needed == {"blank.diameter", "blank.height", "log.diameter", "log.length"}
    needed = {path for path, one in notes_of("shop", units, wording).items() if one.is_required}
    assert needed == {
        "cutters.id", "cutters.radius", "cutters.kerf", "jaws.id", "jaws.true_circle", "jaws.depth"
    }  # fmt: skip


def test_defaults_shown_are_the_values_of_an_empty_form() -> None:
    """Typing every default that is shown gives the same job and shop as typing nothing."""
    bare = {"blank": {"diameter": 400, "height": 180}}
    typed: dict[str, Any] = {"blank": dict(bare["blank"])}
    for path, note in notes_of("job", Units.MM, ENGLISH_WORDING).items():
        table, _, key = path.partition(".")
        if key and note.default.endswith(" mm") and "." not in key and "," not in note.default:
            typed.setdefault(table, {})[key] = note.default.removesuffix(" mm")
    typed.pop("log")  # a log without its size is none
    job = job_from_table(table_of(typed, "job"), where="")
    assert job == job_from_table(bare, where="")
    shop = tomllib.loads(starter_files("en")["shop.toml"])
    shop_typed = {**shop, "post": {**shop["post"]}}
    for path, note in notes_of("shop", Units.MM, ENGLISH_WORDING).items():
        table, _, key = path.partition(".")
        if table == "post" and note.default:
            shop_typed["post"][key] = note.default.removesuffix(" mm")
    assert shop_from_table(table_of(shop_typed, "shop"), where="") == shop_from_table(
        shop, where=""
    )
