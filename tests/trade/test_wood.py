"""The wood table against the handbook's printings, names, and a job's own figures."""

import csv
import dataclasses
from pathlib import Path

import pytest

from templategen.errors import InputError
from templategen.messages import ENGLISH_WORDING, Text
from templategen.trade import wood
from templategen.trade.records import OwnWood
from templategen.trade.wood_sources import SOURCES
from tests.builders import make_job


def _english(text: Text) -> str:
    return ENGLISH_WORDING.text(text)


def test_rows_are_whole_and_name_their_source() -> None:
    """Tangential exceeds radial in every wood: Wood Handbook ch. 4 (from memory)."""
    table = wood.woods()
    assert len(table) == 138
    assert len({row.name.casefold() for row in table}) == len(table)
    for row in table:
        assert row.source
        if row.radial is not None and row.tangential is not None:
            assert row.radial < row.tangential


def test_an_empty_cell_is_none_not_nought() -> None:
    """The handbook has no specific gravity for persimmon (notes beside the table)."""
    assert wood.find_wood("persimmon, common").specific_gravity is None


def test_find_wood_offers_the_nearest_name() -> None:
    """Any name finds the wood; a slip is answered with the name meant, a shared name with woods."""
    assert wood.find_wood("black CHERRY").name == wood.find_wood("Prunus serotina").name
    assert wood.find_wood("Bergahorn").botanical == "Acer pseudoplatanus"
    with pytest.raises(InputError, match="Black cherry"):
        wood.find_wood("Blak chery")
    with pytest.raises(InputError, match=r"'Esche' may be one of these: European ash \(Fraxinus"):
        wood.find_wood("Esche")
    with pytest.raises(InputError, match="'templategen wood' lists the woods"):
        wood.find_wood("zzzzqqqq")


@pytest.mark.parametrize(
    ("name", "one_page"),
    [
        ("European ash", True),
        ("Silver birch", True),
        ("Flowering dogwood", True),
        ("Black cherry", False),
        ("Southern silky oak", False),
        ("Small-leaved lime", False),
    ],
)
def test_a_shrinkage_that_rests_on_one_page_is_known_as_such(name: str, one_page: bool) -> None:
    """Read by eye from the tables' source column; a job's own figures take its place."""
    assert wood.find_wood(name).rests_on_one_page == one_page
    own = OwnWood(radial=4.0, tangential=8.0)
    assert not wood.with_own_figures(wood.find_wood(name), own).rests_on_one_page


@pytest.mark.parametrize(
    ("name", "own", "said"),
    [
        ("", None, None),
        ("Bergahorn", None, None),
        (
            "Elsbeere",
            None,
            "unknown wood 'Elsbeere': planned without drying figures; 'templategen wood' lists the "
            "woods; a job may give figures of its own, [wood]",
        ),
        (
            "Walnuss",
            None,
            "'Walnuss' may be one of these: European walnut (Juglans regia), Black walnut (Juglans "
            "nigra): planned without drying figures; write the full or the Latin name",
        ),
        (
            "Elsbeere",
            OwnWood(radial=4.0),
            "unknown wood 'Elsbeere': only the job's own figures are used",
        ),
    ],
)
def test_a_name_that_means_no_one_wood_is_a_problem_and_has_no_figures(
    name: str, own: OwnWood | None, said: str | None
) -> None:
    """Unknown and shared names carry no figure of the tables into a plan."""
    job = dataclasses.replace(make_job(wood=name), wood=own)
    problem = wood.wood_problem(job)
    assert (None if problem is None else _english(problem)) == said
    found = wood.wood_of(job)
    if said is not None:
        assert found is not None
        assert found.tangential is None
        assert found.specific_gravity is None


def test_every_figure_names_its_own_source() -> None:
    """No figure of the table stands without a source, and no source without a figure."""
    for row in wood.woods():
        for figure in wood.PROPERTIES:
            stated = row.figure(figure.field) is not None
            assert stated == bool(_english(row.source_of(figure.field))), (row.name, figure.field)


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
    assert _english(row.source_of(field)) == source
    assert row.is_from_memory(field) == memory


def test_memory_is_marked_as_often_as_the_table_says() -> None:
    """Counted in the data file with a search for the two wordings, row by row."""
    rows = [w for w in wood.woods() if "from memory" in w.source or "as remembered" in w.source]
    marked = [w for w in wood.woods() if any(w.is_from_memory(f.field) for f in wood.PROPERTIES)]
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


def test_search_finds_names_and_parts_of_names() -> None:
    """Common and botanical names; a name of one wood comes alone, the usual one first."""
    assert [w.name for w in wood.search_woods("soft maple")] == [
        "Red maple",
        "Silver maple",
        "Bigleaf maple",
    ]
    assert {w.name for w in wood.search_woods("hick")} > {"Pecan", "Pignut hickory"}
    assert [w.name for w in wood.search_woods("juglans NIGRA")] == ["Black walnut"]
    assert [w.name for w in wood.search_woods("white oak")] == ["White oak"]
    assert [w.name for w in wood.search_woods("Teakholz")] == ["Teak"]
    assert wood.search_woods("  ") == wood.search_woods("zzzz") == ()


def test_every_source_of_the_table_is_in_the_catalogue() -> None:
    """Each source is one or more of `SOURCES`, which are entered for translation."""
    used = {
        part
        for row in wood.woods()
        for field in wood.PROPERTIES
        if field.field != "along"
        for part in filter(None, _english(row.source_of(field.field)).split("; "))
    }
    assert used == {part for text in SOURCES for part in text.split("; ")}


def _wood_of(name: str, own: OwnWood | None) -> wood.Wood:
    job = make_job(wood=name)
    found = wood.wood_of(dataclasses.replace(job, wood=own))
    assert found is not None
    return found


def test_a_job_gives_its_own_figures() -> None:
    """Own figures go before the table's, with their own source; the rest stays the table's."""
    own = OwnWood(tangential=8.0, green_moisture=65.0, source="own log, weighed (invented)")
    ours = _wood_of("Black cherry", own)
    assert (ours.tangential, ours.radial, ours.green_moisture) == (8.0, 3.7, (65.0, 65.0))
    assert _english(ours.source_of("tangential")) == "own log, weighed (invented)"
    assert _english(ours.source_of("radial")) == "FPL-GTR-190 Table 4-3"
    assert ours.volumetric is None
    unsaid = _wood_of("Black cherry", OwnWood(radial=4.0))
    assert _english(unsaid.source_of("radial")) == "own figure of the job"
    assert not unsaid.is_from_memory("radial")


def test_an_unknown_wood_is_welcome_with_its_own_figures() -> None:
    """A wood that the table lacks has the job's figures alone; the missing ones stay unknown."""
    ours = _wood_of("Wild service", OwnWood(tangential=9.0, along=0.3))
    assert (ours.name, ours.tangential, ours.along, ours.radial) == ("Wild service", 9.0, 0.3, None)
    assert _english(_wood_of("", OwnWood(radial=4.0)).shown_name) == "own wood"
    assert wood.wood_of(make_job()) is None
