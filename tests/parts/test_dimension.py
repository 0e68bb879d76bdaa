"""Things that keep clear of one another on a drawing."""

import itertools

from shapely.geometry import LineString

from templategen.parts.dimension import moved_apart


def test_things_moved_apart_keep_their_order_and_their_room() -> None:
    """Intervals about the middles never overlap; one alone stays where it is (shapely)."""
    places, widths = [0.0, 1.0, 2.0, 40.0, 41.0, 90.0], [6.0, 4.0, 5.0, 3.0, 3.0, 8.0]
    middles = moved_apart(places, widths)
    spans = [
        LineString([(m - w / 2 + 1e-9, 0), (m + w / 2 - 1e-9, 0)])
        for m, w in zip(middles, widths, strict=True)
    ]
    assert middles == sorted(middles)
    assert middles[-1] == 90.0
    assert not any(a.intersects(b) for a, b in itertools.pairwise(spans))
