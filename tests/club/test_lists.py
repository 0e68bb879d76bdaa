"""Lists, records and long files: what is refused before it is worked on, and in which place."""

import dataclasses
import hashlib
import os
from pathlib import Path

import pytest

from templategen.club.entries import MOST_ENTRIES, numbered
from templategen.club.lists import MOST_PAPERS, check_entry, read_club
from templategen.errors import InputError, InputErrors, LimitError
from templategen.inputs.shop_file import shop_from_table
from templategen.inputs.starters import demo_job, demo_shop
from templategen.inputs.toml_table import MOST_FAULTS, read_toml
from templategen.inputs.weighings import MOST_BOWLS, MOST_ROWS, read_record
from templategen.messages import ENGLISH_WORDING
from templategen.nest.identity import LONGEST, identity
from templategen.nest.planner import make_plan
from templategen.trade.records import DryingWall, LengthWall, ShareWall

BLANKS = '[[blanks]]\nname = "A"\ndiameter = 300\nheight = 140\n'


def _file(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("nest = 3\n" + BLANKS, "list.toml: nest", "not a table"),
        ('tenon = "x"\n' + BLANKS, "list.toml: tenon", "not a table"),
        ('name = "none"\n', "list.toml: blanks", "no entry"),
        ("blanks = []\n", "list.toml: blanks", "no entry"),
        ("blanks = 3\n", "list.toml: blanks", "no entry"),
        (BLANKS * (MOST_ENTRIES + 1), "list.toml: blanks", f"{MOST_ENTRIES + 1} entries"),
        ('[nest]\nwal = "10 %"\n' + BLANKS, "list.toml: nest.wal", "unknown key"),
        ('date = "x"\n' + BLANKS, "list.toml: date", "not a date"),
        ('language = "tlh"\n' + BLANKS, "list.toml: language", "not known"),
    ],
)
def test_a_list_whose_settings_are_wrong(text: str, place: str, words: str, tmp_path: Path) -> None:
    """Told once, at its own place, before any entry is looked at."""
    with pytest.raises(InputErrors) as caught:
        read_club(_file(tmp_path, "list.toml", text))
    (line,) = caught.value.lines()
    assert line.startswith(f"{place}: ")
    assert words in line


def test_a_list_in_another_language_and_with_a_date(tmp_path: Path) -> None:
    """A language there is, a TOML date, a name of its own, and as many entries as may be."""
    text = 'language = "de"\ndate = 2026-05-02\nname = "Club"\nfull = true\n' + BLANKS * 3
    club = read_club(_file(tmp_path, "list.toml", text))
    assert club.settings.language == "de"
    assert club.settings.date == "2026-05-02"
    assert club.settings.full
    assert club.count == 3
    raws = list(club.entries())
    assert [raw.number for raw in raws] == [1, 2, 3]
    assert raws[0].named_place(ENGLISH_WORDING) == 'list.toml: blanks[1] "A"'
    bare = read_club(_file(tmp_path, "bare.csv", "diameter,height\n300,140\n"))
    (only,) = bare.entries()
    assert only.named_place(ENGLISH_WORDING) == "bare.csv line 2"


