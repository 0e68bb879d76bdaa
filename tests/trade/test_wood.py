"""Wood, drying and jaws against the handbook's tables and published worked examples."""

import csv
import math
import tomllib
from pathlib import Path

import pytest
from shapely import affinity
from shapely.geometry import Point as Spot

from templategen.errors import InputError, InputErrors, LimitError
from templategen.inputs.job_file import job_from_table, job_to_table
from templategen.nest import rules
from templategen.trade import drying, jaws, wood
from templategen.trade.records import Jaws, Job

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


def _dried(diameter: float, wall: float | None, **changes: float | None) -> drying.Dried:
    given: dict[str, float | None] = {
        "across_percent": 7.1,
        "along_percent": 0.2,
        "depth_percent": 3.7,
        "final_moisture": 10,
        **changes,
    }
    return drying.dried_size(rim_diameter=diameter, wall=wall, depth=120, **given)  # type: ignore[arg-type]


def test_a_dried_rim_meets_the_handbook_equation() -> None:
    """Black cherry, 300 mm, green to 10 %: 14.20 mm less across, Eq. 4-9 with Table 4-3."""
    dried = _dried(300, None)
    assert 300 - dried.across == pytest.approx(14.20, abs=0.005)
    assert 300 - dried.along == pytest.approx(300 * 0.002 * 2 / 3)
    assert dried.circle == dried.across
    assert dried.wall_left is None
    radial = _dried(300, None, across_percent=3.7)
    assert 300 - radial.across == pytest.approx(7.40, abs=0.005)
    assert _dried(300, None, depth_percent=None).depth is None
    assert _dried(300, 20, final_moisture=30).wall_left == pytest.approx(20)


def test_a_dried_depth_meets_a_published_worked_example() -> None:
    """13.25 in at 19 %, 0.2 % a point, 13.01 in at 10 %: Missouri S&T wood design, 4.34.

    Both moistures are reached from green, so the ratio stands in for the example's difference.
    """
    wet = _dried(300, None, depth_percent=6, final_moisture=19).depth
    dry = _dried(300, None, depth_percent=6, final_moisture=10).depth
    assert wet is not None
    assert dry is not None
    assert 13.25 * dry / wet == pytest.approx(13.01, abs=0.01)


def test_a_dried_bowl_meets_the_published_size_change_formula() -> None:
    """Change from 20 % to 8 %: D (MF - MI) / (100 MCfs/S - MCfs + MI), ICC 400 section 302."""
    for shrink in (4.1, 7.1, 12.4):
        first = _dried(300, None, across_percent=shrink, final_moisture=20).across
        last = _dried(300, None, across_percent=shrink, final_moisture=8).across
        change = first * (8 - 20) / (100 * 30 / shrink - 30 + 20)
        assert last - first == pytest.approx(change, rel=1e-9)


@pytest.mark.parametrize("diameter", [120.0, 250.0, 400.0])
def test_wall_left_is_what_two_true_circles_leave_of_two_ovals(diameter: float) -> None:
    """The ovals drawn and measured by shapely: greatest circle inside, least circle round."""
    wall = diameter / 10
    dried = _dried(diameter, wall)
    disc = Spot(0, 0).buffer(1.0, 512)
    outer = affinity.scale(disc, dried.across / 2, dried.along / 2)
    inside = diameter - 2 * wall
    inner = affinity.scale(
        disc, inside / 2 * dried.across / diameter, inside / 2 * dried.along / diameter
    )
    fits = Spot(0, 0).distance(outer.boundary)
    clears = Spot(0, 0).hausdorff_distance(inner)
    assert dried.circle / 2 == pytest.approx(fits, abs=1e-3)
    assert dried.wall_left == pytest.approx(fits - clears, abs=2e-3)


def test_the_drying_wall_and_the_wall_left_are_one_formula() -> None:
    """Design §5: the wall that the rule asks leaves just the finished wall and the margin."""
    wall = drying.drying_wall(200, 8, 3, 8.4, 10)
    left = _dried(400, wall, across_percent=8.4).wall_left
    assert left == pytest.approx(11)
    assert drying.rule_of_thumb_wall(400) == 40  # common practice, no source


