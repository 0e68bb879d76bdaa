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
