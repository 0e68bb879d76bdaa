"""The shop set: complete for every cutter and set of jaws, and free of any blank."""

import json
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
    """The set takes no part of a job."""
    with pytest.raises(InputError, match="'cut plate' needs a blank; print it with"):
        shop_parts(demo_shop(), kinds=("cut plate",), style=MM)


def test_shop_command(tmp_path: Path) -> None:
    """A PDF of the whole set, on letter in inches for an inch shop, and DXF files beside it."""
    words = ["shop", str(ROOT / "examples" / "inch-shop.toml"), "--format", "pdf,dxf"]
    done = run_command(*words, "--date", "2026-07-09", "--out", "o", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (made,) = (tmp_path / "o").glob("*.pdf")
    reader = pypdf.PdfReader(made)
    cover = reader.pages[0].extract_text()
    assert "Shop set" in cover
    assert "2026-07-09" in cover
    assert "400" not in cover  # the stand-in blank shows nowhere
    assert float(reader.pages[0].mediabox.width) == pytest.approx(8.5 * 72, abs=0.01)
    recipe = json.loads(reader.attachments["templategen-pack.json"][0])
    assert recipe["plan"]["bowls"] == []
    assert any(n.startswith("radius-finder") for n in (p.stem for p in tmp_path.rglob("*.dxf")))
