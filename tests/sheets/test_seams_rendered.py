"""Seams in pictures: two renderers, neither of them the writer, find each mark on both sheets."""

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pymupdf
import pypdfium2
import pytest

from templategen.geometry.shapes import Point, Transform
from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, make_recipe, recipe_bytes
from templategen.sheets.cover import make_pack
from templategen.trade.paper import paper_named
from templategen.trade.wood import nearest_wood

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DPI = 600
Picture = tuple[np.ndarray, float, float]  # darkness 0..1; pixels a millimetre across and down


def _pdfium(data: bytes, index: int) -> Picture:
    document = pypdfium2.PdfDocument(data)
    page = document[index]
    bitmap = page.render(scale=DPI / 72, grayscale=True)
    grey = bitmap.to_numpy().reshape(bitmap.height, bitmap.width).astype(float)
    width, height = (side / 72 * 25.4 for side in page.get_size())
    document.close()
    # It stretches the page to whole pixels, so each axis has its own scale.
    return 1 - grey / 255, grey.shape[1] / width, grey.shape[0] / height


def _mupdf(data: bytes, index: int) -> Picture:
    with pymupdf.open(stream=data, filetype="pdf") as document:
        picture = document[index].get_pixmap(dpi=DPI, colorspace=pymupdf.csGRAY)
        grey = np.frombuffer(picture.samples, dtype=np.uint8)
        grey = grey.reshape(picture.height, picture.stride)[:, : picture.width].astype(float)
    return 1 - grey / 255, DPI / 25.4, DPI / 25.4


@pytest.fixture(scope="module")
def made() -> tuple[bytes, dict[str, Any]]:
    """The tiled parts of the 400 × 180 example (invented): the file and its recipe."""
    job = read_job(EXAMPLES / "lakeside-400.toml", known_wood=nearest_wood)
    plan = make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)
    parts = make_parts(
        plan, kinds=("section sheet", "tenon ring"), style=PrintStyle(units=job.units)
    )
    pack = make_pack(plan, parts, paper=paper_named("a4"), units=job.units)
    data = write_pdf(pack, title="t", attachments={NAME: recipe_bytes(plan, pack)})
    return data, json.loads(json.dumps(make_recipe(plan, pack)))


def _centre(picture: Picture, near: Point, height: float) -> Point:
    """The middle of the mark near a point, page mm from the lower left.

    The upright arms of its cross give x, the flat ones y: the darkness-weighted middle of a strip
    across each arm, outside the ring.
    """
    dark, px, py = picture

    def strip(x0: float, y0: float, x1: float, y1: float) -> tuple[float, float]:
        left, right = round((near.x + x0) * px), round((near.x + x1) * px)
        top, bottom = (round((height - near.y - y) * py) for y in (y1, y0))
        part = dark[top:bottom, left:right]
        assert part.sum() > 1, "no ink where an arm should be"
        rows, columns = np.mgrid[top:bottom, left:right] + 0.5
        return (
            float((columns * part).sum() / part.sum()) / px,
            height - float((rows * part).sum() / part.sum()) / py,
        )

    upright = [strip(-0.6, y, 0.6, y + 0.8)[0] for y in (2.7, -3.5)]
    flat = [strip(x, -0.6, x + 0.8, 0.6)[1] for x in (2.7, -3.5)]
    assert abs(upright[0] - upright[1]) < 0.03
    assert abs(flat[0] - flat[1]) < 0.03
    return Point(sum(upright) / 2, sum(flat) / 2)


@pytest.mark.rendered
@pytest.mark.parametrize("render", [_pdfium, _mupdf], ids=["pdfium", "mupdf"])
def test_every_mark_on_both_sheets(
    render: Callable[[bytes, int], Picture], made: tuple[bytes, dict[str, Any]]
) -> None:
    """At 600 dpi each mark lies on both sheets of its seam at one place of the part, ± 0.03 mm."""
    data, recipe = made
    found: dict[str, list[Point]] = {}
    for index, page in enumerate(recipe["pages"]):
        if not page["marks"]:
            continue
        picture = render(data, index)
        lying = {(p["part"], p["tile"]): Transform(*p["transform"]) for p in page["parts"]}
        for mark in page["marks"]:
            transform = lying[mark["part"], mark["tile"]]
            stated = Point(mark["x"], mark["y"])
            measured = _centre(picture, transform.apply(stated), page["paper"][1])
            point = transform.inverse().apply(measured)
            assert math.dist(point, stated) < 0.03, mark["label"]
            found.setdefault(mark["label"], []).append(point)
    assert len(found) >= 6  # three seams or more, two marks each
    for label, points in found.items():
        assert len(points) == 2, label
        assert math.dist(*points) < 0.03, label


@pytest.mark.rendered
def test_a_mark_out_of_place_would_be_seen(made: tuple[bytes, dict[str, Any]]) -> None:
    """The measurement itself: looked for 0.1 mm beside its place, a mark is found in its place."""
    data, recipe = made
    index, page = next((n, p) for n, p in enumerate(recipe["pages"]) if p["marks"])
    mark = page["marks"][0]
    (transform,) = (
        Transform(*p["transform"])
        for p in page["parts"]
        if (p["part"], p["tile"]) == (mark["part"], mark["tile"])
    )
    place = transform.apply(Point(mark["x"], mark["y"]))
    beside = Point(place.x + 0.1, place.y - 0.1)
    found = _centre(_pdfium(data, index), beside, page["paper"][1])
    assert math.dist(found, place) < 0.03
