"""Unknown, shared and German names of woods in a job, from the command line to what is printed."""

from pathlib import Path

import pypdfium2
import pytest
from commands import run_command

JOB = """date = 2026-05-02
shop = "shop.toml"
[blank]
diameter = 220
height = 110
wood = "{wood}"
[nest]
wall = {wall}
[print]
language = "{language}"
"""


def _job(folder: Path, wood: str, *, wall: str = "20", language: str = "en") -> None:
    assert run_command("start", "s", cwd=folder).returncode == 0
    text = JOB.format(wood=wood, wall=wall, language=language)
    (folder / "s" / "job.toml").write_text(text, "utf-8")


def _text(pdf: Path) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        return "\n".join(page.get_textpage().get_text_range() for page in document)


@pytest.mark.parametrize("wood", ["Elsbeere", "Ahorn"])
def test_a_name_that_means_no_one_wood_plans_and_packs_with_a_caution(
    tmp_path: Path, wood: str
) -> None:
    """A job that states its wall is never refused for its wood; no drying figure is printed."""
    _job(tmp_path, wood)
    planned = run_command("plan", "s/job.toml", cwd=tmp_path)
    assert planned.returncode == 0, planned.stderr
    (caution,) = [t for t in planned.stdout.splitlines() if t.startswith("caution: wood:")]
    assert f"'{wood}'" in caution
    assert "planned without drying figures" in caution
    packed = run_command("pack", "s/job.toml", "--part", "tag", "--out", "o", cwd=tmp_path)
    assert packed.returncode == 0, packed.stderr
    (pdf,) = (tmp_path / "o").rglob("*.pdf")
    assert f"'{wood}'" in " ".join(_text(pdf).split())


def test_a_club_list_takes_an_unknown_wood_as_a_plan_does(tmp_path: Path) -> None:
    """The pack is written, and the index carries the caution."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    (tmp_path / "s" / "club.toml").write_text(
        'name = "Club (invented)"\nshop = "shop.toml"\n[nest]\nwall = 20\n[[blanks]]\n'
        'name = "Table 1"\ndiameter = 220\nheight = 110\nwood = "Elsbeere"\n',
        "utf-8",
    )
    done = run_command("club", "s/club.toml", "--out", "o", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert len(list((tmp_path / "o").rglob("0*.pdf"))) == 1
    (index,) = (tmp_path / "o").rglob("index.html")
    assert "unknown wood" in index.read_text("utf-8")


def test_a_drying_wall_needs_one_wood(tmp_path: Path) -> None:
    """Exit 2 with the woods that a shared name may mean, the usual one first."""
    _job(tmp_path, "Esche", wall='"drying"')
    done = run_command("plan", "s/job.toml", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr.startswith(
        "job.toml: blank.wood: 'Esche' may be one of these: European ash (Fraxinus excelsior), "
    )


@pytest.mark.parametrize(
    ("wood", "language", "printed"),
    [
        ("Black cherry", "de", "Amerikanischer Kirschbaum"),
        ("Vogelkirsche", "de", "Vogelkirsche"),
        ("Vogelkirsche", "en", "European cherry"),
    ],
)
def test_a_pack_names_the_wood_in_its_language(
    tmp_path: Path, wood: str, language: str, printed: str
) -> None:
    """The cover says the wood as people of that language do."""
    _job(tmp_path, wood, language=language)
    packed = run_command("pack", "s/job.toml", "--part", "tag", "--out", "o", cwd=tmp_path)
    assert packed.returncode == 0, packed.stderr
    (pdf,) = (tmp_path / "o").rglob("*.pdf")
    assert printed in " ".join(_text(pdf).split())


def test_the_wood_command_lists_the_woods_of_a_shared_name_with_all_their_names(
    tmp_path: Path,
) -> None:
    """Usual meaning first; names in brackets are shared with other woods."""
    done = run_command("wood", "Kirsche", cwd=tmp_path)
    assert done.returncode == 0
    first, second = (
        done.stdout.index(f"\n{n} (Prunus") for n in ("European cherry", "Black cherry")
    )
    assert first < second
    assert (
        "German: Vogelkirsche, Europäische Kirsche, Kirschbaum, Süßkirsche, Wildkirsche"
        in done.stdout
    )
    assert "(Kirsche)" in done.stdout
