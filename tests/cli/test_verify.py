"""The command ``verify``: a line when all is true, the untrue rows when not."""

from pathlib import Path

import pypdf
import pytest
from builders import EXAMPLES
from commands import Run


@pytest.fixture
def pack(run: Run, tmp_path: Path) -> Path:
    """The tenon rings of a small shop, printed."""
    shop = str(EXAMPLES / "small-shop.toml")
    assert run("shop", shop, "--part", "tenon ring", "--out", ".")[0] == 0
    (path,) = tmp_path.glob("*.pdf")
    return path


def test_a_true_pack_is_a_line(run: Run, pack: Path) -> None:
    """All true: one line; with ``--all`` every figure is listed before it."""
    code, out, err = run("verify", pack.name)
    assert (code, err, out.count("\n")) == (0, "", 1)
    assert out.startswith("True: ")
    every = run("verify", pack.name, "--all")[1]
    assert every.endswith(out)
    assert every.count(" mm  ") >= 4
    assert "NOT TRUE" not in every


def test_an_untrue_pack_shows_what_is_untrue(run: Run, pack: Path) -> None:
    """A page drawn at 99 % is listed with its deviations, and nothing that is true."""
    spoiled = pypdf.PdfWriter(clone_from=pack)
    for page in spoiled.pages:
        page.add_transformation(pypdf.Transformation().scale(0.99))
    spoiled.write(pack)
    code, out, _ = run("verify", pack.name)
    assert code == 1
    rows = [line for line in out.splitlines() if line.startswith("  ")]
    assert rows
    assert all(line.endswith("NOT TRUE") for line in rows)
    assert "scaled to 99.00 % across" in out
