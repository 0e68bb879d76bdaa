"""Sketches of tiled parts on the work order."""

import itertools

from shapely.geometry import box as area_of

from templategen.geometry.shapes import Box
from templategen.parts.drawing import Drawing
from templategen.sheets.assembly import legible_scale, sketch


def test_sketches_grow_until_tile_names_stand_clear() -> None:
    """A large part's sketch is drawn large enough that no name lies on another.

    Twelve windows as a 1200 mm blank would have them; plain geometry, by shapely.
    """
    windows = [
        (f"{chr(65 + column)}{row + 1}", 40 + 4 * column + row, Box(x, y, x + wide, y + 260))
        for column, (x, wide) in enumerate(((0, 180), (170, 180), (340, 60), (390, 70)))
        for row, y in enumerate((500, 250, 0))
    ]
    small, most = 38.0 / 760, 170.0
    scale = legible_scale(windows, small, width=most)
    assert small < scale <= most / 460
    for trial, clear in ((small, False), (scale, True)):
        drawing = sketch(Drawing(items=()), windows, trial)
        boxes = [area_of(*t.bounds()) for t in drawing.texts()]
        apart = all(a.intersection(b).area < 1e-6 for a, b in itertools.combinations(boxes, 2))
        assert apart is clear
