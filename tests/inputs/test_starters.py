"""Starter files and the built-in demo: the same in every language, marked as invented."""

import dataclasses
import re
import tomllib

import pytest

from templategen.inputs.job_file import job_from_table, job_to_table
from templategen.inputs.shop_file import shop_from_table, shop_to_table
from templategen.inputs.starters import NAMES, demo_job, demo_shop, starter_files
from templategen.inputs.toml_table import TomlTable
from templategen.messages import ENGLISH, languages
from templategen.trade.records import Job, Shop
from templategen.units import Units
from tests.builders import EXAMPLES
from tests.compare import assert_same

UNITS = (Units.MM, Units.IN)


def _bare(text: str) -> list[str]:
    """The lines of a file that say something to the program, their remarks left out."""
    lines = (line.partition("#")[0].rstrip() for line in text.splitlines())
    return [line for line in lines if line]


def _keys(text: str) -> list[str]:
    """The keys of a file in order, those in remarks as well."""
    bare = [line.lstrip("# ") for line in text.splitlines()]
    return [line.partition("=")[0].strip() for line in bare if re.match(r"[a-z_]+ = ", line)]


def _uncommented(text: str) -> str:
    """The file with every default that it shows set."""
    return re.sub(r"^#(?=[a-z])", "", text, flags=re.MULTILINE)


def _read(files: dict[str, str]) -> tuple[Job, Shop]:
    shop = shop_from_table(tomllib.loads(files["shop.toml"]), where="shop.toml")
    table = tomllib.loads(files["job.toml"])
    return job_from_table(table, where="job.toml", shop_defaults=shop.rules), shop


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("language", [c for c in languages() if c != ENGLISH])
def test_starter_files_of_every_language_say_the_same(language: str, units: Units) -> None:
    """The same records but for titles and the language; the same keys stand in the remarks."""
    english, ours = starter_files(ENGLISH, units), starter_files(language, units)
    assert list(ours) == list(english) == [f"{name}.toml" for name in NAMES]
    (job, shop), (our_job, our_shop) = _read(english), _read(ours)
    assert our_shop == dataclasses.replace(shop, name=our_shop.name)
    prints = dataclasses.replace(job.print, language=language)
    assert our_job == dataclasses.replace(job, title=our_job.title, print=prints)
    for name in ours:
        differing = set(_bare(ours[name])) ^ set(_bare(english[name]))
        assert {line.partition(" =")[0] for line in differing} <= {"title", "name", "language"}
        assert [key for key in _keys(ours[name]) if key != "language"] == _keys(english[name])
        assert max(map(len, ours[name].splitlines())) <= 100
        assert "$" not in ours[name]


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("language", languages())
def test_the_defaults_that_a_starter_file_shows_are_those_that_count(
    language: str, units: Units
) -> None:
    """The # before every default taken away, the files give the same job and the same shop."""
    files = starter_files(language, units)
    stated = {name: _uncommented(text) for name, text in files.items()}
    for name in files:
        assert stated[name].count("\n#") < files[name].count("\n#")
    (job, shop), (full_job, full_shop) = _read(files), _read(stated)
    assert_same(job_to_table(full_job), job_to_table(job), within=1e-9)
    rounded = dataclasses.replace(full_shop.rules, refuse_share=shop.rules.refuse_share)
    assert full_shop.rules.refuse_share == pytest.approx(shop.rules.refuse_share, abs=5e-5)
    full_table = shop_to_table(dataclasses.replace(full_shop, rules=rounded))
    assert_same(full_table, shop_to_table(shop), within=1e-9)


def test_every_key_that_the_readers_know_is_in_the_starter_files(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nothing that shapes a plan has to be found in the code: each key is shown, or commented."""
    known: dict[str, set[str]] = {}
    done = TomlTable.done

    def noting(table: TomlTable) -> None:
        known.setdefault(re.sub(r"\[\d+\]", "", table.path), set()).update(table.known)
        done(table)

    monkeypatch.setattr(TomlTable, "done", noting)
    files = starter_files(ENGLISH)
    examples = {  # what the remarks show as examples, so that each table is read once
        "shop.toml": files["shop.toml"],
        "job.toml": files["job.toml"]
        .replace("# [[nest.pinned]]", "[[nest.pinned]]")
        .replace("# cutter = ", "cutter = ")
        .replace("# pivot_", "pivot_")
        .replace("# [log]", "[log]")
        .replace("# diameter = ", "diameter = ")
        .replace("# length = ", "length = "),
    }
    _read(examples)
    shown = {key for text in files.values() for key in _keys(text)} | {"entry_radius"}
    tables = {"blank", "chuck", "cutters", "jaws", "lathe", "log", "nest", "pinned", "post"}
    tables |= {"print", "rules", "tenon", "wood"}
    assert len(known["nest"]) > 15
    for path, keys in known.items():
        hidden = keys - shown - tables - {"language", "depth_at_axis", "shift", "depth"}
        assert not hidden, f"{path}: {hidden}"


def test_german_starter_files_are_german_and_say_that_they_are_invented() -> None:
    """Remarks in German, invented figures marked as such; the built-in demo stays English."""
    files = starter_files("de")
    assert demo_job().title == "Demo blank (invented)"
    assert demo_shop().name == "My shop (figures invented)"
    for text in files.values():
        assert "erfunden" in text.splitlines()[0]
        assert "(erfunden)" in text or "(Zahlen erfunden)" in text
    assert "# Breite der Schneide" in files["shop.toml"]


def test_starters_and_examples_say_that_they_are_invented() -> None:
    """Invented figures are marked as such."""
    examples = [path.read_text("utf-8") for path in EXAMPLES.glob("*.toml")]
    texts = [t for units in UNITS for t in starter_files(ENGLISH, units).values()] + examples
    assert len(texts) == 11
    for text in texts:
        assert "invented" in text.splitlines()[0] + text.splitlines()[1]
        assert "(invented)" in text or "(figures invented)" in text
