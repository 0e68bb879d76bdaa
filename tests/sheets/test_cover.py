"""The cover pages: what they say, and that no wording meets or leaves the page."""

import pytest
from builders import example_plan, laid_pack

from templategen.geometry.shapes import Point
from templategen.sheets.page import Pack
from templategen.trade.printer import PrinterProfile


@pytest.fixture(scope="module", params=["a4", "a5"])
def pack(request: pytest.FixtureRequest) -> Pack:
    """The 400 × 180 example (invented) for an invented printer."""
    profile = PrinterProfile(name="study", across=0.99, down=1.01)
    kinds = ("section sheet", "cut plate", "cutter arc", "tenon ring")
    plan = example_plan("lakeside-400.toml")
    return laid_pack(plan, kinds=kinds, paper=request.param, profile=profile)


def test_the_cover_draws_each_tiled_part(pack: Pack) -> None:
    """Each tile stands on the cover with its sheet, next to the tip about damp paper."""
    covers = [page.placements[0].part.drawing for page in pack.pages if page.title == "Cover"]
    words = [t.text for drawing in covers for t in drawing.texts()]
    tiles = [(p, n.number) for n in pack.pages for p in n.placements if p.tile]
    for placement, number in tiles:
        assert f"{placement.tile} ({number})" in words or {placement.tile, f"({number})"} <= {
            *words
        }
    text = " ".join(words)
    assert "Paper grows when wet" in text
    assert "measure the bars again after gluing" in text
    assert "Corrected for the printer study" in text
    filled = [p for drawing in covers for p in drawing.paths() if p.fill not in (None, 1.0)]
    assert len(filled) >= len(
        {placement.part.key for placement, _ in tiles}
    )  # a shaded lap each at least


def test_words_keep_apart_and_on_the_paper(pack: Pack) -> None:
    """No two lines of wording of a page meet, and the corrected page stays 5 mm inside the paper.

    Wording of a part that no tile shows whole is cut by its window, so it is left out here.
    """
    for page in pack.pages:
        texts = list(page.furniture.texts())
        for placement in page.placements:
            moved = placement.part.drawing.moved(placement.transform)
            texts += [t for t in moved.texts() if placement.clip.holds(t.bounds())]
        boxes = [t.bounds().grown(-0.3) for t in texts]
        for n, box in enumerate(boxes):
            for corner in (Point(box.left, box.bottom), Point(box.right, box.top)):
                x, y = page.correction.apply(corner)
                assert 5 <= x <= page.paper.width - 5
                assert 5 <= y <= page.paper.height - 5
            for m in range(n):
                assert not box.meets(boxes[m]), (page.label, texts[n].text, texts[m].text)
