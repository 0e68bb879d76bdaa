"""Wood, drying and jaws against the handbook's tables and published worked examples."""

import csv
import math
from pathlib import Path

import pytest

from templategen.errors import InputError, LimitError
from templategen.inputs.records import Jaws
from templategen.trade import drying, jaws, wood

EMC_TABLE = Path(__file__).parent / "data" / "emc_table.csv"


def _emc_rows() -> list[tuple[float, float, float]]:
    with EMC_TABLE.open(encoding="utf-8", newline="") as file:
        return [
            (float(row["temp_c"]), float(row["rh_pct"]), float(row["emc_pct"]))
            for row in csv.DictReader(file)
        ]


def test_emc_meets_every_row_of_the_handbook_table() -> None:
    """Wood Handbook Table 4-2; each row names how it was read. The table rounds to 0.1."""
    rows = _emc_rows()
    assert len(rows) == 142
    for temperature, humidity, expected in rows:
        assert drying.emc(temperature, humidity) == pytest.approx(expected, abs=0.055)


@pytest.mark.parametrize(
    ("temperature", "humidity"), [(20, 100), (20, -1), (500, 50), (math.nan, 50), (20, math.nan)]
)
def test_emc_refuses_air_that_does_not_exist(temperature: float, humidity: float) -> None:
    """Bounds stated by the function itself."""
    with pytest.raises(LimitError):
        drying.emc(temperature, humidity)


def test_shrinkage_meets_a_published_worked_example() -> None:
    """13.25 in deep, 19 % to 10 %, 6 % over 30 points loses 0.2385 in.

    Missouri S&T wood design course, problem 4.34.
    """
    lost = 13.25 * (drying.shrinkage(6, 10) - drying.shrinkage(6, 19))
    assert lost == pytest.approx(0.2385, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "coefficient"),
    [
        ("Black cherry", 0.00248),
        ("Sugar maple", 0.00353),
        ("Black walnut", 0.00274),
        ("American beech", 0.00431),
        ("White ash", 0.00274),
    ],
)
def test_shrinkage_meets_the_handbook_coefficients(name: str, coefficient: float) -> None:
    """Tangential change per point from 10 %, over the size at 10 %: Wood Handbook Table 13-5."""
    tangential = wood.find_wood(name).tangential
    assert tangential is not None
    at_10 = 1 - drying.shrinkage(tangential, 10)
    at_9 = 1 - drying.shrinkage(tangential, 9)
    assert (at_10 - at_9) / at_10 == pytest.approx(coefficient, abs=1e-5)


def test_nothing_shrinks_above_fibre_saturation() -> None:
    """Wood Handbook FPL-GTR-282 Eq. 4-9."""
    assert drying.shrinkage(8, 30) == drying.shrinkage(8, 90) == 0


def test_a_drying_wall_leaves_the_finished_wall_and_the_margin() -> None:
    """Dried across and along, the round that fits inside leaves wall and margin (design §5)."""
    outside = 200.0
    wall = drying.drying_wall(outside, 8, 3, 8.4, 10)
    dried_outside = outside * (1 - 0.084 * 20 / 30)
    dried_inside = (outside - wall) * (1 - 0.002 * 20 / 30)
    assert dried_outside - dried_inside == pytest.approx(11)


def test_rows_are_whole_and_name_their_source() -> None:
    """Tangential exceeds radial in every wood: Wood Handbook ch. 4 (from memory)."""
    table = wood.woods()
    assert len(table) == 66
    assert len({row.name.casefold() for row in table}) == len(table)
    for row in table:
        assert row.source
        if row.radial is not None and row.tangential is not None:
            assert row.radial < row.tangential


def test_an_empty_cell_is_none_not_nought() -> None:
    """The handbook has no specific gravity for apple (notes beside the table)."""
    assert wood.find_wood("Apple").specific_gravity is None


def test_find_wood_offers_the_nearest_name() -> None:
    """Upper and lower case count the same; a slip is answered with the name meant."""
    assert wood.find_wood("black CHERRY").name == "Black cherry"
    with pytest.raises(InputError, match="Black cherry"):
        wood.find_wood("Blak chery")
    with pytest.raises(InputError, match="see the wood table"):
        wood.find_wood("zzzzqqqq")


def test_nearest_wood_tells_known_near_and_strange_apart() -> None:
    """None: nothing to mend; a name: meant perhaps; '': nothing is near."""
    assert wood.nearest_wood("") is None
    assert wood.nearest_wood("red alder") is None
    assert wood.nearest_wood("red aldr") == "Red alder"
    assert wood.nearest_wood("zzzzqqqq") == ""


def _jaws(circle: float, count: int = 4, gap: float = 2.0) -> Jaws:
    return Jaws(id=f"{circle:g}", true_circle=circle, depth=14, jaw_count=count, max_gap=gap)


@pytest.mark.parametrize("count", [2, 3, 4, 6, 8])
def test_widest_moves_each_jaw_until_neighbours_stand_the_gap_apart(count: int) -> None:
    """Jaws moved out by u along their middles: neighbours part by 2 u sin(π/n) (plane geometry)."""
    moved = (jaws.widest(_jaws(100, count)) - 100) / 2
    first = complex(moved, 0)
    second = moved * complex(math.cos(2 * math.pi / count), math.sin(2 * math.pi / count))
    assert abs(first - second) == pytest.approx(2.0)


def test_a_tenon_never_bottoms() -> None:
    """Clearance under a tenon: common practice, no source."""
    assert jaws.tenon_length_limit(_jaws(100)) == 12.5


def test_choose_jaws_takes_the_nearest_that_holds() -> None:
    """Shares of the rim: common practice, no source."""
    shop = [_jaws(50), _jaws(100), _jaws(130), _jaws(200)]
    chosen = jaws.choose_jaws(shop, rim_diameter=250, share=0.5, refuse_share=1 / 3)
    assert chosen is not None
    assert chosen.id == "130"
    assert jaws.choose_jaws(shop, rim_diameter=650, share=0.5, refuse_share=1 / 3) is None
    assert jaws.choose_jaws(shop, rim_diameter=60, share=0.5, refuse_share=1 / 3) is None
    assert jaws.choose_jaws([], rim_diameter=250, share=0.5, refuse_share=1 / 3) is None
