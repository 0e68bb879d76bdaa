"""Faults of files and of the trade: every word of them is in the catalogue, values are not."""

import dataclasses
import gettext
from collections.abc import Callable
from pathlib import Path

import pytest
from builders import read_job

from templategen.errors import InputError, InputErrors, TemplategenError
from templategen.inputs.job_file import check_cutters
from templategen.inputs.shop_file import read_shop
from templategen.inputs.starters import demo_job, demo_shop
from templategen.inputs.weighings import read_record, with_identity
from templategen.messages import Wording
from templategen.trade.drying import emc
from templategen.trade.paper import paper_named
from templategen.trade.printer import factor_from
from templategen.trade.wood import find_wood

GERMAN = Wording("de")
SHOP = '[[cutters]]\nid = "R"\nradius = 100\nkerf = 9\n'
BLANK = "[blank]\ndiameter = 400\nheight = 180\n"
LINE = "date;mass;identity\n"


class Fenced(gettext.NullTranslations):
    """Every wording in brackets, and a decimal comma: shows what passes the catalogue by."""

    def gettext(self, message: str) -> str:
        return {"0.5": "0,5", "50%": "50 %", "-1": "-1"}.get(message, f"‹{message}›")


FENCED = Wording("xx", Fenced())


def _file(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _job(folder: Path, text: str) -> None:
    read_job(_file(folder, "job.toml", text))


def _shop(folder: Path, text: str) -> None:
    read_shop(_file(folder, "shop.toml", text))


def _record(folder: Path, text: str) -> None:
    record = read_record(_file(folder, "record.csv", text))
    if record.faults:
        raise InputErrors(record.faults)


def _foreign_cutter() -> None:
    job = demo_job()
    check_cutters(
        dataclasses.replace(job, nest=dataclasses.replace(job.nest, cutters=("R9",))), demo_shop()
    )


TYPICAL: list[tuple[Callable[[Path], object], tuple[str, ...]]] = [
    (
        lambda f: _job(
            f,
            'units = "yd"\n[blank]\ndiameter = 400\nheigth = 180\nwood = "Blak cherry"\n'
            '[nest]\nwall = "drying"\n',
        ),
        (
            "job.toml: units: 'yd' ist nicht bekannt; mm oder in verwenden",
            "job.toml: blank.height: fehlt; 20 bis 1000 mm angeben",
            "job.toml: blank.heigth: unbekannter Schlüssel; 'height' gemeint?",
            "job.toml: blank.wood: unbekanntes Holz 'Blak cherry'; 'Black cherry' gemeint?",
        ),
    ),
    (
        lambda f: _job(f, BLANK + '[print]\nstock = [0.25]\npaper = "a44"\nparts = ["ring"]\n'),
        (
            "job.toml: print.paper: unbekanntes Papier 'a44'; 'a4' gemeint?",
            "job.toml: print.parts[1]: 'ring' ist nicht bekannt; 'tenon ring' gemeint?",
            "job.toml: print.stock[1]: 0.25 mm liegt außerhalb der Grenzen; 0.5 bis 100 mm angeben",
        ),
    ),
    (
        lambda f: _job(f, BLANK + '[nest]\nwall = "22,5 mm"\n'),
        (
            "job.toml: nest.wall: '22,5 mm' ist keine Länge; "
            "einen Dezimalpunkt schreiben, wie in 22.5",
        ),
    ),
    (
        lambda f: _job(f, BLANK + "[nest]\nwall = 22,5  # mm\n"),
        (
            "job.toml: kein TOML: nach dem Wert steht noch etwas in der Zeile "
            "(Zeile 5, Spalte 10); einen Dezimalpunkt schreiben, wie in 22.5",
        ),
    ),
    (
        lambda f: _job(f, "[blank]\ndiameter = wide\n"),
        ("job.toml: kein TOML: ungültiger Wert (Zeile 2, Spalte 12); diese Zeile berichtigen",),
    ),
    (
        lambda _: read_shop(Path("x" * 300 + ".toml")),
        (f"{'x' * 300}.toml: lässt sich nicht lesen (Dateiname zu lang)",),
    ),
    (
        lambda f: _record(f, "date,mass\n2026-01-01,1000\n2026-01-02,998\n2026-01-03,9.5\n"),
        (
            "record.csv: Zeile 4: 9,5 g liegt weit ab von den anderen Wägungen; "
            "Einheit und Schale prüfen",
        ),
    ),
    (
        lambda _: _foreign_cutter(),
        (
            "Auftrag: nest.cutters: kein Messer 'R9' in der Werkstatt; "
            "vorhanden: R80, R105, R135, R170",
        ),
    ),
]


@pytest.mark.parametrize(("act", "lines"), TYPICAL)
def test_typical_faults_in_german(
    act: Callable[[Path], object], lines: tuple[str, ...], tmp_path: Path
) -> None:
    """Whole sentences, places and machine's reasons; figures to be typed keep their point."""
    with pytest.raises(InputError) as caught:
        act(tmp_path)
    assert caught.value.lines(GERMAN) == lines


EVERY: list[Callable[[Path], object]] = [
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
    lambda f: _record(f, ""),
    lambda f: _record(f, "when;mass\n"),
    lambda f: _record(f, LINE + "2026-01-01\nthen;3;a\n2300-01-01;3;a\n2026-01-01;heavy;a\n"),
    lambda f: _record(f, LINE + "2026-01-01;0.1;a\n"),
    lambda f: _record(f, "date,mass,more,even\n2026-01-01,1,234,\n"),
    lambda f: with_identity(read_record(_file(f, "r.csv", LINE + "2026-01-01;5;a\n")), "b"),
    lambda _: find_wood("Blak cherry"),
    lambda _: find_wood("zzzzzz"),
    lambda _: emc(200.5, 50),
    lambda _: emc(20, 100),
    lambda _: _foreign_cutter(),
    lambda _: paper_named("a44"),
    lambda _: paper_named("9x9"),
    lambda _: paper_named("99x99"),
    lambda _: factor_from("wide", where="--across"),
    lambda _: factor_from("0.7", where="--across"),
    lambda _: factor_from("1.5", where="--across"),
    lambda _: factor_from("9", where="--across"),
]


@pytest.mark.parametrize("act", EVERY)
def test_no_fault_passes_the_catalogue_by(act: Callable[[Path], object], tmp_path: Path) -> None:
    """What is wrong and what to do come from the catalogue as a whole, for every kind of fault."""
    with pytest.raises(TemplategenError) as caught:
        act(tmp_path)
    error = caught.value
    for fault in error.faults if isinstance(error, InputErrors) else (error,):
        for text in (FENCED.text(fault.what), FENCED.text(fault.mend)):
            assert text.startswith("‹"), text
            assert text.endswith("›"), text
