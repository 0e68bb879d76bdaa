"""Job files: what reads, what is refused and in which words. Figures invented."""

import dataclasses
import json
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputErrors
from templategen.inputs.job_file import check_cutters, job_from_table, job_to_table, read_job
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.trade import defaults
from templategen.trade.part_kinds import DRAWN_KINDS, PartKind
from templategen.trade.records import (
    Blank,
    DryingWall,
    Job,
    LengthWall,
    Nest,
    OwnWood,
    PinnedCut,
    Print,
    Relief,
    ShareWall,
    Tenon,
    Wall,
)
from templategen.units import Units
from tests.builders import EXAMPLES

BLANK = "[blank]\ndiameter = 400\nheight = 180\n"
HUGE = "0x" + "f" * 5000


def _job(text: str) -> Job:
    return job_from_table(tomllib.loads(text), where="job.toml")


JOB_FAULTS = [
    (
        'title = "x"\n',
        "job.toml: blank.diameter: is missing; give 50 to 1500 mm\n"
        "job.toml: blank.height: is missing; give 20 to 1000 mm",
    ),
    (
        BLANK + "[nest]\nheight_above_centre = -1\nwal = 3\n",
        "job.toml: nest.height_above_centre: -1 mm is out of bounds; give 0 to 50 mm\n"
        "job.toml: nest.wal: unknown key; did you mean 'wall'?",
    ),
    (
        BLANK + 'wood = "Whte ash"\n[nest]\nwall = "drying"\n',
        "job.toml: blank.wood: unknown wood 'Whte ash'; did you mean 'White ash'?",
    ),
    (
        BLANK + '[nest]\nwall = "drying"\n',
        "job.toml: blank.wood: a drying wall needs the wood; name it, or give nest.wall",
    ),
    (
        BLANK + 'outside = ["50", "55"]\n',
        "job.toml: blank.outside: holds something that is no point; "
        "write [[r, z], …] from the rim (z = 0) to the shoulder, z rising",
    ),
    (
        BLANK + "outside = [[190, 0]]\n",
        "job.toml: blank.outside: is not a list of 2 to 500 points; "
        "write [[r, z], …] from the rim (z = 0) to the shoulder, z rising",
    ),
    (
        BLANK + "outside = [[190, 0], [180]]\n",
        "job.toml: blank.outside: holds something that is no point; "
        "write [[r, z], …] from the rim (z = 0) to the shoulder, z rising",
    ),
    *(
        (
            BLANK + f"outside = {points}\n",
            "job.toml: blank.outside: does not run from the rim down inside the blank; "
            "write [[r, z], …] from the rim (z = 0) to the shoulder, z rising",
        )
        for points in (
            "[[190, 1], [180, 90]]",  # begins below the face
            "[[190, 0], [180, 90], [170, 80]]",  # turns back up
            "[[201, 0], [180, 90]]",  # wider than the blank
            "[[190, 0], [180, 181]]",  # deeper than the blank
            "[[190, 0], [0, 90]]",  # on the axis
        )
    ),
    *(
        (
            BLANK + f'[[nest.pinned]]\ncutter = "R80"\n{keys}',
            f"job.toml: nest.pinned[1]: one pair is needed, this has {have}; "
            "give entry_radius and depth_at_axis, or pivot_offset and pivot_standoff",
        )
        for keys, have in (
            ("", "neither"),
            ("entry_radius = 90\n", "entry_radius"),
            (
                "entry_radius = 90\npivot_offset = 3\npivot_standoff = 30\n",
                "entry_radius, pivot_offset, pivot_standoff",
            ),
        )
    ),
    (
        f'date = "2 May"\n{BLANK}[nest]\nadd_cuts = 1\nmax_slope = "9"\nfloor = {HUGE}\n'
        f"setting_tolerance = true\nfinal_moisture = {HUGE}\n",
        "job.toml: date: is not a date; write it as 2026-05-02\n"
        "job.toml: nest.floor: a number of thousands of digits is not a length; "
        'write 40, "40 mm" or "1 3/4 in"\n'
        "job.toml: nest.final_moisture: inf is out of bounds; give 0 to 30\n"
        "job.toml: nest.max_slope: '9' is not a number; give 0 to 60\n"
        "job.toml: nest.setting_tolerance: True is not a length; "
        'write 40, "40 mm" or "1 3/4 in"\n'
        "job.toml: nest.add_cuts: 1 is neither true nor false; write true or false",
    ),
    (
        BLANK + "[nest]\nmin_bowl = [3]\n",
        'job.toml: nest.min_bowl: [3] is not a length; write 40, "40 mm" or "1 3/4 in"',
    ),
    (
        f'title = "{"x" * 201}"\n{BLANK}[nest]\ncutters = "R80"\npinned = 3\n'
        "[print]\nstock = []\nparts = [1]\n",
        "job.toml: title: not a short line of text; use one line of up to 200 letters\n"
        'job.toml: nest.cutters: is not a list of names; write ["one", "two"]\n'
        "job.toml: nest.pinned: is not a list of tables; write [[nest.pinned]], at most 20\n"
        'job.toml: print.parts: is not a list of names; write ["one", "two"]\n'
        'job.toml: print.stock: is not a list of lengths; write [3, "6 mm"], 1 to 8 of them',
    ),
    (
        f"title = {HUGE}\n" + BLANK,
        "job.toml: title: a number of thousands of digits is not text; put it in quotes",
    ),
    ('units = "both"\n' + BLANK, "job.toml: units: 'both' is not known; use mm or in"),
    (
        BLANK + 'wood = "zzzzqqqq"\n[nest]\nwall = "drying"\n',
        "job.toml: blank.wood: unknown wood 'zzzzqqqq'; 'templategen wood' lists the woods; a job "
        "may give figures of its own, [wood]",
    ),
    (
        BLANK + 'wood = "Walnuss"\n[nest]\nwall = "drying"\n',
        "job.toml: blank.wood: 'Walnuss' may be one of these: European walnut (Juglans regia), "
        "Black walnut (Juglans nigra); write the full or the Latin name",
    ),
    (
        BLANK + '[print]\npaper = "a44"\nparts = ["cut plate", "ring"]\nlanguage = "xx"\n',
        "job.toml: print.paper: unknown paper 'a44'; did you mean 'a4'?\n"
        "job.toml: print.parts[2]: 'ring' is not known; did you mean 'tenon ring'?\n"
        "job.toml: print.language: 'xx' is not known; use en or de",
    ),
    (
        BLANK + '[print]\npaper = "20x330"\nparts = ["zzzz"]\n',
        "job.toml: print.paper: '20x330' is out of bounds; give sides of 140 to 1200 mm\n"
        f"job.toml: print.parts[1]: 'zzzz' is not known; known: {', '.join(DRAWN_KINDS)}",
    ),
    (
        BLANK
        + 'wood = "Field maple"\n[wood]\ntangental = 9\nradial = -1\nspecific_gravity = "a"\n'
        + 'green_moisture = nan\ntension_across = "3 bar"\nalong = true\n',
        "job.toml: wood.radial: -1 is out of bounds; give 0.1 to 25\n"
        "job.toml: wood.along: True is not a number; give 0 to 5\n"
        "job.toml: wood.specific_gravity: 'a' is not a number; give 0.1 to 1.3\n"
        "job.toml: wood.green_moisture: nan is out of bounds; give 20 to 300\n"
        "job.toml: wood.tension_across: '3 bar' has no known unit; write a figure in kPa or MPa "
        "or psi\n"
        "job.toml: wood.tangental: unknown key; did you mean 'tangential'?",
    ),
]


