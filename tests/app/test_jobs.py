"""Opening a job: its shop, the shop's own rules, and the language of what is printed."""

from pathlib import Path

import pytest

from templategen.app.jobs import open_blank, open_demo, open_job, open_shop
from templategen.errors import InputError
from templategen.trade.records import DryingWall, LengthWall
from templategen.units import Units

SHOP = '[[cutters]]\nid = "A"\nradius = 100\nkerf = 9\n'
RULES = '[rules.nest]\nwall = "drying"\nfinal_moisture = 7\n[rules.print]\nlanguage = "de"\n'
JOB = '{top}\nshop = "shop.toml"\n[blank]\ndiameter = 300\nheight = 140\nwood = "White ash"\n'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with an invented shop that has rules of its own, and a job in it."""
    (tmp_path / "shop.toml").write_text(SHOP + RULES)
    (tmp_path / "job.toml").write_text(JOB.format(top=""))
    return tmp_path


def test_the_shops_rules_are_the_defaults(folder: Path) -> None:
    """What a job leaves out is as its shop says, for a job file and a bare blank alike."""
    shop = folder / "shop.toml"
    for opened in (
        open_job(folder / "job.toml"),
        open_blank("300x140", wood="White ash", shop=shop),
    ):
        assert opened.job.nest.wall == DryingWall()
        assert opened.job.nest.final_moisture == 7


@pytest.mark.parametrize(
    ("size", "units"),
    [("12 in x 6 in", Units.IN), ("300 x 140 mm", Units.MM), ("300 mm x 6 in", Units.MM)],
)
def test_a_bare_blank_is_in_the_unit_it_was_typed_in(size: str, units: Units, folder: Path) -> None:
    """Inches typed for a millimetre shop give a job in inches, with its grid and its defaults."""
    job = open_blank(size, wood="White ash", shop=folder / "shop.toml").job
    assert job.units is units
    assert job.tenon.length == (9.525 if units is Units.IN else 9.0)


def test_a_job_goes_before_the_shop(folder: Path) -> None:
    """What a job states counts, and another shop may be named for it."""
    job = folder / "job.toml"
    job.write_text(job.read_text() + "[nest]\nwall = 22\n")
    assert open_job(job).job.nest.wall == LengthWall(22.0)
    (folder / "other.toml").write_text(SHOP.replace('"A"', '"B"'))
    opened = open_job(job, shop=folder / "other.toml")
    assert [cutter.id for cutter in opened.shop.cutters] == ["B"]
    assert opened.job.nest.final_moisture == 10


@pytest.mark.parametrize(
    ("asked", "own", "language"),
    [("", "", "de"), ("", "en", "en"), ("en", "de", "en"), ("de", "en", "de")],
)
def test_language(asked: str, own: str, language: str, folder: Path) -> None:
    """Asked for before the job's own before the shop's; the job then states it for a recipe."""
    job = folder / "job.toml"
    if own:
        job.write_text(job.read_text() + f'[print]\nlanguage = "{own}"\n')
    opened = open_job(job, language=asked)
    assert opened.wording.language == language
    assert (opened.job.print.language or "en") == language


def test_titles_are_in_the_language(folder: Path) -> None:
    """A job without a title, and a bare blank, are named in the language of their print."""
    assert open_job(folder / "job.toml", language="en").job.title == "Untitled blank"
    assert open_job(folder / "job.toml").job.title != "Untitled blank"
    german = open_blank("300x140", language="de")
    assert german.job.title == "Rohling 300x140"


def test_a_shop_states_its_language(folder: Path) -> None:
    """A set's recipe reads the language from the shop."""
    opened = open_shop(folder / "shop.toml", language="en")
    assert opened.shop.rules.print_of(opened.shop.units).language == opened.wording.language == "en"
    assert open_shop(None).wording.language == "en"


def test_faults(folder: Path) -> None:
    """No shop named, and a cutter that the shop lacks: one line each, with its place."""
    job = folder / "job.toml"
    (folder / "alone.toml").write_text(job.read_text().replace('shop = "shop.toml"', ""))
    with pytest.raises(InputError, match=r"^alone\.toml: names no shop; add shop ="):
        open_job(folder / "alone.toml")
    job.write_text(job.read_text() + '[nest]\ncutters = ["X"]\n')
    with pytest.raises(InputError, match="no cutter 'X' in the shop; the shop has A"):
        open_job(job)


def test_the_demo_needs_nothing() -> None:
    """The invented demo job has a blank and cutters."""
    opened = open_demo()
    assert opened.job.blank.diameter > 0
    assert opened.shop.cutters
