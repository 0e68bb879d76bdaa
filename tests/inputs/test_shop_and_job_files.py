"""Shop and job files: what reads, what is refused and in which words."""

import dataclasses
import json
import os
import tomllib
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError, InputErrors
from templategen.inputs.job_file import check_cutters, job_from_table, job_to_table, read_job
from templategen.inputs.shop_file import read_shop, shop_from_table, shop_to_table
from templategen.inputs.starters import demo_job, demo_shop, starter_files
from templategen.trade.records import (
    Blank,
    DryingWall,
    Job,
    LengthWall,
    Nest,
    Print,
    Relief,
    ShareWall,
    Shop,
    Wall,
)
from templategen.units import Units

EXAMPLES = Path(__file__).parents[2] / "examples"
CUTTER = '[[cutters]]\nid = "a"\nradius = 100\nkerf = 9\n'
BLANK = "[blank]\ndiameter = 400\nheight = 180\n"
HUGE = "0x" + "f" * 5000


def _wood(name: str) -> str | None:
    return None if name == "White ash" else "White ash" if "ash" in name else ""


def _any_wood(_: str) -> str | None:
    return None


def _shop(text: str) -> Shop:
    return shop_from_table(tomllib.loads(text), where="shop.toml")


def _job(text: str) -> Job:
    return job_from_table(tomllib.loads(text), where="job.toml", known_wood=_wood)


SHOP_FAULTS = [
    ("", "shop.toml: cutters: no cutter given; add a [[cutters]] table with radius and kerf"),
    (
        "name = 3\n",
        "shop.toml: name: 3 is not text; put it in quotes\n"
        "shop.toml: cutters: no cutter given; add a [[cutters]] table with radius and kerf",
    ),
    (
        CUTTER.replace("kerf", "kerv"),
        "shop.toml: cutters[1].kerf: is missing; give 1 to 20 mm\n"
        "shop.toml: cutters[1].kerv: unknown key; did you mean 'kerf'?",
    ),
    (
        CUTTER.replace("= 9", "= true"),
        'shop.toml: cutters[1].kerf: True is not a length; write 40, "40 mm" or "1 3/4 in"',
    ),
    (CUTTER + CUTTER, "shop.toml: cutters: id 'a' is used twice; give each its own id"),
    (
        CUTTER + f"[lathe]\npower = {HUGE}\n",
        "shop.toml: lathe.power: a number of thousands of digits has no known unit; "
        "write a figure in W or kW or hp",
    ),
    (
        CUTTER + "section = [9]\n[chuck]\nmax_mas = 3\nmax_speed = -1\n",
        "shop.toml: cutters[1].section: is not a width and a height; write section = [9, 25]\n"
        "shop.toml: chuck.max_speed: -1 is out of bounds; give 20 to 5000\n"
        "shop.toml: chuck.max_mas: unknown key; did you mean 'max_mass'?",
    ),
    (
        CUTTER + "section = 9\n",
        "shop.toml: cutters[1].section: is not a width and a height; write section = [9, 25]",
    ),
    (
        CUTTER + 'section = [9, "5 in"]\n',
        "shop.toml: cutters[1].section: is out of bounds; "
        "give a width of 1 to 60 mm and a height of 1 to 100 mm",
    ),
    (
        CUTTER.replace("= 9", "= 12").replace("= 100", '"20 mm"').replace('radius "', 'radius = "')
        + 'section = [9, "x"]\n[post]\nmin_offset = 30\nmax_offset = -30\n',
        "shop.toml: cutters[1].section: is not a width and a height; write section = [9, 25]\n"
        "shop.toml: post.min_offset: is above max_offset; swap the two",
    ),
    (
        CUTTER.replace("= 9", "= 20").replace("= 100", "= 20"),
        "shop.toml: cutters[1].kerf: is not below the radius; give the width of the tip",
    ),
    (
        CUTTER + "[rules]\ncaution_share = 0.2\nrefuse_share = 0.6\n",
        "shop.toml: rules.refuse_share: is above caution_share; swap the two",
    ),
]

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
        BLANK + 'wood = "Grey ash"\n',
        "job.toml: blank.wood: unknown wood 'Grey ash'; did you mean 'White ash'?",
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
]