def test_density_meets_the_handbook() -> None:
    """Eq. 4-14: black cherry 742.6 kg/m³ at 58 %; Eq. 4-3 full of water just 1.54 is cell wall.

    Sinking point 100 (1 - G)/G, Eq. 4-4: there a cubic metre weighs 1000 kg.
    """
    assert drying.density(0.47, 58) == pytest.approx(742.6)
    for gravity in (0.31, 0.47, 0.75):  # above these it sinks below fibre saturation
        assert drying.density(gravity, 100 * (1 - gravity) / gravity) == pytest.approx(1000)
        soaked = drying.density(gravity, drying.most_water(gravity))
        assert soaked == pytest.approx(1000 * gravity + 1000 * (1 - gravity / 1.54))
    below = drying.density(0.47, 12, volumetric_percent=11.5)
    assert below == pytest.approx(1000 * 0.47 / (1 - 0.115 * 18 / 30) * 1.12)
    assert drying.density(0.47, 12) == pytest.approx(
        drying.density(0.47, 12, volumetric_percent=26.5 * 0.47)
    )


def test_moisture_meets_the_measurements_manual() -> None:
    """Ovendry 19.4 is 40.0 at 106 % and 22.3 at 15 %: Forest products measurements."""
    assert drying.mass_at(19.4, 106.2) == pytest.approx(40.0, abs=0.01)
    assert drying.mass_at(19.4, 15) == pytest.approx(22.3, abs=0.05)
    assert drying.dry_mass(1e9, 0.47) == pytest.approx(470)


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


def test_every_figure_names_its_own_source() -> None:
    """No figure of the table stands without a source, and no source without a figure."""
    for row in wood.woods():
        for figure in wood.FIGURES:
            stated = row.figure(figure.field) is not None
            assert stated == bool(row.source_of(figure.field)), (row.name, figure.field)


@pytest.mark.parametrize(
    ("name", "field", "source", "memory"),
    [
        ("Black cherry", "radial", "FPL-GTR-190 Table 4-3", False),
        ("Silver maple", "volumetric", "from the secondary page", False),
        ("Silver maple", "mc_heart", "from memory: Table 4-1", True),
        ("Red maple", "volumetric", "from memory: Table 4-3", True),
        ("Red maple", "radial", "derived from GTR-190 Table 13-5 coefficients", False),
        ("Baldcypress", "mc_heart", "FPL-GTR-190 Table 4-1", False),
        ("Teak", "side_hardness_n", "FPL-GTR-190 Table 5-5b", False),
    ],
)
def test_sources_stay_with_their_figures(name: str, field: str, source: str, memory: bool) -> None:
    """Read by eye from the table's source column."""
    row = wood.find_wood(name)
    assert row.source_of(field) == source
    assert row.is_from_memory(field) == memory


def test_memory_is_marked_as_often_as_the_table_says() -> None:
    """Counted in the data file with a search for the two wordings, row by row."""
    rows = [w for w in wood.woods() if "from memory" in w.source or "as remembered" in w.source]
    marked = [w for w in wood.woods() if any(w.is_from_memory(f.field) for f in wood.FIGURES)]
    assert [w.name for w in rows] == [w.name for w in marked]
    assert 10 < len(marked) < 40


