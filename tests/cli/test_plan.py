"""The command ``plan``."""

import json
from pathlib import Path

import pytest
from builders import EXAMPLES
from commands import run_command


@pytest.mark.parametrize(
    ("name", "bowls"), [("lakeside-400", 4), ("small-220", 3), ("inch-15", 3)]
)
def test_examples(name: str, bowls: int, tmp_path: Path) -> None:
    """Each example gives its bowls; the 400 × 180 one an outer bowl and three cores."""
    done = run_command("plan", str(EXAMPLES / f"{name}.toml"), "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert len(json.loads(done.stdout)["bowls"]) == bowls


def test_a_shops_own_defaults_reach_the_plan(tmp_path: Path) -> None:
    """A [rules.nest] of the shop counts for a job file and for --blank alike."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    shop = tmp_path / "s" / "shop.toml"
    text = shop.read_text("utf-8")
    shop.write_text(text.replace("# [rules.nest]", "[rules.nest]").replace("# setting", "setting"))
    for words in (["s/job.toml"], ["--blank", "400x180", "--shop", "s/shop.toml"]):
        done = run_command("plan", *words, "--json", cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        assert json.loads(done.stdout)["job"]["nest"]["setting_tolerance"] == 0.5


def test_the_plan_tells_what_it_does_not_know(tmp_path: Path) -> None:
    """No wood, no power: dashes, not noughts; with all of it, forces and the least height."""
    (tmp_path / "shop.toml").write_text('[[cutters]]\nid = "a"\nradius = 100\nkerf = 9\n')
    bare = run_command("plan", "--blank", "250x120", "--shop", "shop.toml", cwd=tmp_path).stdout
    assert "green blank not known" in bare
    assert "force at the tip" not in bare
    full = run_command("plan", cwd=tmp_path).stdout
    assert "Least height above centre against droop" in full
    assert "Bowls dried to 10 %" in full
