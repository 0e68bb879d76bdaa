"""Standoff blocks put between the face and the post's body (shapely)."""

import pytest
import shapely
from at_the_lathe import PLANS, UNKNOWN_POST, WITHIN, shares, wood_before, working_order
from part_shapes import MM, STYLES, assert_legible, body, lines, words
from shapely import affinity

from templategen.nest.plan import Cut, Plan
from templategen.parts import setting_plate, standoff_block
from templategen.parts.drawing import Part
from templategen.parts.style import PrintStyle
from templategen.trade.choices import Order

LEAST = 8.0  # mm: a thinner block would break (common practice, no source)


def _blocks(plan: Plan, style: PrintStyle = MM) -> list[tuple[Cut, Part]]:
    """The blocks with their cuts; a cut whose post stands at the face has none."""
    size = plan.shop.post.body or 0.0
    cuts = [c for c in working_order(plan) if c.pivot_standoff - size / 2 >= LEAST]
    return list(zip(cuts, standoff_block.make(plan, style=style), strict=True))


@pytest.mark.parametrize("name", PLANS)
def test_between_face_and_post_the_pivot_stands_right(name: str) -> None:
    """On the face and under the axis of the post: the body touches it, and nothing enters wood."""
    plan = PLANS[name]()
    thick = plan.shop.post.body
    assert thick is not None
    for cut, part in _blocks(plan):
        block = affinity.translate(body(part), cut.pivot_offset - standoff_block.TOUCH, 0.0)
        post = shapely.Point(cut.pivot_offset, cut.pivot_standoff).buffer(thick / 2, quad_segs=500)
        assert block.distance(post) < WITHIN
        assert not shares(block, post)
        assert shares(affinity.translate(block, 0.0, 2 * WITHIN), post)
        assert not shares(block, wood_before(plan, cut))
        edge = shapely.LineString([(-2e3, 0.0), (2e3, 0.0)])
        assert block.boundary.intersection(edge).length > 10.0  # it lies on the face


@pytest.mark.parametrize("name", PLANS)
def test_over_a_cored_face_a_line_stands_for_the_face(name: str) -> None:
    """Only where cores are out the block reaches into the hollow, with its line on the face."""
    plan = PLANS[name]()
    for cut, part in _blocks(plan):
        cored = plan.job.nest.order is Order.INNER_FIRST and cut.number != plan.sequence[0]
        assert (body(part).bounds[1] < -3.0) == cored
        level = [ln for ln in lines(part) if ln.bounds[1] == ln.bounds[3] == 0.0 and ln.length > 7]
        assert bool(level) == cored


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("name", PLANS)
def test_every_block_is_legible(name: str, style: PrintStyle) -> None:
    """Wording on the block and over no line."""
    for _, part in _blocks(PLANS[name](), style):
        assert_legible(part)


def test_no_block_without_the_body_of_the_post() -> None:
    """A shop that states no ``post.body`` gets none."""
    assert standoff_block.make(UNKNOWN_POST["lakeside"](), style=MM) == ()


@pytest.mark.parametrize("name", PLANS)
def test_a_gap_too_narrow_for_a_block_is_named_on_the_setting_plate(name: str) -> None:
    """Each cut has a block, or its plate names the gap, or the post's body touches the face."""
    plan = PLANS[name]()
    size = plan.shop.post.body or 0.0
    blocks = {cut.number for cut, _ in _blocks(plan)}
    plates = setting_plate.make(plan, style=MM)
    for cut, plate in zip(working_order(plan), plates, strict=True):
        gap = cut.pivot_standoff - size / 2
        named = f"post {MM.length(gap)} off the face" in words(plate)
        assert (cut.number in blocks) + named == (gap >= standoff_block.TOUCHING)
