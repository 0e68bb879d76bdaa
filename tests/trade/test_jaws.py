"""What jaws hold, against plane geometry and coins of known thickness."""

import csv
import math
from pathlib import Path

import pytest
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from templategen.trade import jaws
from templategen.trade.records import Jaws

COINS = Path(__file__).parent / "data" / "coin_thickness.csv"


def _jaws(circle: float, count: int = 4, gap: float = 2.0) -> Jaws:
    return Jaws(id=f"{circle:g}", true_circle=circle, depth=14, jaw_count=count, max_gap=gap)


@pytest.mark.parametrize("count", [2, 3, 4, 6, 8])
def test_widest_moves_each_jaw_until_neighbours_stand_the_gap_apart(count: int) -> None:
    """Jaws moved out by u along their middles: neighbours part by 2 u sin(π/n) (plane geometry)."""
    moved = (jaws.widest_neck(_jaws(100, count), 9) - 100) / 2
    first = complex(moved, 0)
    second = moved * complex(math.cos(2 * math.pi / count), math.sin(2 * math.pi / count))
    assert abs(first - second) == pytest.approx(2.0)


def test_a_tenon_never_bottoms() -> None:
    """Clearance under a tenon: common practice, no source."""
    assert jaws.tenon_length_limit(_jaws(100)) == 12.5


def _sectors(jaw_set: Jaws, moved: float) -> list[Polygon]:
    """The closed jaws as sectors round a hole, each moved out along its own middle."""
    hole = Spot(0, 0).buffer(jaw_set.true_circle / 2, 2048)
    sectors = []
    half = math.pi / jaw_set.jaw_count
    for n in range(jaw_set.jaw_count):
        middle = 2 * half * n
        far = 400 / math.cos(half)
        wedge = Polygon(
            [(0, 0)]
            + [
                (far * math.cos(a), far * math.sin(a))
                for a in (middle - half, middle, middle + half)
            ]
        )
        ring = wedge.difference(hole)
        sectors.append(affinity.translate(ring, moved * math.cos(middle), moved * math.sin(middle)))
    return sectors


def _coins() -> list[tuple[str, float]]:
    with COINS.open(encoding="utf-8", newline="") as file:
        return [
            (f"{row['issuer']} {row['denomination']}", float(row["thickness_mm"]))
            for row in csv.DictReader(file)
        ]


@pytest.mark.parametrize(("coin", "thickness"), _coins(), ids=lambda v: str(v))
@pytest.mark.parametrize("count", [3, 4])
def test_widest_ring_for_a_coin_between_the_jaws(coin: str, thickness: float, count: int) -> None:
    """A coin just passes between neighbouring jaws at the widest size: mints' thicknesses.

    Jaws drawn as sectors and measured by shapely. Their middles then stand on the ring and
    their corners inside it.
    """
    owned = Jaws(id=coin[:9], true_circle=100, depth=14, jaw_count=count, max_gap=thickness)
    size = jaws.widest_neck(owned, 9)
    sectors = _sectors(owned, (size - 100) / 2)
    assert sectors[0].distance(sectors[1]) == pytest.approx(thickness, abs=1e-6)
    along_the_middle = LineString([(0, 0), (300, 0)]).intersection(sectors[0])
    assert along_the_middle.bounds[0] == pytest.approx(size / 2, abs=2e-4)
    assert Spot(0, 0).distance(sectors[0]) < size / 2
    assert jaws.grip_of(owned, neck=size, length=9) is jaws.Grip.NEARLY


def test_grip_from_the_closed_circle_to_the_edges() -> None:
    """Nearly closed jaws hold best, a coin's gap is still good: common practice, no source."""
    owned = Jaws(id="100", true_circle=100, depth=14, jaw_count=4, max_gap=6)
    grips = [jaws.grip_of(owned, neck=d, length=9) for d in (98, 100, 100.1, 103, 106)]
    assert grips == ["not held", "full circle", "full circle", "nearly full circle", "at the edges"]
