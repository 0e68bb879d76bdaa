"""The command ``wood``."""

from pathlib import Path

from commands import run_command


def test_wood_lists_shows_and_finds(tmp_path: Path) -> None:
    """All rows; one with its sources (Wood Handbook Tables 4-3, 5-3b); a slip with near names."""
    listed = run_command("wood", cwd=tmp_path)
    assert listed.returncode == 0
    assert "138 woods" in listed.stdout
    chestnut = next(t for t in listed.stdout.splitlines() if t.startswith("American chestnut"))
    assert chestnut.split()[2:] == ["3.4", "6.7", "0.40", "120m", "-", "3030"]
    one = run_command("wood", "black", "cherry", cwd=tmp_path)
    assert one.returncode == 0
    assert "3.7 %  FPL-GTR-190 Table 4-3" in one.stdout
    assert "green moisture, sapwood         no figure\n" in one.stdout
    assert "never ratings" in one.stdout
    assert "7 woods" in run_command("wood", "maple", cwd=tmp_path).stdout
    slip = run_command("wood", "Blak cherry", cwd=tmp_path)
    assert slip.returncode == 2
    assert slip.stderr.startswith("wood: no wood 'Blak cherry' in the table; near it: Black cherry")
    assert run_command("wood", "zzzz", cwd=tmp_path).stderr.strip() == (
        "wood: no wood 'zzzz' in the table; 'templategen wood' lists them all"
    )
