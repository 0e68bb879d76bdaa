"""The command ``start``."""

from pathlib import Path

from commands import run_command


def test_start_never_overwrites(tmp_path: Path) -> None:
    """The second run refuses and leaves the files alone."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    before = (tmp_path / "s" / "job.toml").read_bytes()
    assert run_command("start", "s", cwd=tmp_path).returncode == 2
    assert (tmp_path / "s" / "job.toml").read_bytes() == before
    assert run_command("plan", "s/job.toml", cwd=tmp_path).returncode == 0


def test_start_in_inches(tmp_path: Path) -> None:
    """Both files state inches, and plan as they stand; a file has one unit, never both."""
    assert run_command("start", "s", "--units", "in", cwd=tmp_path).returncode == 0
    for name in ("shop.toml", "job.toml"):
        assert '\nunits = "in"\n' in (tmp_path / "s" / name).read_text("utf-8")
    planned = run_command("plan", "s/job.toml", cwd=tmp_path)
    assert planned.returncode == 0
    assert "16 in" in planned.stdout
    refused = run_command("start", "t", "--units", "both", cwd=tmp_path)
    assert refused.returncode == 2
    assert refused.stderr.strip().endswith("--units: 'both' is no unit; use mm or in")
    assert not (tmp_path / "t").exists()
