"""The command line in German: help, tables, faults; and nothing told past the catalogue."""

import functools
import gettext
import json
import re
import subprocess
from pathlib import Path

import pytest
from commands import run_command

from templategen.messages import Wording

LIBRARY = ("Usage", "Options", "Arguments", "Commands", "Show this", "default:", "required",
           "OPTIONS", "COMMAND", "ARGS", "<str>", "<path>", "<text>", "<bool>", "<float>",
           "<int>", "<number>")  # fmt: skip
COMMANDS = ("plan", "pack", "shop", "club", "chart", "scale", "verify", "reprint", "wood", "dry",
            "start", "measure", "printer", "printer add", "printer list",
            "printer remove")  # fmt: skip
# Names, ids and units stand in both languages, and so do words that are spelled alike in both.
ALIKE = {
    "Demo",
    "blank",
    "invented",
    "American",
    "sycamore",
    "mm",
    "kg",
    "kN",
    "demo",
    "in",
    "Motor",
    "d³",
}


def _help_texts(page: str) -> set[str]:
    """The sentences of a page of help, told by their capital and their full stop."""
    return {t.strip() for t in re.findall(r"[A-Z][^│\[\]]*?\.(?= |$)", page, re.MULTILINE)}


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_is_german_throughout(command: str, tmp_path: Path) -> None:
    """No word of the command-line library and no sentence of the English page is left."""
    words = [*command.split(), "--help"]
    english = run_command(*words, cwd=tmp_path)
    german = run_command("--language", "de", *words, cwd=tmp_path)
    assert english.returncode == german.returncode == 0
    assert english.stderr == german.stderr == ""
    assert "Usage: templategen" in english.stdout
    assert "Aufruf: templategen" in german.stdout
    assert "Optionen" in german.stdout
    assert [w for w in LIBRARY if w in german.stdout] == []
    sentences = _help_texts(english.stdout)
    assert len(sentences) >= 2
    assert [t for t in sentences if t in german.stdout] == []
    # As many rows of options and commands: nothing is lost or cut.
    rows = [[row for row in page.splitlines() if re.match(r"│ ?\*? *(--)?\w", row)]
            for page in (english.stdout, german.stdout)]  # fmt: skip
    assert len(rows[0]) == len(rows[1])
    assert "…" not in german.stdout


def test_help_speaks_as_the_machine(tmp_path: Path) -> None:
    """LANG serves the screen where no option is given (POSIX XBD 8.2, from memory)."""
    told = run_command("pack", "--help", cwd=tmp_path, LANG="de_DE.UTF-8")
    assert "Aufruf: templategen pack" in told.stdout
    assert [w for w in LIBRARY if w in told.stdout] == []
    assert "Usage: " in run_command("pack", "--help", cwd=tmp_path, LANG="de", LC_ALL="C").stdout
    assert "Usage: " in run_command("--language", "en", "--help", cwd=tmp_path, LANG="de").stdout


@functools.cache
def _plan(language: str) -> str:
    """What `plan` prints of the built-in demo; it reads no file."""
    return run_command("--language", language, "plan", cwd=Path.cwd()).stdout


def _words(line: str) -> set[str]:
    plain = re.sub(r"\S*\d\S*", "", line)  # figures, tags, ids of cutters
    return set(re.findall(r"[^\W\d_]{2,}", plain)) - ALIKE


def test_a_plan_is_german_throughout() -> None:
    """Besides names, ids and units no word of an English paragraph stands in its German one."""
    english, german = (_plan(language).split("\n\n") for language in ("en", "de"))
    assert len(english) == len(german) > 7
    left = [(e, g) for e, g in zip(english, german, strict=True) if _words(e) & _words(g)]
    assert left == []
    assert any(re.search(r"\d,\d", line) for line in german)
    assert not any(re.search(r"\d\.\d", line) for line in german)


