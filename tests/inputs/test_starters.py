"""Starter files and the built-in demo: the same in every language, marked as invented."""

import dataclasses
import string
import tomllib

import pytest

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import NAMES, demo_job, demo_shop, starter_files
from templategen.messages import ENGLISH, languages
from tests.builders import EXAMPLES


def _bare(text: str) -> list[str]:
    """The lines of a file that say something to the program, their remarks left out."""
    lines = (line.partition("#")[0].rstrip() for line in text.splitlines())
    return [line for line in lines if line]


@pytest.mark.parametrize("language", [c for c in languages() if c != ENGLISH])
def test_starter_files_of_every_language_say_the_same(language: str) -> None:
    """The same records but for titles and the language; the same keys stand in the remarks."""
    english, ours = starter_files(ENGLISH), starter_files(language)
    assert list(ours) == list(english) == [f"{name}.toml" for name in NAMES]
    shops = [shop_from_table(tomllib.loads(f["shop.toml"]), where="s") for f in (english, ours)]
    jobs = [job_from_table(tomllib.loads(f["job.toml"]), where="j") for f in (english, ours)]
    assert shops[1] == dataclasses.replace(shops[0], name=shops[1].name)
    prints = dataclasses.replace(jobs[0].print, language=language)
    assert jobs[1] == dataclasses.replace(jobs[0], title=jobs[1].title, print=prints)
    for name in ours:
        differing = set(_bare(ours[name])) ^ set(_bare(english[name]))
        assert {line.partition(" =")[0] for line in differing} <= {"title", "name", "language"}
        keys = [
            [
                line[2:].partition("=")[0].strip(string.whitespace)
                for line in text.splitlines()
                if line.startswith("# ") and "=" in line
            ]
            for text in (english[name], ours[name])
        ]
        assert keys[0] == keys[1]
        assert keys[0]
        assert max(map(len, ours[name].splitlines())) <= 100


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
    texts = [*starter_files(ENGLISH).values(), *examples]
    assert len(texts) == 9
    for text in texts:
        assert "invented" in text.splitlines()[0] + text.splitlines()[1]
        assert "(invented)" in text or "(figures invented)" in text
