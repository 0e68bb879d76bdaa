"""Cutting files by the command line."""

import subprocess
from pathlib import Path as File
from xml.etree import ElementTree

import ezdxf
import pytest
from commands import run_command


def _pack(*words: str, cwd: File) -> subprocess.CompletedProcess[str]:
    return run_command("pack", *words, cwd=cwd)


def test_pack_writes_all_formats_side_by_side(tmp_path: File) -> None:
    """One PDF, one SVG and one DXF a part; the beam moves the cutting files only, a hole inward."""
    words = ["--part", "full circle", "--out", "."]
    plain = _pack("--format", "pdf,svg,dxf", *words, cwd=tmp_path)
    assert plain.returncode == 0, plain.stderr
    (pdf,) = tmp_path.glob("*.pdf")
    before = pdf.read_bytes()
    svgs, dxfs = sorted(tmp_path.glob("*-svg/*.svg")), sorted(tmp_path.glob("*-dxf/*.dxf"))
    assert [p.stem for p in svgs] == [p.stem for p in dxfs]
    assert len(svgs) >= 4
    ring = dxfs[0]

    def radii() -> list[float]:
        return sorted(c.dxf.radius for c in ezdxf.readfile(ring).modelspace().query("CIRCLE"))

    (hole,) = radii()
    moved = _pack("--format", "pdf,dxf", "--beam", "0.2", *words, cwd=tmp_path)
    assert moved.returncode == 0, moved.stderr
    assert radii() == pytest.approx([hole - 0.1], abs=1e-9)
    assert pdf.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--format", "pfd"], "--format: 'pfd' is no format; use pdf, svg or dxf, as pdf,svg"),
        (
            ["--sheet", "50x50", "--part", "section sheet"],
            "--part: nothing to cut: these parts are only read; "
            "name another kind of part, or print them with --format pdf",
        ),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, list) else "",
)
def test_bad_wishes_are_one_line(words: list[str], message: str, tmp_path: File) -> None:
    """A fault is one line with its mend, exit 2, nothing written."""
    done = _pack(*words, cwd=tmp_path)
    assert (done.returncode, done.stderr.strip()) == (2, message)
    assert list(tmp_path.iterdir()) == []


def test_sheets_are_listed_with_what_they_hold(tmp_path: File) -> None:
    """A sheet in inches; each piece with its copies, holes and corners of a wide bit, a caution."""
    words = ["--sheet", "12x24in", "--beam", "3", "--part", "cut plate", "--part", "gauge block"]
    done = _pack(*words, "--out", ".", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    out = done.stdout
    assert "card, sheet 1 of 1: card-1.svg, card-1.dxf" in out
    assert "  1 × Cut plate 1, cutter R170" in out
    assert "  2 × Spacing block, cut 2 to 3" in out  # two plies of 18 mm in its stack
    assert "a cross for a drill each: Cut plate 1, cutter R170 (1 of 3 mm)" in out
    assert "Laser, router or saw" in out
    (folder,) = tmp_path.iterdir()
    root = ElementTree.parse(folder / "card-1.svg").getroot()
    assert (root.get("width"), root.get("height")) == ("304.8mm", "609.6mm")


def test_a_shop_s_set_goes_on_sheets_too(tmp_path: File) -> None:
    """`shop --sheet`: the templates of a shop, one format, no PDF unless it is named."""
    words = ["--sheet", "600x400", "--gap", "5", "--format", "dxf", "--out", "."]
    done = run_command("shop", *words, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Scale sheet" in done.stdout.split("only read: ")[1]
    assert not list(tmp_path.rglob("*.pdf"))
    (folder,) = tmp_path.iterdir()
    files = sorted(p.name for p in folder.glob("*.dxf"))
    assert "card-1.dxf" in files
    assert "ply-3-mm-1.dxf" in files