@pytest.mark.parametrize(("text", "message"), SHOP_FAULTS)
def test_shop_faults_in_full(text: str, message: str) -> None:
    """Every fault of a shop file, word for word."""
    with pytest.raises(InputErrors) as caught:
        _shop(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(("text", "message"), JOB_FAULTS)
def test_job_faults_in_full(text: str, message: str) -> None:
    """Every fault of a job file, word for word."""
    with pytest.raises(InputErrors) as caught:
        _job(text)
    assert str(caught.value) == message


def test_a_file_that_is_no_file(tmp_path: Path) -> None:
    """Missing, a folder, not UTF-8, too large."""
    missing = tmp_path / "none.toml"
    with pytest.raises(InputError) as caught:
        read_shop(missing)
    assert str(caught.value) == f"{missing}: no such file; check the name"
    with pytest.raises(InputError) as caught:
        read_shop(tmp_path)
    assert str(caught.value) == f"{tmp_path}: is a folder; name a .toml file"
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'name = "caf\xe9"')
    with pytest.raises(InputError) as caught:
        read_shop(latin)
    assert str(caught.value) == "latin.toml: not UTF-8 text; save it as UTF-8"
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * 1_000_001)
    with pytest.raises(InputError) as caught:
        read_shop(large)
    assert str(caught.value) == "large.toml: larger than 1 MB; this is no shop or job file"


def test_any_relief_can_be_given() -> None:
    """True is the usual relief, false none, a table the figures it states and the usual others."""
    assert _job(BLANK + "[nest]\nrelief = true\n").nest.relief == Relief()
    assert _job(BLANK + "[nest]\nrelief = false\n").nest.relief is None
    stated = _job(BLANK + "[nest]\nrelief = { shift = 2 }\n").nest.relief
    assert stated == Relief(shift=2.0, depth=Relief().depth)


HIDDEN = ["\x00", "\x1b", "\x7f", "\x85", "\x9b", "\u200f", "\u2028", "\u202e", "\u2066", "\ufeff"]


@pytest.mark.parametrize("character", HIDDEN, ids=ascii)
def test_hidden_characters_are_refused_and_never_shown(character: str) -> None:
    """C0 and C1 controls and bidirectional marks (UAX #9, Unicode; list from memory).

    Refused in any text, and written out in the fault, also where they stand in a key.
    """
    table = {
        "title": f"a{character}b",
        f"shop{character}": "x",
        "blank": {"diameter": 400, "height": 180},
        "nest": {"cutters": [f"R{character}80"], "wall": f"{character}%"},
    }
    with pytest.raises(InputErrors) as caught:
        job_from_table(table, where="job.toml", known_wood=_wood)
    lines = caught.value.lines()
    written = character.encode("unicode_escape").decode()
    assert [line.split(": ")[1] for line in lines] == [
        "title",
        "nest.wall",
        "nest.cutters",
        f"shop{written}",
    ]
    assert all(character not in line for line in lines)
    assert all(line.isprintable() for line in lines)


def test_letters_of_all_languages_stay() -> None:
    """Accents, fractions and the joiners that some scripts need are no hidden characters."""
    title = "Łukasz Ærø ½ ″ 木 क्‍ष"
    table = {"title": title, "blank": {"diameter": 400, "height": 180}}
    assert job_from_table(table, where="", known_wood=_wood).title == title


