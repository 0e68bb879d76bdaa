"""Faults and starter files in the turner's language; figures of files stay figures of files."""

import dataclasses
import gettext
import json
import string
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from templategen import messages as wording
from templategen.cli.speech import settle
from templategen.club.lists import check_entry, read_club
from templategen.errors import GeometryError, InputError, InputErrors, TemplategenError
from templategen.geometry.cuts import radius_from_chord
from templategen.geometry.offset import offset_outline
from templategen.inputs.job_file import check_cutters, job_from_table, job_to_table, read_job
from templategen.inputs.shop_file import name_of, read_shop, shop_from_table, shop_to_table
from templategen.inputs.starters import NAMES, demo_job, demo_shop, starter_files
from templategen.inputs.weighings import read_record, with_identity
from templategen.trade.drying import emc
from templategen.trade.jaws import Grip
from templategen.trade.records import OwnWood, Pinned, Relief, ShareWall
from templategen.trade.seasoning import State
from templategen.trade.wood import FIGURES, OWN_SOURCE, SOURCES, find_wood, nearest_wood, woods
from templategen.units import Units, parse_length, printed_length, written_length

GERMAN = {
    "0.5": "0,5",
    "50%": "50 %",
    "is missing": "fehlt",
    "give {low} to {high}": "{low} bis {high} angeben",
    "{value} is out of bounds": "{value} liegt außerhalb der Grenzen",
    "unknown key": "unbekannter Schlüssel",
    "unknown wood {name!r}": "unbekanntes Holz {name!r}",
    "did you mean {name!r}?": "{name!r} gemeint?",
    "{value} is not a length": "{value} ist keine Länge",
    'write 40, "40 mm" or "1 3/4 in"': '40, "40 mm" oder "1 3/4 in" schreiben',
    "write a decimal point, as in 22.5": "einen Dezimalpunkt schreiben, wie in 22.5",
    "{value} is not known": "{value} ist nicht bekannt",
    "use {choice}": "{choice} verwenden",
    "{first} or {other}": "{first} oder {other}",
    "not TOML: {reason}": "kein TOML: {reason}",
    "{reason} (at line {line}, column {column})": "{reason} (Zeile {line}, Spalte {column})",
    "Invalid value": "ungültiger Wert",
    "Expected newline or end of document after a statement": "nach dem Wert steht noch etwas "
    "in der Zeile",
    "mend that line": "diese Zeile berichtigen",
    "no cutter {name!r} in the shop": "kein Messer {name!r} in der Werkstatt",
    "job: {key}": "Auftrag: {key}",
    "the shop has {names}": "vorhanden: {names}",
    "{file} line {number}": "{file} Zeile {number}",
    "{file}: line {number}": "{file}: Zeile {number}",
    "{mass:g} g is far from the other weighings": "{mass:g} g liegt weit ab von den anderen "
    "Wägungen",
    "check the unit and the piece": "Einheit und Stück prüfen",
    "cannot be read ({reason})": "lässt sich nicht lesen ({reason})",
    "File name too long": "Dateiname zu lang",
    "shop": "Werkstatt",
    "Untitled blank": "Rohling ohne Titel",
    "own figure of the job": "eigener Wert des Auftrags",
    "FPL-GTR-190 Table 4-3": "FPL-GTR-190, Tabelle 4-3",
}
SHOP = '[[cutters]]\nid = "R"\nradius = 100\nkerf = 9\n'
BLANK = "[blank]\ndiameter = 400\nheight = 180\n"


class Words(gettext.NullTranslations):
    """The German of this file."""

    def gettext(self, message: str) -> str:
        return GERMAN.get(message, message)


class Fenced(gettext.NullTranslations):
    """Every wording in brackets, and a decimal comma: shows what passes the catalogue by."""

    def gettext(self, message: str) -> str:
        return {"0.5": "0,5", "50%": "50 %"}.get(message, f"‹{message}›")


def _german() -> object:
    return wording.speaking("de", Words())