def test_strength_meets_the_inch_pound_printing() -> None:
    """Wood Handbook Tables 5-3b and 5-5b in lbf/in²; 1 lbf/in² = 6.894757 kPa, to 10 kPa."""
    with (Path(__file__).parent / "data" / "wood_species_inch_pound.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 59
    for row in rows:
        ours = wood.find_wood(row["common_name"])
        pairs = (
            (row["tension_perp_green_psi"], 6.894757, ours.tension_perp_kpa),
            (row["shear_parallel_green_psi"], 6.894757, ours.shear_parallel_kpa),
            (row["side_hardness_green_lbf"], 4.448222, ours.side_hardness_n),
        )
        for printed, factor, figure in pairs:
            if printed:
                assert figure == pytest.approx(float(printed) * factor, abs=5.5), row
            else:
                assert figure is None


def test_search_finds_parts_of_names_and_near_words() -> None:
    """Common and botanical names; an exact name comes alone; slips are answered."""
    assert [w.name for w in wood.search_woods("maple")] == [
        "Bigleaf maple",
        "Red maple",
        "Silver maple",
        "Sugar maple",
    ]
    assert [w.name for w in wood.search_woods("juglans NIGRA")] == ["Black walnut"]
    assert [w.name for w in wood.search_woods("white oak")] == ["White oak"]
    assert wood.search_woods("  ") == wood.search_woods("teakwood") == ()
    assert "Sugar maple" in wood.near_names("mapel")
    assert wood.near_names("Blak cherry")[0] == "Black cherry"
    assert wood.near_names("zzzz") == ()


def _job(text: str) -> Job:
    table = tomllib.loads("[blank]\ndiameter = 400\nheight = 180\n" + text)
    return job_from_table(table, where="job.toml", known_wood=wood.nearest_wood)


def test_a_job_gives_its_own_figures() -> None:
    """Own figures go before the table's, with their own source; the rest stays the table's."""
    job = _job(
        'wood = "Black cherry"\n[wood]\ntangential = 8.0\ngreen_moisture = 65\n'
        'tension_across = "570 psi"\nsource = "own log, weighed (invented)"\n'
    )
    ours = wood.wood_of(job)
    assert ours is not None
    assert (ours.tangential, ours.radial, ours.green_moisture) == (8.0, 3.7, (65.0, 65.0))
    assert ours.tension_perp_kpa == pytest.approx(3930, abs=5)
    assert ours.source_of("tangential") == "own log, weighed (invented)"
    assert ours.source_of("radial") == "FPL-GTR-190 Table 4-3"
    assert ours.volumetric is None
    assert job_from_table(job_to_table(job), where="again", known_wood=wood.nearest_wood) == job


def test_an_unknown_wood_is_welcome_with_its_own_figures() -> None:
    """A wood the table lacks needs no leave; its missing figures stay unknown."""
    job = _job('wood = "Field maple"\n[wood]\ntangential = 9\nalong = 0.3\n')
    ours = wood.wood_of(job)
    assert ours is not None
    assert (ours.name, ours.tangential, ours.along, ours.radial) == ("Field maple", 9.0, 0.3, None)
    assert wood.wood_of(_job("")) is None
    bare = wood.wood_of(_job("[wood]\nradial = 4\n"))
    assert bare is not None
    assert bare.name == "own wood"


def test_every_key_of_own_figures_is_checked() -> None:
    """All faults come in one run, each with its place and mend."""
    with pytest.raises(InputErrors) as caught:
        _job(
            'wood = "Field maple"\n[wood]\ntangental = 9\nradial = -1\nspecific_gravity = "a"\n'
            'green_moisture = nan\ntension_across = "3 bar"\nalong = true\n'
        )
    assert str(caught.value).splitlines() == [
        "job.toml: wood.radial: -1 is out of bounds; give 0.1 to 25",
        "job.toml: wood.along: True is not a number; give 0 to 5",
        "job.toml: wood.specific_gravity: 'a' is not a number; give 0.1 to 1.3",
        "job.toml: wood.green_moisture: nan is out of bounds; give 20 to 300",
        "job.toml: wood.tension_across: '3 bar' has no known unit; write a figure in kPa or MPa "
        "or psi",
        "job.toml: wood.tangental: unknown key; did you mean 'tangential'?",
    ]


def test_a_drying_wall_uses_the_own_figures() -> None:
    """The wall of design §5 by hand, with the job's own shrinkage across and along."""
    job = _job('wood = "Field maple"\n[wood]\ntangential = 9\nalong = 0.3\n[nest]\nwall="drying"')
    across, along = 0.09 * 20 / 30, 0.003 * 20 / 30
    inner = (200 * (1 - across) - 8 - 3) / (1 - along)
    assert rules.required_wall(job, rim_radius=200) == pytest.approx(200 - inner)
    for text in ("wall = 'drying'", "wall = 'drying'\nacross = 'radial'"):
        lacking = _job(f"[wood]\nspecific_gravity = 0.5\n[nest]\n{text}")
        with pytest.raises(InputError, match=r"no (tangential|radial) shrinkage for own wood"):
            rules.required_wall(lacking, rim_radius=200)


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