def test_columns_line_up_in_german() -> None:
    """Under each heading of the cuts the cells end where the heading ends."""
    lines = _plan("de").splitlines()
    at = next(n for n, line in enumerate(lines) if "Messer" in line and "Versatz" in line)
    ends = [m.end() for m in re.finditer(r"\S+( \S+)*", lines[at])]
    for row in lines[at + 1 : at + 4]:
        assert [m.end() for m in re.finditer(r"\S+( \S+)*", row)] == ends


def test_figures_for_machines_stay(tmp_path: Path) -> None:
    """The JSON is the same but for wording: the keys, the figures and the ids of the findings."""
    found = [
        json.loads(run_command("--language", code, "plan", "--json", cwd=tmp_path).stdout)
        for code in ("en", "de")
    ]
    for plan in found:
        for finding in plan["findings"]:
            finding.pop("text")
            finding.pop("tried")
        for other in plan["sets"]:
            other.pop("label")
        plan["job"].get("print", {}).pop("language", None)
    assert found[0] == found[1]


FAULTS = [
    (["plann"], "templategen: unbekannter Befehl 'plann'; 'plan' gemeint?"),
    (["plan", "--jsn"], "templategen plan: unbekannte Option '--jsn'; '--json' gemeint?"),
    (
        ["start"],
        "templategen start: ORDNER: fehlt; anzugeben: Ordner für die neuen Dateien",
    ),
    (
        ["plan", "--language", "de"],
        "templategen plan: unbekannte Option '--language'; vor den Befehl setzen",
    ),
    (["printer", "lst"], "templategen printer: unbekannter Befehl 'lst'; 'list' gemeint?"),
    (
        ["dry", "x.csv", "--target", "much"],
        "templategen dry: --target: 'much' ist keine Zahl; "
        "anzugeben: Gewünschte Holzfeuchte, %; die des Auftrags, sonst 10",
    ),
    (
        ["measure", "--chord", "nan", "--rise", "3"],
        "--chord: 'nan' ist keine Länge; 120 oder \"4 3/4 in\" schreiben",
    ),
    (
        ["plan", "--blank", "400"],
        "--blank: '400' ist nicht Durchmesser x Höhe; in der Form 400x180 schreiben",
    ),
]


