"""No library that writes files obeys or runs settings of the current or the home folder."""

import os
import subprocess
import sys
from pathlib import Path

from builders import EXAMPLES, ROOT
from strange_folder import plant_modules, plant_settings


def test_settings_that_lie_about_change_nothing(tmp_path: Path) -> None:
    """PDF, SVG and DXF of a pack with broken settings and modules about are those without."""
    plain, about = tmp_path / "plain", tmp_path / "about"
    plain.mkdir()
    about.mkdir()
    plant_modules(about)
    plant_settings(about)
    (about / ".config" / "ezdxf").mkdir(parents=True)
    (about / ".config" / "ezdxf" / "ezdxf.ini").write_bytes(b"\xff")
    files = []
    for folder in (plain, about):
        words = ["shop", str(EXAMPLES / "small-shop.toml"), "--part", "tenon ring"]
        done = subprocess.run(
            [sys.executable, "-P", "-m", "templategen", *words, "--format", "pdf,svg,dxf",
             "--out", "o"],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(ROOT), "HOME": str(folder),
                 "XDG_CONFIG_HOME": str(folder / ".config")},
            capture_output=True,
            text=True,
        )  # fmt: skip
        assert (done.returncode, done.stderr) == (0, "")
        out = folder / "o"
        files.append({p.relative_to(out): p.read_bytes() for p in out.rglob("*") if p.is_file()})
    assert files[0] == files[1]
    assert len(files[0]) > 3
    assert not (about / "was-run").exists()