def _fenced() -> object:
    return wording.speaking("de", Fenced())


def _file(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _job(folder: Path, text: str) -> None:
    read_job(_file(folder, "job.toml", text), known_wood=nearest_wood)


def _shop(folder: Path, text: str) -> None:
    read_shop(_file(folder, "shop.toml", text))


def _club(folder: Path, name: str, text: str) -> None:
    listed = read_club(_file(folder, name, text))
    for raw in listed.entries():
        check_entry(raw, listed.settings, folder=folder, known_wood=nearest_wood)


def _record(folder: Path, text: str) -> None:
    record = read_record(_file(folder, "record.csv", text))
    if record.faults:
        raise InputErrors(record.faults)


TYPICAL: list[tuple[Callable[[Path], None], str]] = [
    (
        lambda f: _job(f, '[blank]\ndiameter = 400\nheigth = 180\nwood = "Blak cherry"\n'),
        "job.toml: blank.height: fehlt; 20 bis 1000 mm angeben\n"
        "job.toml: blank.wood: unbekanntes Holz 'Blak cherry'; 'Black cherry' gemeint?\n"
        "job.toml: blank.heigth: unbekannter Schlüssel; 'height' gemeint?",
    ),
    (
        lambda f: _job(f, BLANK + "[print]\nstock = [0.25]\n"),
        "job.toml: print.stock[1]: 0.25 mm liegt außerhalb der Grenzen; 0.5 bis 100 mm angeben",
    ),
    (
        lambda f: _job(f, 'units = "yd"\n' + BLANK + '[nest]\nwall = "22,5 mm"\n'),
        "job.toml: units: 'yd' ist nicht bekannt; mm oder in verwenden\n"
        "job.toml: nest.wall: '22,5 mm' ist keine Länge; "
        "einen Dezimalpunkt schreiben, wie in 22.5",
    ),
    (
        lambda f: _shop(f, SHOP.replace("100", "'wide'")),
        "shop.toml: cutters[1].radius: 'wide' ist keine Länge; "
        '40, "40 mm" oder "1 3/4 in" schreiben',
    ),
    (
        lambda f: _job(f, BLANK + "[nest]\nwall = 22,5  # mm\n"),
        "job.toml: kein TOML: nach dem Wert steht noch etwas in der Zeile (Zeile 5, Spalte 10); "
        "einen Dezimalpunkt schreiben, wie in 22.5",
    ),
    (
        lambda f: _job(f, "[blank]\ndiameter = wide\n"),
        "job.toml: kein TOML: ungültiger Wert (Zeile 2, Spalte 12); diese Zeile berichtigen",
    ),
    (
        lambda f: _record(
            f, "date,mass\n2026-01-01,1000\n2026-01-02,998\n2026-01-03,9.5\n2026-01-04,995\n"
        ),
        "record.csv: Zeile 4: 9,5 g liegt weit ab von den anderen Wägungen; "
        "Einheit und Stück prüfen",
    ),
    (
        lambda f: _club(f, "list.csv", "diameter,height\n300,wide\n"),
        'list.csv Zeile 2: height: \'wide\' ist keine Länge; 40, "40 mm" oder "1 3/4 in" schreiben',
    ),
]


@pytest.mark.parametrize(("act", "text"), TYPICAL)
def test_typical_faults_come_out_whole(
    act: Callable[[Path], None], text: str, tmp_path: Path
) -> None:
    """A fault in German, word for word; figures to be typed into a file keep their point."""
    with _german(), pytest.raises(InputError) as caught:
        act(tmp_path)
    assert str(caught.value) == text


def test_the_machines_reasons_are_translated(tmp_path: Path) -> None:
    """What the machine says stands in the sentence in the same language."""
    path = tmp_path / ("x" * 300 + ".toml")
    with _german(), pytest.raises(InputError) as caught:
        read_shop(path)
    assert caught.value.what == "lässt sich nicht lesen (Dateiname zu lang)"


def test_places_in_the_job_are_named_in_the_language() -> None:
    """The word for the job before a key of its file."""
    job = demo_job()
    wanting = dataclasses.replace(job, nest=dataclasses.replace(job.nest, cutters=("R9",)))
    with _german(), pytest.raises(InputErrors) as caught:
        check_cutters(wanting, demo_shop())
    assert str(caught.value) == (
        "Auftrag: nest.cutters: kein Messer 'R9' in der Werkstatt; vorhanden: R80, R105, R135, R170"
    )


LINE = "date;mass;identity\n"
EVERY: list[Callable[[Path], None]] = [
    lambda f: _job(f, "units = 3\nblank = 4\ntitle = 5\ndate = 'then'\nown = 1\n"),
    lambda f: _job(f, f"title = '{'x' * 300}'\n" + BLANK + "[wood]\nsource = 'a\\u202e'\n"),
    lambda f: _job(f, 'title = "a\\u202e"\n' + BLANK + "[tenon]\nshare = true\nlength = nan\n"),
    lambda f: _job(f, BLANK + "wood = 'zzzz'\noutside = 3\n[print]\nparts = 'all'\nstock = 3\n"),
    lambda f: _job(f, BLANK + "outside = [3, 4]\n[print]\nparts = ['a\\u202e']\n"),
    lambda f: _job(f, BLANK + "outside = [['a', 1], [2, 3]]\n"),
    lambda f: _job(f, BLANK + "outside = [[90, 3], [80, 1]]\n[nest]\nwall = '99 %'\n"),
    lambda f: _job(f, BLANK + "[nest]\nwall = 'drying'\nadd_cuts = 1\npinned = 3\n"),
    lambda f: _job(f, BLANK + "[[nest.pinned]]\n[[nest.pinned]]\nentry_radius = 3\n"),
    lambda f: _job(f, BLANK + "[wood]\ntension_across = '5 bar'\n"),
    lambda f: _shop(f, "jaws = []\ncutters = []\nlathe = { power = '1,5 kW' }\n"),
    lambda f: _shop(f, SHOP + "section = 3\n" + SHOP + "section = [9, 900]\n"),
    lambda f: _shop(f, SHOP.replace("9", "19").replace("100", "20") + "[lathe]\npower = 3\n"),
    lambda f: _shop(f, "[[cutters]]\nradius = 20\nkerf = 20\n[post]\nmin_offset = 200\n"),
    lambda f: _shop(f, SHOP + "[rules]\nrefuse_share = 0.7\nmax_coring_speed = 9000\n"),
    lambda f: _shop(f, SHOP + "[[jaws]]\nid = 'a'\ntrue_circle = 50\ndepth = 9\njaw_count = 3.5\n"),
    lambda f: _shop(f, "[[cutters]]\n" * 61),
    lambda f: _shop(f, "#" * 1_000_001),
    lambda f: read_shop(f),
    lambda f: read_shop(f / "none.toml"),
    lambda f: (f / "bad.toml").write_bytes(b"\xff") and read_shop(f / "bad.toml"),
    lambda f: _club(f, "list.txt", ""),
    lambda f: _club(f, "list.toml", "nest = 3\n"),
    lambda f: _club(f, "list.toml", "[[blanks]]\njob = 'j'\nwall = 3\npaper = 'a b c d e f g h i'"),
    lambda f: _club(f, "list.toml", "blanks = [3]\n"),
    lambda f: _file(f, "j.toml", BLANK) and _club(f, "list.toml", "[[blanks]]\njob = 'j.toml'\n"),
    lambda f: _club(f, "list.csv", "diameter,height\n"),
    lambda f: _club(f, "list.csv", "name\nx\n"),
    lambda f: _club(f, "list.csv", "diametre,height\n1,2\n"),
    lambda f: _club(f, "list.csv", "zzzz,height\n1,2\n"),
    lambda f: _club(f, "list.csv", "height,height\n1,2\n"),
    lambda f: _club(f, "list.csv", "diameter,height\n1,2,3\n"),
    lambda f: _club(f, "list.csv", 'diameter,height\n"1"x,2\n'),
    lambda f: _club(f, "list.csv", "diameter,height\n" + "1" * 30_000 + "\n"),
    lambda f: read_club(f / "none.csv") and None,
    lambda f: _record(f, ""),
    lambda f: _record(f, "when;mass\n"),
    lambda f: _record(f, LINE + "2026-01-01\nthen;3;a\n2300-01-01;3;a\n2026-01-01;heavy;a\n"),
    lambda f: _record(f, LINE + "2026-01-01;0.1;a\n"),
    lambda f: _record(f, "date,mass,more,even\n2026-01-01,1,234,\n"),
    lambda f: (
        with_identity(read_record(_file(f, "r.csv", LINE + "2026-01-01;5;a\n")), "b") and None
    ),
    lambda _: find_wood("Blak cherry") and None,
    lambda _: find_wood("zzzzzz") and None,
    lambda _: emc(200.5, 50) and None,
    lambda _: emc(20, 100) and None,
    lambda _: radius_from_chord(chord=0, rise=1) and None,
    lambda _: offset_outline((), 1) and None,
]


@pytest.mark.parametrize("act", EVERY)
def test_no_fault_passes_the_catalogue_by(act: Callable[[Path], None], tmp_path: Path) -> None:
    """What is wrong and what to do come from the catalogue as a whole, for every kind of fault."""
    with _fenced(), pytest.raises(TemplategenError) as caught:
        act(tmp_path)
    error = caught.value
    for fault in error.faults if isinstance(error, InputErrors) else (error,):
        assert fault.what.startswith("‹"), fault.what
        assert fault.what.endswith("›"), fault.what
        assert fault.mend.startswith("‹") or (
            not fault.mend and isinstance(fault, GeometryError)
        ), fault.mend
        assert fault.mend[-1:] in ("›", ""), fault.mend


def test_figures_of_files_keep_their_point() -> None:
    """Tables of jobs and shops are the same in every language, and read back to the same."""
    job = demo_job()
    pins = (Pinned(cutter="R80", pivot_offset=-1.25, pivot_standoff=30.5),)
    nest = dataclasses.replace(
        job.nest,
        wall=ShareWall(0.125),
        relief=Relief(shift=2.5, depth=20.25),
        pinned=pins,
        setting_tolerance=0.5,
    )
    wood = OwnWood(tangential=8.4, tension_across_kpa=4340.5)
    for units in (Units.MM, Units.IN):
        stated = dataclasses.replace(job, nest=nest, wood=wood, units=units)
        shop = dataclasses.replace(demo_shop(), units=units)
        jobs, shops = (
            json.dumps(job_to_table(stated)),
            json.dumps(shop_to_table(shop)),
        )
        with _fenced():
            assert json.dumps(job_to_table(stated)) == jobs
            assert json.dumps(shop_to_table(shop)) == shops
            table = json.loads(jobs)
            again = job_from_table(table, where="json", known_wood=lambda _: None)
            assert again == stated
            assert shop_from_table(json.loads(shops), where="json") == shop


@pytest.mark.parametrize("units", [Units.MM, Units.IN])
def test_written_lengths_read_back_in_every_language(units: Units) -> None:
    """A length that a recipe holds has a point, while the same length in print has a comma."""
    with _fenced():
        for length in (22.5, 22.225, 0.1, 400.05):
            held = written_length(length, units)
            assert "," not in str(held)
            assert parse_length(held, units) == length
        assert printed_length(22.5, Units.MM) == "22,5 mm"


def test_wording_shown_of_the_trade_is_in_the_catalogue() -> None:
    """Grips, states, labels and sources are sentences that `say` finds by the value itself."""
    with _fenced():
        shown = [*Grip, *State, *(f.label for f in FIGURES), *SOURCES, OWN_SOURCE]
        assert [wording.say(text) for text in shown] == [f"‹{text}›" for text in shown]
        assert FIGURES[0].shown(8.4) == "8,4"


def test_every_source_of_the_wood_table_is_known_wording() -> None:
    """Each source is one or more of `SOURCES`, or the constant for shrinkage along the grain."""
    used = {
        part
        for wood in woods()
        for figure in FIGURES
        if figure.field != "along"
        for part in filter(None, wood.source_of(figure.field).split("; "))
    }
    known = {part for text in SOURCES for part in text.split("; ")}
    assert used == known


def test_sources_and_names_are_shown_in_the_language() -> None:
    """The table's source, the job's own, and the name of a shop that states none."""
    job = dataclasses.replace(demo_job(), wood=OwnWood(radial=4.0))
    with _german():
        from templategen.trade.wood import wood_of

        wood = wood_of(job)
        assert wood is not None
        assert wood.source_of("radial") == "eigener Wert des Auftrags"
        assert wood.source_of("tangential") == "FPL-GTR-190, Tabelle 4-3"
        assert not wood.is_from_memory("radial")
        bare = shop_from_table(tomllib.loads(SHOP), where="shop.toml")
        assert name_of(bare) == "Werkstatt"
        assert name_of(demo_shop()) == demo_shop().name


def _bare(text: str) -> list[str]:
    """The lines of a file that say something to the program, their remarks left out."""
    lines = (line.partition("#")[0].rstrip() for line in text.splitlines())
    return [line for line in lines if line]


@pytest.mark.parametrize("language", [c for c in wording.languages() if c != wording.ENGLISH])
def test_starter_files_of_every_language_say_the_same(language: str) -> None:
    """The same records but for titles and the language; the same keys stand in the remarks."""
    english = starter_files()
    with wording.speaking(language):
        ours = starter_files()
    assert list(ours) == list(english) == [f"{name}.toml" for name in NAMES]
    shops = [shop_from_table(tomllib.loads(f["shop.toml"]), where="s") for f in (english, ours)]
    jobs = [
        job_from_table(tomllib.loads(f["job.toml"]), where="j", known_wood=nearest_wood)
        for f in (english, ours)
    ]
    assert shops[1] == dataclasses.replace(shops[0], name=shops[1].name)
    prints = dataclasses.replace(jobs[0].print, language=language)
    assert jobs[1] == dataclasses.replace(jobs[0], title=jobs[1].title, print=prints)
    for name in ours:
        differing = set(_bare(ours[name])) ^ set(_bare(english[name]))
        assert {line.partition(" =")[0] for line in differing} <= {"title", "name", "language"}
        keys = [
            [
                line[2:].partition("=")[0].strip(string.whitespace)
                for line in text.splitlines()
                if line.startswith("# ") and "=" in line
            ]
            for text in (english[name], ours[name])
        ]
        assert keys[0] == keys[1]
        assert keys[0]
        assert max(map(len, ours[name].splitlines())) <= 100


def test_german_starter_files_are_german_and_say_that_they_are_invented() -> None:
    """Remarks in German, invented figures marked as such; the built-in demo stays English."""
    with wording.speaking("de"):
        files = starter_files()
        assert demo_job().title == "Demo blank (invented)"
        assert demo_shop().name == "My shop (figures invented)"
    for text in files.values():
        assert "erfunden" in text.splitlines()[0]
        assert "(erfunden)" in text or "(Zahlen erfunden)" in text
    assert "# Breite der Schneide" in files["shop.toml"]


def test_a_job_without_title_gets_one_in_its_own_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """The stand-in title follows the job's language, not the machine's; a stated title stays."""
    table = {"blank": {"diameter": 400, "height": 180}, "print": {"language": "de"}}
    with _fenced():
        untitled = job_from_table(table, where="job.toml", known_wood=nearest_wood)
    assert untitled.title == "Untitled blank"
    monkeypatch.setattr(wording, "catalogue", lambda _: Words())
    assert settle(untitled, "").title == "Rohling ohne Titel"
    assert settle(demo_job(), "de").title == "Demo blank (invented)"