@pytest.mark.parametrize(("text", "message"), JOB_FAULTS)
def test_job_faults_in_full(text: str, message: str) -> None:
    """Every fault of a job file in one run, word for word."""
    with pytest.raises(InputErrors) as caught:
        _job(text)
    assert str(caught.value) == message


def test_what_a_job_leaves_out_is_as_in_the_records() -> None:
    """A file of a blank alone; an inch job has the paper that is usual with inches."""
    job = _job(BLANK)
    assert job.blank == Blank(diameter=400, height=180)
    assert (job.nest, job.tenon, job.print) == (Nest(), Tenon(), Print())
    inch = _job('units = "in"\n[blank]\ndiameter = 15\nheight = 6\n')
    assert inch.units is Units.IN
    assert inch.print.paper == defaults.PAPER.inch_value


OWN = """
[[cutters]]
id = "a"
radius = 100
kerf = 9
[rules.nest]
wall = "12 %"
floor = 30
setting_tolerance = 0.5
relief = { shift = 4 }
[rules.tenon]
length = 8
[rules.print]
paper = "a3"
stock = [4, 12]
parts = ["tag"]
"""


def test_a_shop_may_set_any_default_of_its_jobs() -> None:
    """Design §10, [rules]: what a job leaves out comes from the shop, what it says stands."""
    shop = shop_from_table(tomllib.loads(OWN), where="shop.toml")
    blank = {"diameter": 400, "height": 180}
    plain = job_from_table({"blank": blank}, where="", shop_defaults=shop.rules)
    assert plain.nest == Nest(
        wall=ShareWall(0.12),
        floor=30.0,
        setting_tolerance=0.5,
        relief=Relief(shift=4.0),
    )
    assert plain.tenon == Tenon(length=8.0)
    assert plain.print == Print(paper="a3", stock=(4.0, 12.0), parts=(PartKind.TAG,))
    table = {
        "blank": blank,
        "nest": {"wall": 20, "floor": "wall", "relief": False},
        "tenon": {"length": 10},
        "print": {"paper": "letter", "parts": []},
    }
    job = job_from_table(table, where="", shop_defaults=shop.rules)
    assert job.nest.wall == LengthWall(20.0)
    assert (job.nest.floor, job.nest.relief) == (None, None)
    assert job.nest.setting_tolerance == 0.5
    assert job.tenon.length == 10.0
    assert job.print == Print(paper="letter", stock=(4.0, 12.0))