def test_a_long_key_or_value_is_cut_short() -> None:
    """One fault is one line that can be read."""
    table = {
        "blank": {"diameter": 400, "height": 180},
        "k" * 5000: 1,
        "nest": {"wall": "x" * 5000 + "%"},
    }
    with pytest.raises(InputErrors) as caught:
        job_from_table(table, where="job.toml", known_wood=_wood)
    assert len(caught.value.lines()) == 2
    assert all(len(line) < 200 for line in caught.value.lines())


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    """A file of 1 TB (of holes) is refused by its size; an endless device by the bound."""
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(10**12)
    tracemalloc.start()
    try:
        with pytest.raises(InputError, match="larger than 1 MB"):
            read_shop(huge)
        assert tracemalloc.get_traced_memory()[1] < 500_000
        if Path("/dev/zero").exists():
            with pytest.raises(InputError, match="larger than 1 MB"):
                read_shop(Path("/dev/zero"))
            assert tracemalloc.get_traced_memory()[1] < 10_000_000
    finally:
        tracemalloc.stop()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_read_to_the_bound(tmp_path: Path) -> None:
    """A pipe that nobody writes to is not waited for; one with a shop in it is read."""
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    with pytest.raises(InputErrors, match="no cutter given"):
        read_shop(pipe)
    if not Path("/dev/fd").exists():
        pytest.skip("this system has no names for open files")
    out, into = os.pipe()
    os.write(into, CUTTER.encode())
    os.close(into)
    try:
        assert read_shop(Path(f"/dev/fd/{out}")).cutters[0].id == "a"
    finally:
        os.close(out)


def test_units_of_power_and_mass() -> None:
    """Horsepower and pounds against their definitions."""
    lathe = _shop(CUTTER + '[lathe]\npower = "2 hp"\nmax_mass = "120 lb"\n').lathe
    # 550 ft lbf/s with the exact foot, pound and standard gravity
    # (definitions of NIST SP 811, from memory).
    assert lathe.power_w == pytest.approx(2 * 550 * 0.3048 * 0.45359237 * 9.80665, rel=1e-6)
    assert lathe.max_mass_kg == pytest.approx(120 * 0.45359237, rel=1e-12)


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


@pytest.mark.parametrize("name", ["lakeside", "small", "inch"])
def test_a_shop_survives_json(name: str) -> None:
    """Table and back: the same shop, its unit kept."""
    shop = read_shop(EXAMPLES / f"{name}-shop.toml")
    table = json.loads(json.dumps(shop_to_table(shop)))
    assert table["units"] == shop.units.value
    assert shop_from_table(table, where="json") == shop


@pytest.mark.parametrize("name", ["lakeside-400", "small-220", "inch-15"])
def test_a_job_survives_json(name: str) -> None:
    """Table and back: the same job, its unit and so its grid kept."""
    job = read_job(EXAMPLES / f"{name}.toml", known_wood=_any_wood)
    table = json.loads(json.dumps(job_to_table(job)))
    assert table["units"] == job.units.value
    assert job_from_table(table, where="json", known_wood=_any_wood) == job


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
    assert job_from_table(table, where="json", known_wood=_any_wood) == job


def test_starters_and_examples_say_that_they_are_invented() -> None:
    """Invented figures are marked as such."""
    texts = [*starter_files().values(), *(p.read_text("utf-8") for p in EXAMPLES.glob("*.toml"))]
    assert len(texts) == 9
    for text in texts:
        assert "invented" in text.splitlines()[0] + text.splitlines()[1]
        assert "(invented)" in text or "(figures invented)" in text


def test_section_and_chuck_come_back() -> None:
    """An inch shop's bar and chuck limits, read, written and read again; 1 lb = 0.45359237 kg."""
    text = (
        'units = "in"\n'
        + CUTTER.replace("100", "4").replace("9", "0.375")
        + 'section = [0.375, "1 in"]\n[chuck]\nmax_mass = "100 lb"\nmax_speed = 600\n'
    )
    shop = _shop(text)
    assert shop.cutters[0].section == pytest.approx((9.525, 25.4))
    assert shop.chuck.max_mass_kg == pytest.approx(45.359237)
    assert shop.chuck.max_speed == 600
    again = shop_from_table(json.loads(json.dumps(shop_to_table(shop))), where="again")
    assert again.cutters == shop.cutters
    assert again.chuck == shop.chuck
