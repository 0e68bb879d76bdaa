"""The command ``pack``."""

from pathlib import Path

from commands import run_command


def test_no_cutter_fits_is_a_stop(tmp_path: Path) -> None:
    """A blank too small for any cutter ends with exit 1 and no pack."""
    done = run_command("pack", "--blank", "130x40", cwd=tmp_path)
    assert done.returncode == 1
    assert "no cutter fits" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_letters_the_font_lacks_are_told(tmp_path: Path) -> None:
    """A title in letters that would print as empty boxes is cautioned, accents are not."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    job = tmp_path / "s" / "job.toml"
    text = job.read_text("utf-8")
    for title, told in (("木の Schale", True), ("Łukasz Ærø ½ ″", False)):
        job.write_text(text.replace("Demo blank (invented)", title), "utf-8")
        done = run_command(
            "pack", "s/job.toml", "--part", "gauge stick", "--out", "o", cwd=tmp_path
        )
        assert done.returncode == 0, done.stderr
        assert ("the font has no 木 の:" in done.stdout) is told