@pytest.mark.parametrize(("words", "message"), FAULTS, ids=lambda v: " ".join(v)[:20])
def test_faults_are_german(words: list[str], message: str, tmp_path: Path) -> None:
    """A fault is one German line with its mend, exit 2, nothing written."""
    done = run_command("--language", "de", *words, cwd=tmp_path)
    assert (done.returncode, done.stderr.strip(), done.stdout) == (2, message, "")
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_language_is_a_fault(tmp_path: Path) -> None:
    """One line, exit 2; the line speaks as the machine does."""
    done = run_command("--language", "xx", "plan", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stderr == "--language: 'xx' is no language of this program; use en, de\n"
    german = run_command("--language", "xx", "plan", cwd=tmp_path, LANG="de_DE.UTF-8")
    assert german.stderr.startswith("--language: 'xx' ist keine Sprache")


def test_a_job_without_a_language_prints_english(tmp_path: Path) -> None:
    """The machine's language serves the screen before the job is read, and never its print."""
    start = run_command("start", "s", cwd=tmp_path)
    assert start.returncode == 0, start.stderr
    job = tmp_path / "s" / "job.toml"
    told = run_command("plan", str(job), cwd=tmp_path, LANG="de_DE.UTF-8")
    assert told.stdout == run_command("plan", str(job), cwd=tmp_path).stdout
    lost = run_command("plan", "nix.toml", "--wood", "Ash", cwd=tmp_path, LANG="de_DE.UTF-8")
    assert "Auftragsdatei" in lost.stderr


def test_the_shops_language_counts(tmp_path: Path) -> None:
    """[rules.print] of the shop file: chart and shop speak it, and --language goes before it."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    shop = tmp_path / "s" / "shop.toml"
    shop.write_text(shop.read_text() + '\n[rules.print]\nlanguage = "de"\n')
    words = ["chart", str(shop), "--diameters", "300-400/100", "--heights", "120-180/60"]
    german = run_command(*words, cwd=tmp_path)
    assert german.returncode == 0, german.stderr
    assert "Jeden Rohling vor dem Auskernen planen" in german.stdout
    assert "Plan each blank" in run_command("--language", "en", *words, cwd=tmp_path).stdout
    done = run_command("shop", str(shop), "--part", "cutter arc", "--out", "o", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Mit 100 % drucken" in done.stdout
    (pack,) = (tmp_path / "o").glob("*.pdf")
    again = run_command("reprint", str(pack), "--out", "p", cwd=tmp_path)
    assert "Mit 100 % drucken" in again.stdout
    other = run_command("--language", "en", "reprint", str(pack), "--out", "q", cwd=tmp_path)
    assert "Print at 100 %" in other.stdout
    assert [p.name for p in (tmp_path / "q").iterdir()] == [f"{pack.stem}-en.pdf"]
    (again,) = (tmp_path / "p").iterdir()
    assert again.read_bytes() == pack.read_bytes()
    true = run_command("verify", str(*(tmp_path / "q").iterdir()), cwd=tmp_path)
    assert true.returncode == 0, true.stdout


CLUB = """\
{language}
[[blanks]]
name = "One"
diameter = 220
height = 110

[[blanks]]
name = "Two"
diameter = "many"
height = 90
"""


def _club(folder: Path, *words: str, jobs: int = 1) -> subprocess.CompletedProcess[str]:
    words = (*words, "club", "list.toml", "--out", "o", "--part", "tag", "--jobs", f"{jobs}")
    return run_command(*words, cwd=folder)


def test_a_list_has_its_language(tmp_path: Path) -> None:
    """Faults, index and packs speak it, also in worker processes; another one remakes the packs."""
    listed = tmp_path / "list.toml"
    listed.write_text(CLUB.format(language='language = "de"'))
    first = _club(tmp_path, jobs=2)
    assert first.returncode == 1
    assert "ausgelassen: list.toml: blanks[2]" in first.stderr
    assert "1 von 2 Einträgen ausgelassen" in first.stderr
    assert ": 1 PDF-Datei" in first.stdout
    assert "früheren Lauf" not in first.stdout
    index = (tmp_path / "o" / "index.html").read_text(encoding="utf-8")
    assert "Rohling 220 × 110\u00a0mm" in index
    again = _club(tmp_path)
    assert "aus einem früheren Lauf: 1" in again.stdout
    english = _club(tmp_path, "--language", "en")
    assert "skipped: list.toml: blanks[2]" in english.stderr
    assert "earlier run" not in english.stdout
    assert "Blank 220 × 110\u00a0mm" in (tmp_path / "o" / "index.html").read_text(encoding="utf-8")
    listed.write_text(CLUB.format(language='language = "xx"'))
    wrong = _club(tmp_path)
    assert wrong.returncode == 2
    assert wrong.stderr.startswith("list.toml: language: 'xx'")


def test_a_job_keeps_its_language_in_a_list(tmp_path: Path) -> None:
    """The index speaks English as the list does; the German job's pack is German."""
    assert run_command("start", "s", cwd=tmp_path).returncode == 0
    job = tmp_path / "s" / "job.toml"
    tables = [t for t in re.split(r"\n(?=\[)", job.read_text()) if not t.startswith("[print]")]
    job.write_text("\n".join([*tables, '[print]\nlanguage = "de"\n']))
    (tmp_path / "list.toml").write_text('[[blanks]]\njob = "s/job.toml"\n')
    done = _club(tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Print at 100 %" in done.stdout
    assert "<p>Blank " in (tmp_path / "o" / "index.html").read_text(encoding="utf-8")
    (pack,) = (tmp_path / "o").glob("*.pdf")
    from templategen.proof.pdf_reader import PackFile
    from templategen.proof.recipe import MOST_BYTES, NAME

    with PackFile(pack.read_bytes(), pack.name) as file:
        recipe = json.loads(file.attachment(NAME, most=MOST_BYTES))
    assert recipe["job"]["print"]["language"] == "de"


class _Brackets(gettext.NullTranslations):
    """A language that sets every entry in brackets and writes numbers as English does."""

    def gettext(self, message: str) -> str:
        return message if message in ("0.5", "50%", "-1") else f"⟦{message}⟧"

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return f"⟦{msgid1 if n == 1 else msgid2}⟧"


def _unbracketed(text: str) -> str:
    """What of a text stands in no brackets."""
    before = None
    while before != text:
        before, text = text, re.sub(r"⟦[^⟦⟧]*⟧", "", text)
    return text


RECORD = (
    "date,mass\n2026-01-01,1.90 kg\n2026-01-08,1.70 kg\n2026-01-20,1.52 kg\n2026-02-10,1.40 kg\n"
)

TOLD = {  # words of a command, and the names that stand outside the catalogue
    "plan": {"Demo", "blank", "invented", "demo", "ec", "d³"},
    "wood": set(),
    "wood Black cherry": {"Black", "cherry", "Prunus", "serotina"},
    "measure --chord 120 --rise 20": set(),
    "chart --diameters 300-400/50 --heights 100-180/40": {"My", "shop", "figures", "invented"},
    "dry record.csv --no-plot": {"record", "csv"},
    "printer list": set(),
    "printer add Shed --across 179.2/180 --down 251.0/250": {"Shed"},
}


@pytest.mark.parametrize("command", TOLD)
def test_nothing_is_told_past_the_catalogue(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Outside the brackets of a made-up language stand names, ids, units and figures alone."""
    monkeypatch.setattr("templategen.messages.catalogue", lambda _: _Brackets())
    (tmp_path / "record.csv").write_text(RECORD)
    done = run_command(*command.split(), cwd=tmp_path, XDG_CONFIG_HOME=str(tmp_path))
    assert done.returncode == 0, done.stderr
    told = done.stdout
    assert "⟦" in told
    lines = _unbracketed(told.replace(str(tmp_path), "")).splitlines()
    if command == "wood":  # each row begins with the name of a wood
        lines = [re.sub(r"^[A-Z][^\d]*?(?=  )", "", line) for line in lines]
    if command.startswith("wood "):  # the names of a wood behind the name of a language
        lines = [line for line in lines if not re.match(r" *: ", line)]
    if command.startswith("chart"):  # cells: a number of bowls and the letters of the cutters
        lines = [re.sub(r"\b\d [a-d]+\b", "", line) for line in lines]
    left = {w for line in lines for w in re.findall(r"[^\W\d_]{2,}", line)}
    assert left - TOLD[command] - {"mm", "kg", "kN", "in", "kPa"} == set()


def test_nothing_is_said_as_nothing() -> None:
    """An empty text stays empty: a catalogue's own heading stands under it (gettext manual)."""

    class Headed(gettext.NullTranslations):
        def gettext(self, message: str) -> str:
            return message or "Project-Id-Version: 1"

    wording = Wording("en", words=Headed())
    assert wording.say("") == ""
    assert wording.say("x") == "x"


def test_what_is_printed_does_not_hang_on_the_machines_language(tmp_path: Path) -> None:
    """A scale sheet has the same bytes in every environment; the option alone changes them."""
    made = {}
    for name, words, environment in (
        ("plain", ["scale"], {}),
        ("german machine", ["scale"], {"LANG": "de_DE.UTF-8"}),
        ("asked", ["--language", "de", "scale"], {}),
    ):
        folder = tmp_path / name
        folder.mkdir()
        assert run_command(*words, "--out", ".", cwd=folder, **environment).returncode == 0
        (file,) = folder.glob("*.pdf")
        made[name] = file.read_bytes()
    assert made["plain"] == made["german machine"] != made["asked"]