def test_a_list_that_cannot_be_read(tmp_path: Path) -> None:
    """No file, a folder, no text, no list by its ending, an empty one."""
    folder = tmp_path / "folder.csv"
    folder.mkdir()
    latin = tmp_path / "latin.csv"
    latin.write_bytes(b"name,diameter,height\ncaf\x81,300,140\n")  # no letter of Windows-1252
    for path, words in (
        (tmp_path / "none.csv", "no such file"),
        (folder, "cannot be read"),
        (latin, "not UTF-8"),
        (_file(tmp_path, "list.txt", ""), "no list"),
        (_file(tmp_path, "bare.csv", "diameter,height\n\n , \n"), "holds no entry"),
    ):
        with pytest.raises(InputError, match=words):
            read_club(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_list_is_no_pipe(tmp_path: Path) -> None:
    """A .csv list is read twice, which a pipe cannot be."""
    os.mkfifo(tmp_path / "list.csv")
    with pytest.raises(InputError, match="is no file"):
        read_club(tmp_path / "list.csv")


def test_parts_and_date_of_a_list_reach_its_entries(tmp_path: Path) -> None:
    """What is set for the whole list is so in every job; an entry's own date comes first."""
    text = (
        'parts = ["setting card"]\ndate = 2026-05-02\n'
        + BLANKS
        + BLANKS.replace('"A"', '"B"')
        + "date = 2026-06-03\n"
    )
    club = read_club(_file(tmp_path, "list.toml", text))
    jobs = [check_entry(raw, club.settings, folder=tmp_path).job for raw in club.entries()]
    assert [job.print.parts for job in jobs] == [("setting card",)] * 2
    assert [job.date for job in jobs] == ["2026-05-02", "2026-06-03"]


def test_papers_of_an_entry(tmp_path: Path) -> None:
    """Parted by blanks, semicolons or plus signs, each once; too many are refused."""
    many = " ".join(["a4"] * (MOST_PAPERS + 1))
    path = _file(
        tmp_path,
        "list.csv",
        f"name,diameter,height,paper\nA,300,140,a4+letter; a4\nB,300,140,\nC,300,140,{many}\n",
    )
    club = read_club(path)
    first, second, third = club.entries()

    def papers(raw: object) -> tuple[str, ...]:
        return check_entry(
            raw,  # type: ignore[arg-type]
            club.settings, folder=tmp_path,
        ).papers  # fmt: skip

    assert papers(first) == ("a4", "letter")
    assert papers(second) == ("a4",)
    with pytest.raises(InputErrors, match=f"{MOST_PAPERS + 1} papers"):
        papers(third)


def test_faults_of_an_entry_stand_where_a_person_finds_them(tmp_path: Path) -> None:
    """In the line of the list, or in the job file that the line names."""
    _file(tmp_path, "shop.toml", '[[cutters]]\nid = "A"\nradius = 80\nkerf = 9\n')
    _file(tmp_path, "job.toml", 'shop = "shop.toml"\n[blank]\ndiameter = 300\nheight = -1\n')
    path = _file(tmp_path, "list.csv", "job,diameter,height\njob.toml,,\n,300,-1\n")
    club = read_club(path)
    lines = []
    for raw in club.entries():
        with pytest.raises(InputErrors) as caught:
            check_entry(raw, club.settings, folder=tmp_path)
        (line,) = caught.value.lines()
        lines.append(line)
    assert lines[0].startswith("job.toml: blank.height: -1 mm")
    assert lines[1].startswith("list.csv line 3: height: -1 mm")


def test_thousands_of_faults_are_told_up_to_a_bound() -> None:
    """A file with wrong keys by the thousand is one screen of lines, the last saying so."""
    cutters = [{"id": f"c{n}", "radius": 80, "kerf": 9, "x": 1} for n in range(30)]
    table = {f"k{n:05}": n for n in range(5000)}
    for bad in ({"cutters": cutters, **table}, {"cutters": [*cutters, *([{}] * 30)]}):
        with pytest.raises(InputErrors) as caught:
            shop_from_table(bad, where="shop.toml")
        lines = caught.value.lines()
        assert len(lines) == MOST_FAULTS + 1
        assert "more faults" in lines[-1]


def test_a_key_of_very_many_parts(tmp_path: Path) -> None:
    """A dotted key nests a table a part: refused before it is read."""
    deep = ".".join("a" * 3000)
    with pytest.raises(LimitError, match="a key of more than"):
        read_toml(_file(tmp_path, "deep.toml", f"{deep} = 1\n"))


def test_rows_that_are_wrong_by_the_hundred(tmp_path: Path) -> None:
    """The first hundred are named, the others counted."""
    rows = "".join(f"2026-05-02,a,{n} stone\n" for n in range(103))
    record = read_record(_file(tmp_path, "record.csv", "date,identity,mass_g\n" + rows))
    lines = [str(fault) for fault in record.faults]
    assert len(lines) == 101
    assert lines[99].startswith("record.csv: line 101")
    assert "3 more rows" in lines[-1]


def test_records_too_long_to_read(tmp_path: Path) -> None:
    """Too many rows, too many pieces, and no row at all."""
    head = "date,identity,mass_g\n"
    rows = "".join(f"2026-05-02,p{n},500\n" for n in range(MOST_BOWLS + 1))
    for text, words in (
        ("", "is empty"),
        ("# nothing but a remark\n", "is empty"),
        (head + "2026-05-02,a,500\n" * MOST_ROWS, f"more than {MOST_ROWS} rows"),
        (head + rows, f"more than {MOST_BOWLS} bowls"),
    ):
        with pytest.raises(InputError, match=words):
            read_record(_file(tmp_path, "record.csv", text))


@pytest.mark.parametrize(
    ("title", "stem"),
    [
        ("Lakeside", "lakeside"),
        ("Lakeside ash", "lakeside-ash"),  # twelve letters
        ("Lakeside elms", "lakeside"),  # would be thirteen
        ("A B C D E F G H", "a-b-c-d-e-f"),
        ("Grossvaterstuhlholz", "grossvaterst"),
        ("  Ähre: #2!", "aehre-2"),
        ("3 · Łukasz Wójcik", "3-lukasz"),
        ("栗", "blank"),
        ("", "blank"),
    ],
)
def test_the_name_of_a_piece(title: str, stem: str) -> None:
    """Whole words of the title up to twelve letters, four digits by SHA-256, the number."""
    job = dataclasses.replace(demo_job(), title=title, date="2026-05-02")
    blank = job.blank
    told = f"{title}\n2026-05-02\n{blank.wood}\n{blank.diameter:.3f}\n{blank.height:.3f}"
    check = hashlib.sha256(told.encode()).hexdigest()[:4]
    assert identity(job, 3) == f"{stem}-{check}-3"
    assert len(stem) <= LONGEST == 12


BAD = [
    ("name,diamter,height\n", "unknown heading 'diamter'; did you mean 'diameter'?"),
    ("name,wood\n", "names neither job nor diameter and height"),
    ("diameter,height,height\n", "heading 'height' twice"),
    ("diameter,height\n", "holds no entry"),
    ("diameter,height\n3,\xff\x8d\n", "not UTF-8 text"),
    ("diameter,height\n" + "3" * 30_000, "longer than 20000 letters"),
    ('diameter,height\n"3,4\n', "not CSV: "),
    ("diameter,height\n" + "300,140\n" * 10_001, "more than 10000 entries"),
]


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_tables_of_several_makers(mark: str, tmp_path: Path) -> None:
    """Comma, semicolon or tab, with a byte order mark, quotes, empty lines and old line ends."""
    lines = [
        "name,diameter,height,wood,paper",
        '"Anna",16 in,180,,a4 letter',
        ",,,,",
        "B,300,140,,",
    ]
    text = "\r\n".join(line.replace(",", mark) for line in lines)
    path = tmp_path / "list.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    read = read_club(path)
    entries = list(read.entries())
    assert read.count == len(entries) == 2
    assert entries[0].values == {
        "name": "Anna",
        "diameter": "16 in",
        "height": "180",
        "paper": "a4 letter",
    }
    assert entries[1].place(ENGLISH_WORDING) == "list.csv line 4"


@pytest.mark.parametrize(("text", "message"), BAD, ids=[m for _, m in BAD])
def test_bad_tables(text: str, message: str, tmp_path: Path) -> None:
    """A list that cannot be read ends before anything is made, with place and mend."""
    path = tmp_path / "list.csv"
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(InputError) as caught:
        read_club(path)
    assert message in str(caught.value)
    assert str(caught.value).startswith(("list.csv", str(path)))


def test_a_list_in_the_code_page_of_a_spreadsheet(tmp_path: Path) -> None:
    """Windows-1252 where it cannot be UTF-8: umlauts, a euro sign and typographic quotes."""
    path = tmp_path / "list.csv"
    path.write_bytes("name;diameter;height\r\nJörg „5 €“;400,5;180\r\n".encode("cp1252"))
    (entry,) = read_club(path).entries()
    assert entry.values == {"name": "Jörg „5 €“", "diameter": "400.5", "height": "180"}


def test_a_list_as_a_german_spreadsheet_writes_it(tmp_path: Path) -> None:
    """Byte order mark, semicolons, decimal commas, dates with dots, quoted fields, old line ends.

    The first line may name the mark between the fields. A dot between thousands is refused as it
    was written.
    """
    text = (
        "sep=;\r\nname;diameter;height;wood;wall;date;units\r\n"
        '"Müller; ""Hans""";400,5;180;Bergahorn;"12,5 %";02.05.2026;\r\n'
        ';"15,75";6,5;;;2.5.2026;in\r\n'
        "C;1.400,5;180;;;;\r\n"
    )
    path = tmp_path / "list.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    club = read_club(path)
    raws = list(club.entries())
    first, second = (check_entry(raw, club.settings, folder=tmp_path) for raw in raws[:2])
    assert first.name == 'Müller; "Hans"'
    assert first.job.blank.diameter == 400.5
    assert first.job.nest.wall == ShareWall(0.125)
    assert second.job.blank.diameter == pytest.approx(15.75 * 25.4)
    assert second.job.blank.height == pytest.approx(6.5 * 25.4)
    assert first.job.date == second.job.date == "2026-05-02"
    assert raws[1].place(ENGLISH_WORDING) == "list.csv line 4"
    with pytest.raises(InputError, match=r"line 5: diameter: '1\.400,5' is not a length"):
        check_entry(raws[2], club.settings, folder=tmp_path)


WOOD_FAULTS = {
    "Unbekanntholz": "unknown wood 'Unbekanntholz'",
    "": "no wood is named",
    "Ahorn": "'Ahorn' may be one of these",
    "栗": "unknown wood '栗'",
}


@pytest.mark.parametrize("wood", WOOD_FAULTS)
def test_an_unknown_wood_leaves_no_bench_out(wood: str, tmp_path: Path) -> None:
    """Unknown, unclear or not named: also where the wall follows the drying, a plan is made.

    Then the wall is a tenth of the rim (common practice, no source), and that is told with what
    is wrong with the name. With a wall of its own the bench keeps it; an unknown name is told.
    """
    cutters = '[[cutters]]\nid = "A"\nradius = 105\nkerf = 9\n'
    jaws = '[[jaws]]\nid = "J"\ntrue_circle = 130\ndepth = 14\n'
    _file(tmp_path, "shop.toml", f'{cutters}{jaws}[rules.nest]\nwall = "drying"\n')
    blank = f'wood = "{wood}"\ndiameter = 300\nheight = 140\n'
    _file(tmp_path, "job.toml", f'shop = "shop.toml"\n[blank]\n{blank}')
    text = f'[nest]\nwall = "drying"\n[[blanks]]\n{blank}[[blanks]]\njob = "job.toml"\n'
    club = read_club(_file(tmp_path, "list.toml", text))
    settings = dataclasses.replace(club.settings, shop=tmp_path / "shop.toml")
    for raw in club.entries():
        entry = check_entry(raw, settings, folder=tmp_path)
        assert entry.job.nest.wall == ShareWall(0.1)
        (note,) = entry.notes
        told = ENGLISH_WORDING.text(note)
        assert told.startswith(WOOD_FAULTS[wood])
        assert told.endswith(": wall 10 % of the rim, no drying figures")
        assert make_plan(entry.job, entry.shop, with_suggestions=False).bowls
    (raw, _) = club.entries()
    own = check_entry(raw, dataclasses.replace(settings, nest={"wall": 20}), folder=tmp_path)
    assert own.job.nest.wall == LengthWall(20.0)
    is_unknown = WOOD_FAULTS[wood].startswith("unknown")
    assert [ENGLISH_WORDING.text(note).split(":")[0] for note in own.notes] == (
        [WOOD_FAULTS[wood]] if is_unknown else []
    )
    known = dataclasses.replace(settings, nest={})
    entry = check_entry(
        dataclasses.replace(raw, values={**raw.values, "wood": "Black cherry"}),
        known,
        folder=tmp_path,
    )
    assert entry.job.nest.wall == DryingWall()
    assert entry.notes == ()


def test_numbers_stay_with_their_entries(tmp_path: Path) -> None:
    """Known entries keep theirs, in whatever order; no number is given to another entry."""
    text = "name,diameter,height,job\nB,300,140,\na,300,140,\n,300,140,\n,,,j.toml\nA ,300,140,\n"
    club = read_club(_file(tmp_path, "list.csv", text))
    known = {"a": 7, "gone": 9}
    benches = list(numbered(club.entries(), known))
    assert [bench.number for bench in benches] == [10, 7, 11, 12, 13]
    assert [bench.again for bench in benches] == [1, 1, 1, 1, 2]
    again = list(numbered(iter(list(club.entries())[::-1]), known))
    assert [bench.number for bench in again] == [7, 12, 11, 13, 10]


def test_a_list_of_empty_lines_ends(tmp_path: Path) -> None:
    """A hundred thousand lines are read, no more, however little is in them."""
    with pytest.raises(LimitError, match="more than 100000 lines"):
        read_club(_file(tmp_path, "list.csv", "diameter,height\n" + "\n" * 200_000))


def test_shop_of_an_entry(tmp_path: Path) -> None:
    """An entry's own shop comes first, then its job's, then the list's; without one, the demo's."""
    for name, cutter in (("one", "Alpha"), ("two", "Beta"), ("three", "Gamma")):
        (tmp_path / f"{name}.toml").write_text(
            f'[[cutters]]\nid = "{cutter}"\nradius = 80\nkerf = 9\n[rules.tenon]\nlength = 7\n'
        )
    job = "[blank]\ndiameter = 300\nheight = 140\n"
    (tmp_path / "job.toml").write_text(f'shop = "two.toml"\n{job}')
    (tmp_path / "bare.toml").write_text(job)
    path = tmp_path / "list.csv"
    path.write_text(
        "job,shop,diameter,height\njob.toml,three.toml,,\njob.toml,,,\nbare.toml,,,\n,,300,140\n"
    )
    settings = dataclasses.replace(read_club(path).settings, shop=tmp_path / "one.toml")
    found = []
    for raw in read_club(path).entries():
        entry = check_entry(raw, settings, folder=tmp_path)
        shop = entry.shop
        assert entry.job.tenon.length == 7  # the shop's own default
        found.append(shop.cutters[0].id)
    assert found == ["Gamma", "Beta", "Alpha", "Alpha"]
    raws = list(read_club(path).entries())
    bare = read_club(path).settings
    assert check_entry(raws[3], bare, folder=tmp_path).shop == demo_shop()
    with pytest.raises(InputError, match="names no shop"):
        check_entry(raws[2], bare, folder=tmp_path)


def test_a_job_file_is_not_mixed_with_sizes(tmp_path: Path) -> None:
    """What a job file states cannot be said again in the list; too many fields are told."""
    path = tmp_path / "list.csv"
    path.write_text("name,job,diameter,height\nA,job.toml,300,\nB,,300,140,9\n")
    first, second = read_club(path).entries()
    settings = read_club(path).settings
    with pytest.raises(InputError, match=r"list\.csv line 2: diameter: not with"):
        check_entry(first, settings, folder=tmp_path)
    with pytest.raises(InputError, match=r"line 3: 5 fields under 4 headings; .* ',' in quotes"):
        check_entry(second, settings, folder=tmp_path)
