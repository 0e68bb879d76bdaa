"""The wood table against the handbook's printings, names, and a job's own figures."""

import csv
import dataclasses
from pathlib import Path

import pytest

from templategen.errors import InputError
from templategen.messages import ENGLISH_WORDING, Text
from templategen.trade import wood
from templategen.trade.records import OwnWood
from tests.builders import make_job


def _english(text: Text) -> str:
    return ENGLISH_WORDING.text(text)


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


def test_names_known_near_and_strange() -> None:
    """A known name counts in upper and lower case; a slip has a near name, a strange word none."""
    assert wood.is_wood("red alder")
    assert not wood.is_wood("red aldr")
    assert not wood.is_wood("")
    assert wood.nearest_wood("red aldr") == "Red alder"
    assert wood.nearest_wood("zzzzqqqq") == ""


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


def test_every_source_of_the_table_is_in_the_catalogue() -> None:
    """Each source is one or more of `SOURCES`, which are entered for translation."""
    used = {
        part
        for row in wood.woods()
        for field in wood.PROPERTIES
        if field.field != "along"
        for part in filter(None, _english(row.source_of(field.field)).split("; "))
    }
    assert used == {part for text in wood.SOURCES for part in text.split("; ")}


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
    ours = _wood_of("Field maple", OwnWood(tangential=9.0, along=0.3))
    assert (ours.name, ours.tangential, ours.along, ours.radial) == ("Field maple", 9.0, 0.3, None)
    assert _english(_wood_of("", OwnWood(radial=4.0)).shown_name) == "own wood"
    assert wood.wood_of(make_job()) is None