def test_a_named_cutter_must_be_owned() -> None:
    """A job may name only cutters of the shop."""
    job = demo_job()
    check_cutters(job, demo_shop())
    wanting = dataclasses.replace(job, nest=dataclasses.replace(job.nest, cutters=("R81",)))
    with pytest.raises(InputErrors) as caught:
        check_cutters(wanting, demo_shop())
    assert str(caught.value) == (
        "job: nest.cutters: no cutter 'R81' in the shop; the shop has R80, R105, R135, R170"
    )


@pytest.mark.parametrize("name", ["lakeside-400", "small-220", "inch-15"])
def test_a_job_survives_json(name: str) -> None:
    """Table and back: the same job, its unit and so its grid kept."""
    job = read_job(EXAMPLES / f"{name}.toml")
    table = json.loads(json.dumps(job_to_table(job)))
    assert table["units"] == job.units.value
    assert job_from_table(table, where="json") == job


@given(
    units=st.sampled_from((Units.MM, Units.IN)),
    lengths=st.lists(st.floats(50, 1500), min_size=7, max_size=7),
    small=st.floats(1e-7, 20),
    wall=st.one_of(
        st.just(DryingWall()),
        st.builds(ShareWall, st.floats(0.02, 0.3)),
        st.builds(LengthWall, st.floats(3, 200)),
    ),
    relief=st.one_of(st.none(), st.just(Relief(shift=1 / 3, depth=25.4 / 7))),
)
def test_any_job_survives_json(
    units: Units,
    lengths: list[float],
    small: float,
    wall: Wall,
    relief: Relief | None,
) -> None:
    """Whatever the figures and the unit, not a bit of a length is lost on the way."""
    diameter, height, rim, *_ = lengths
    points = ((min(rim, diameter) / 2, 0.0), (min(rim, diameter) / 3, height / 3))
    job = Job(
        title="Invented",
        date="2026-05-02",
        units=units,
        blank=Blank(diameter=diameter, height=min(height, 1000), wood="White ash", outside=points),
        nest=Nest(wall=wall, setting_tolerance=small, relief=relief, min_bowl=rim),
        print=Print(paper="a4"),
    )
    table = json.loads(json.dumps(job_to_table(job)))
    assert job_from_table(table, where="json") == job


def test_pins_and_own_wood_survive_json() -> None:
    """Table and back, in millimetres and in inches."""
    job = demo_job()
    pins = (PinnedCut(cutter="R80", pivot_offset=-1.25, pivot_standoff=30.5),)
    nest = dataclasses.replace(job.nest, wall=ShareWall(0.125), pinned=pins)
    wood = OwnWood(tangential=8.4, tension_across_kpa=4340.5, source="own log (invented)")
    prints = Print(parts=(PartKind.TAG, PartKind.CUT_PLATE), language="de")
    for units in (Units.MM, Units.IN):
        stated = dataclasses.replace(job, nest=nest, wood=wood, units=units, print=prints)
        table = json.loads(json.dumps(job_to_table(stated)))
        assert job_from_table(table, where="json") == stated
