"""Which defaults count for a job, worked out by hand from its file and its shop's."""

import tomllib

import pytest

from templategen.inputs.starters import starter_files
from templategen.trade.defaults import TABLE
from templategen.trade.defaults_used import defaults_used
from templategen.units import Units


def _keys(job: str, shop: str) -> set[str]:
    found = defaults_used(tomllib.loads(job), tomllib.loads(shop))
    return {entry.key for entry in found}


def test_with_two_empty_files_every_default_counts() -> None:
    """All of the table but for cutters and jaws, which are not there, and a log not stated."""
    apart = ("log.", "cutters.", "jaws.")
    assert _keys("", "") == {entry.key for entry in TABLE if not entry.key.startswith(apart)}


def test_a_key_of_either_file_counts_no_longer() -> None:
    """The job's own key, and the one under [rules] of its shop; a wall settles its policy too."""
    left = _keys(
        'nest.wall = 22\nprint.paper = "a3"\n',
        "[rules]\ncaution_share = 0.45\n[rules.nest]\nmin_bowl = 90\n[rules.tenon]\nshare = 0.4\n",
    )
    stated = {"nest.wall", "nest.wall policy", "print.paper", "rules.caution_share"}
    assert not left & {*stated, "nest.min_bowl", "tenon.share"}
    assert {"nest.min_depth", "tenon.length", "rules.refuse_share", "print.stock"} <= left


@pytest.mark.parametrize(
    ("relief", "left"),
    [
        ("false", set()),
        ("{ shift = 4 }", {"nest.relief.depth"}),
        ("{ shift = 4, depth = 20 }", set()),
        ("true", {"nest.relief.shift", "nest.relief.depth"}),
    ],
)
def test_a_relief_cut_that_is_stated_in_part(relief: str, left: set[str]) -> None:
    """Without a relief cut neither of its figures counts; one that is left out does."""
    found = {key for key in _keys(f"nest.relief = {relief}", "") if key.startswith("nest.relief")}
    assert found == left


def test_one_cutter_that_leaves_a_key_out_is_enough() -> None:
    """Two cutters, one without its greatest swing."""
    assert "cutters.max_swing" in _keys("", "[[cutters]]\nmax_swing = 90\n[[cutters]]\n")
    assert "cutters.max_swing" not in _keys("", "[[cutters]]\nmax_swing = 90\n")


def test_each_value_is_in_the_unit_of_its_file() -> None:
    """An inch job in a millimetre shop; 3/16 in is the inch default of the cutter's height."""
    used = defaults_used({"units": "in", "log": {}}, {"units": "mm", "jaws": [{}]})
    shown = {entry.key: str(entry.value) for entry in used}
    assert shown["nest.height_above_centre"] == "3/16 in"
    assert shown["print.stock"] == "1/8 in, 1/4 in, 3/4 in"
    assert shown["post.min_offset"] == "-30 mm"
    assert shown["jaws.dovetail_angle"] == "10°"
    assert shown["log.rim"] == "pith"
    assert shown["print.has_shop_set"] == "false"
    assert shown["fixed: tenon clearance"] == "1.5 mm"
    assert all(entry.ground for entry in used)


@pytest.mark.parametrize("units", [Units.MM, Units.IN])
def test_the_starter_files_leave_only_what_they_show_as_a_default(units: Units) -> None:
    """What counts for the starter files stands in them behind a #."""
    files = starter_files("en", units)
    commented = {
        line[1:].partition(" =")[0]
        for text in files.values()
        for line in text.splitlines()
        if line.startswith("#") and line[1:2].isalpha()
    }
    left = _keys(files["job.toml"], files["shop.toml"])
    assert {key.rpartition(".")[2] for key in left if not key.startswith("fixed")} == (
        commented - {"floor"}
    )
