"""A machine that fails leaves the old file whole; a program that only helps loads little."""

import os
import resource
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENV = {**os.environ, "PYTHONPATH": str(ROOT)}
PACK = ["-m", "templategen", "pack", "--blank", "300x140", "--part", "setting card", "--out", "."]


def _small_files_only() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))


def test_a_disk_that_fills_up_leaves_the_old_file(tmp_path: Path) -> None:
    """No file may pass 4000 bytes: exit 3 with one line, the old pack whole, nothing beside it."""
    old = tmp_path / "blank-300x140.pdf"
    old.write_bytes(b"the old pack")
    done = subprocess.run(
        [sys.executable, "-B", *PACK],
        cwd=tmp_path,
        # no measure of coverage either, whose own file would not fit
        env={name: value for name, value in ENV.items() if not name.startswith("COVERAGE")},
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=_small_files_only,
    )
    assert done.returncode == 3, done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "blank-300x140.pdf: cannot be written" in done.stderr
    assert old.read_bytes() == b"the old pack"
    assert list(tmp_path.iterdir()) == [old]


def test_help_loads_no_library_that_draws() -> None:
    """`--help` imports neither numpy nor any writer of files."""
    asked = (
        "import sys\nsys.argv = ['templategen', '--help']\n"
        "from templategen.__main__ import start\n"
        "try:\n    start()\nexcept SystemExit:\n    pass\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked], env=ENV, capture_output=True, text=True, check=True
    )
    loaded = set(done.stderr.split())
    assert "typer" in loaded
    heavy = {"numpy", "reportlab", "matplotlib", "ezdxf", "pypdfium2", "PIL", "svglib", "svgwrite"}
    assert not loaded & heavy
