"""The shop set: complete for every cutter and set of jaws, and free of any blank."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from builders import ROOT
from commands import run_command
from part_shapes import MM, words

from templategen.errors import InputError
from templategen.inputs.starters import demo_shop
from templategen.parts.registry import SHOP_KINDS
from templategen.parts.shop_set import shop_parts


def test_the_set_is_whole() -> None:
    """Each cutter and each set of jaws has its parts, each with a key of its own."""
    shop = demo_shop()
    parts = shop_parts(shop, style=MM)
    titles = [p.title for p in parts]
    for cutter in shop.cutters:
        assert f"Cutter arc {cutter.id}" in titles
    for jaws in shop.jaws:
        assert f"Tenon ring, jaws {jaws.id}" in titles
        assert f"Jaw depth, jaws {jaws.id}" in titles
    assert "Height stick" in titles
    assert len({p.key for p in parts}) == len(parts)


@pytest.mark.parametrize("kind", list(SHOP_KINDS))
def test_parts_carry_the_shop_s_name_and_the_date(kind: str) -> None:
    """Name and date of the shop stand on each part that is not the same for every shop."""
    shop = demo_shop()
    for part in shop_parts(shop, kinds=(kind,), date="2026-07-09", style=MM):
        if kind not in ("cutter arc", "scale sheet"):
            assert "2026-07-09" in words(part), part.title
            assert shop.name[:6] in words(part), part.title


def test_a_part_that_needs_a_blank_is_refused() -> None:
    """The set takes no part of a job, and offers the nearest name for a slip."""
    shop = demo_shop()
    with pytest.raises(InputError, match="'cut plate' needs a blank; print it with"):
        shop_parts(shop, kinds=("cut plate",), style=MM)
    with pytest.raises(InputError, match="did you mean 'radius finder'"):
        shop_parts(shop, kinds=("radius findr",), style=MM)


def test_shop_command(tmp_path: Path) -> None:
    """A PDF of the whole set, on letter in inches for an inch shop.

    A process of its own and this one, which has drawn other things, write the same bytes.
    """
    words = ["shop", str(ROOT / "examples" / "inch-shop.toml"), "--format", "pdf,dxf"]
    words += ["--date", "2026-07-09", "--out"]
    done = subprocess.run(
        [sys.executable, "-m", "templategen", *words, "one"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    done = run_command(*words, "two", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (one,), (two,) = ([*(tmp_path / out).glob("*.pdf")] for out in ("one", "two"))
    made = [one.read_bytes(), two.read_bytes()]
    assert made[0] == made[1]
    reader = pypdf.PdfReader(io.BytesIO(made[0]))
    cover = reader.pages[0].extract_text()
    assert "Shop set" in cover
    assert "2026-07-09" in cover
    assert "400" not in cover  # the stand-in blank shows nowhere
    assert float(reader.pages[0].mediabox.width) == pytest.approx(8.5 * 72, abs=0.01)
    recipe = json.loads(reader.attachments["templategen-pack.json"][0])
    assert recipe["plan"]["bowls"] == []
    assert any(n.startswith("radius-finder") for n in (p.stem for p in tmp_path.rglob("*.dxf")))
