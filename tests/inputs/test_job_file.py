"""Job files: what reads, what is refused and in which words. Figures invented."""

import dataclasses
import tomllib

import pytest

from templategen.errors import InputError, InputErrors
from templategen.inputs.job_file import check_cutters, job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.trade import defaults
from templategen.trade.part_kinds import DRAWN_KINDS, PartKind
from templategen.trade.records import (
    Blank,
    Job,
    LengthWall,
    Nest,
    Print,
    Relief,
    ShareWall,
    Tenon,
)
from templategen.units import Units

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
        BLANK + "[nest.relief]\nshift = 0\ndepth = 25\n",
        "job.toml: nest.relief.shift: is 0: no relief cut; "
        "give shift and depth over 0, or write relief = false",
    ),
    (
        BLANK + "[nest.relief]\nshift = 5\ndepth = 0\n",
        "job.toml: nest.relief.depth: is 0: no relief cut; "
        "give shift and depth over 0, or write relief = false",
    ),
    (
        BLANK + '[nest]\nwanted = [90, 250, 410]\nmin_ratio = 2\nobjective = "evn"\n',
        "job.toml: nest.objective: 'evn' is not known; did you mean 'even'?\n"
        "job.toml: nest.min_ratio: 2 is out of bounds; give 0 to 1\n"
        "job.toml: nest.wanted[1]: is below nest.min_bowl; "
        "give the rim of a bowl that may come out\n"
        "job.toml: nest.wanted[3]: is wider than the blank; "
        "give the rim of a bowl that may come out",
    ),
    (
        BLANK + '[log]\ndiameter = 400\npith = 200\nend_trim = 60\nlength = 110\nrim = "up"\n',
        "job.toml: log.rim: 'up' is not known; use pith or bark\n"
        "job.toml: log.pith: is not below half the diameter; "
        "measure from the pith to the plane of the blank\n"
        "job.toml: log.end_trim: leaves nothing of the log; give what one end loses",
    ),
    (
        'units = "in"\n[blank]\ndiameter = 60\nheight = "600 mm"\n[nest]\nwall = 9\n'
        'min_bowl = "5 mm"\n',
        "job.toml: blank.diameter: 60 in is out of bounds; give 2 to 59 in\n"
        "job.toml: nest.wall: 9 in is out of bounds; give 1/8 to 7 3/4 in\n"
        "job.toml: nest.min_bowl: 5 mm is out of bounds; give 20 to 1500 mm",
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


def test_an_inch_job_has_defaults_that_an_inch_rule_shows() -> None:
    """3/16, 1, 3/8, 1/4, 1/32 in …: whole 1/32 in, each near to the millimetre one."""
    inch = _job(
        'units = "in"\n[blank]\ndiameter = 15\nheight = 6\n[log]\ndiameter = 18\nlength = 40\n'
    )
    metric = _job(BLANK + "[log]\ndiameter = 460\nlength = 900\n")
    assert inch.nest.height_above_centre == pytest.approx(3 / 16 * 25.4)
    assert inch.nest.relief == Relief(shift=4.7625, depth=25.4)
    assert inch.nest.setting_tolerance == pytest.approx(25.4 / 32)
    assert (inch.tenon.length, inch.tenon.shoulder) == pytest.approx((25.4 * 3 / 8, 25.4 / 4))
    for pair in ((inch.nest, metric.nest), (inch.tenon, metric.tenon), (inch.log, metric.log)):
        ours, theirs = map(dataclasses.asdict, pair)  # type: ignore[arg-type]
        for key in ours:
            if isinstance(ours[key], float) and ours[key] != theirs[key] and key not in SIZES:
                assert ours[key] / 25.4 * 32 == pytest.approx(round(ours[key] / 25.4 * 32)), key
                assert ours[key] == pytest.approx(theirs[key], rel=0.3), key


SIZES = ("diameter", "length")  # of a log, which each job states


def test_a_shop_in_another_unit_gives_only_what_it_states() -> None:
    """An inch job in a millimetre shop that states its tenon's length: the rest in inches."""
    shop = shop_from_table(tomllib.loads(OWN), where="shop.toml")
    blank = {"diameter": 15, "height": 6}
    job = job_from_table({"units": "in", "blank": blank}, where="", shop_defaults=shop.rules)
    assert job.tenon.length == 8.0
    assert job.tenon.shoulder == 25.4 / 4
    assert job.print == Print(paper="a3", stock=(4.0, 12.0), parts=(PartKind.TAG,))
    language = shop_from_table(
        tomllib.loads(OWN.partition("[rules.print]")[0] + '[rules.print]\nlanguage = "de"\n'),
        where="shop.toml",
    )
    printed = job_from_table(
        {"units": "in", "blank": blank}, where="", shop_defaults=language.rules
    )
    assert (printed.print.language, printed.print.paper) == ("de", "letter")
    assert job.nest.setting_tolerance == 0.5
    assert job.nest.height_above_centre == pytest.approx(3 / 16 * 25.4)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            '[[cutters]]\nid = "a"\n',
            "job.toml: this is a shop file, not a job file; "
            "give a job file; it names its shop, or --shop does",
        ),
        (
            "[[blanks]]\ndiameter = 400\n",
            "job.toml: this is a club's list, not a job file; use: templategen club",
        ),
    ],
)
def test_a_wrong_kind_of_file_is_one_line(text: str, line: str) -> None:
    """Not a fault for each of its keys."""
    with pytest.raises(InputError) as caught:
        _job(text)
    assert str(caught.value) == line


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
