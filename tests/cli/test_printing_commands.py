"""The commands scale, printer, verify and reprint as a user runs them."""

import base64
import io
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pypdfium2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from templategen.app import printers
from templategen.cli import main
from templategen.errors import InputError
from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.nest.planner import make_plan
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import MOST_BYTES, MOST_LOGO, NAME, make_recipe, read_recipe
from templategen.sheets.cover import make_pack
from templategen.sheets.letterhead import Letterhead, Logo, PictureKind, with_letterhead
from templategen.trade.paper import paper_named
from templategen.trade.printer import factor_from
from templategen.trade.wood import nearest_wood
from templategen.units import Units

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs a command in a folder and with a configuration of its own: exit code, out, err."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("platformdirs.user_config_path", lambda *_, **__: tmp_path / "config")

    def command(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["templategen", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        shown = capsys.readouterr()
        return int(ended.value.code or 0), shown.out, shown.err

    return command


@pytest.fixture(scope="module")
def recipe() -> dict[str, Any]:
    """A recipe of the small example (invented) with one kind of part."""
    job = read_job(EXAMPLES / "small-220.toml", known_wood=nearest_wood)
    plan = make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)
    parts = make_parts(plan, kinds=("gauge stick",), style=PrintStyle(units=Units.MM))
    return make_recipe(plan, make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM))


def test_printers_are_kept(run: Run, tmp_path: Path) -> None:
    """Add, list, replace and remove; the file lies in the configuration folder, whole."""
    assert run("printer", "list")[1].startswith("No printer is kept")
    code, out, _ = run("printer", "add", "study", "--across", "179.2/180", "--down", "251.0/250")
    assert code == 0
    assert "prints 0.9956 across and 1.0040 down" in out
    assert run("printer", "add", "club", "--across", "6 63/64 : 7", "--down", "1")[0] == 0
    assert [text.split(":")[0] for text in run("printer", "list")[1].splitlines()] == [
        "club",
        "study",
    ]
    kept = tmp_path / "config" / "printers.json"
    assert json.loads(kept.read_text())["printers"][1]["across"] == pytest.approx(179.2 / 180)
    assert [path.name for path in kept.parent.iterdir()] == ["printers.json"]
    assert run("printer", "add", "study", "--across", "1.001", "--down", "1")[0] == 0
    assert "1.0010 across" in run("printer", "list")[1]
    assert run("printer", "remove", "study")[0] == 0
    assert "study" not in run("printer", "list")[1]
    code, _, err = run("printer", "remove", "clbu")
    assert (code, err) == (2, "--printer: no printer 'clbu'; did you mean 'club'?\n")


@pytest.mark.parametrize(
    ("across", "message"),
    [
        ("161/180", "the print dialog probably fitted the page to 89.4 %"),
        ("0.88", "the print dialog probably fitted the page to 88.0 %"),
        ("1.25", "the print dialog probably enlarged the page to 125.0 %"),
        ("179", "give the length you measured first"),
        ("180/0", "is no measurement"),
        ("1/2/3", "is no measurement"),
        ("nan", "is no measurement"),
        ("-1", "is no measurement"),
        ("", "is no measurement"),
    ],
)
def test_factors_out_of_reach(across: str, message: str, run: Run, tmp_path: Path) -> None:
    """A factor outside 0.9 to 1.1 is refused with its likely cause; nothing is kept.

    Fit-to-page gives 97.1 % at a 3 mm margin and 94.1 % for A4 on letter (arithmetic): within
    reach, so warned of below, not refused.
    """
    code, _, err = run("printer", "add", "study", "--across", across, "--down", "1")
    assert code == 2
    assert message in err
    assert err.startswith("--across: ")
    assert len(err.splitlines()) == 1
    assert not (tmp_path / "config").exists()


def test_a_fitted_page_is_suspected(run: Run) -> None:
    """97 % is kept, with the question whether the page was fitted."""
    code, _, err = run("printer", "add", "study", "--across", "174.6/180", "--down", "0.998")
    assert code == 0
    assert err.startswith("caution: 97.0 % is more than printers are out by")


def _lines(call: Callable[[], object]) -> tuple[str, ...]:
    """The lines a person would see of a call's fault; anything but an input fault goes on up."""
    try:
        call()
    except InputError as error:
        return error.lines()
    return ()


@settings(derandomize=True, deadline=None, max_examples=200)
@given(st.text(max_size=30))
def test_any_text_is_a_factor_or_a_line(text: str) -> None:
    """Whatever is typed gives a factor between 0.9 and 1.1 or one fault."""
    factors: list[float] = []
    lines = _lines(lambda: factors.append(factor_from(text, where="--across")))
    assert len(lines) == 1 or 0.9 <= factors[0] <= 1.1


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", "nonsense", '{"format": "templategen-printers/1", "printers": [3]}']
)
def test_a_spoiled_list_of_printers(text: str, run: Run, tmp_path: Path) -> None:
    """A spoiled file is told with its place, and left as it is."""
    kept = tmp_path / "config" / "printers.json"
    kept.parent.mkdir()
    kept.write_text(text)
    code, _, err = run("pack", "--printer", "study")
    assert code == 2
    assert str(kept) in err
    assert "Traceback" not in err
    assert kept.read_text() == text


def test_corrected_bars_say_so(run: Run, tmp_path: Path) -> None:
    """Pages for a printer are corrected by its factors; bars and cover name it."""
    run("printer", "add", "study", "--across", "0.99", "--down", "1.005")
    job = str(EXAMPLES / "small-220.toml")
    assert run("pack", job, "--printer", "study", "--part", "gauge stick")[0] == 0
    (path,) = (tmp_path / "templategen-pack").iterdir()
    reader = pypdf.PdfReader(path, strict=True)
    for page in reader.pages:
        text = page.extract_text()
        assert "150 mm across, corrected for study: measure before you cut" in text
        assert "150 mm down, corrected for study: measure before you cut" in text
    cover = " ".join(reader.pages[0].extract_text().split())
    assert "Corrected for the printer study, which prints 0.99 across and 1.005 down" in cover
    # A picture at 600 dpi: the bar across is longer than 150 mm by the factor, in the file.
    document = pypdfium2.PdfDocument(path)
    bitmap = document[1].render(scale=600 / 72, grayscale=True)
    row = bitmap.to_numpy().reshape(bitmap.height, bitmap.width)
    middle = 148.5 + (18.0 - 148.5) / 1.005  # the bar's height above the foot, mm
    line = row[bitmap.height - round(middle / 25.4 * 600) - 3 :][:7].min(axis=0) < 128
    columns = [n for n, dark in enumerate(line) if dark]
    assert (columns[-1] - columns[0]) / 600 * 25.4 == pytest.approx(150 / 0.99, abs=0.2)
    document.close()
    assert run("verify", str(path))[0] == 0


@pytest.mark.parametrize(
    ("paper", "across", "down"), [("a4", "180 mm", "250 mm"), ("letter", "7 in", "9 in")]
)
def test_the_scale_sheet(paper: str, across: str, down: str, run: Run, tmp_path: Path) -> None:
    """Its bars run near the full page, its diagonals are what Pythagoras says."""
    code, out, _ = run("scale", "--paper", paper)
    assert code == 0
    assert f"scale-{paper}.pdf" in out
    document = pypdfium2.PdfDocument(tmp_path / "templategen-pack" / f"scale-{paper}.pdf")
    page = document[0]
    words = page.get_textpage().get_text_range()
    assert f"across: {across} between" in words
    assert f"down: {down} between" in words
    lengths = []
    for item in page.get_objects():
        left, bottom, right, top = item.get_bounds()
        lengths.append((right - left, top - bottom))
    unit = 72.0 if "in" in across else 72 / 25.4
    wide, high = (float(t.split()[0]) * unit for t in (across, down))
    assert max(w for w, _ in lengths) == pytest.approx(wide, abs=1.5)
    assert max(h for _, h in lengths) == pytest.approx(high, abs=1.5)
    assert wide > 0.8 * page.get_width()
    assert high > 0.8 * page.get_height()
    diagonal = (wide**2 + high**2) ** 0.5 / unit
    assert (f"{diagonal:.2f} in" if "in" in across else f"{diagonal:.1f} mm") in words
    document.close()


@pytest.mark.parametrize("name", ["small-220", "inch-15"])
def test_reprint_is_the_same_file(name: str, run: Run, tmp_path: Path) -> None:
    """Printed anew from the recipe alone, the pack is the same to the byte."""
    words = ["--part", "cut plate", "--part", "gauge stick"]
    assert run("pack", str(EXAMPLES / f"{name}.toml"), "--out", "one", *words)[0] == 0
    (first,) = (tmp_path / "one").iterdir()
    assert run("reprint", str(first), "--out", "two")[0] == 0
    (second,) = (tmp_path / "two").iterdir()
    assert first.name == second.name
    assert first.read_bytes() == second.read_bytes()


def test_a_shop_set_is_reprinted_and_verified(run: Run, tmp_path: Path) -> None:
    """A shop's set has no job: it is drawn anew from the shop, to the byte, and is true."""
    shop = str(EXAMPLES / "small-shop.toml")
    run("printer", "add", "study", "--across", "0.997", "--down", "1.002")
    words = ("--date", "2026-05-02", "--printer", "study")
    assert run("shop", shop, *words, "--out", "one")[0] == 0
    (first,) = (tmp_path / "one").iterdir()
    assert run("reprint", str(first), "--out", "two")[0] == 0
    (second,) = (tmp_path / "two").iterdir()
    assert (first.name, first.read_bytes()) == (second.name, second.read_bytes())
    code, out, _ = run("verify", str(second))
    assert code == 0
    assert out.splitlines()[-1].startswith("True: ")


def test_reprint_on_other_paper_for_a_printer(run: Run, tmp_path: Path) -> None:
    """Paper and printer may be others; the new pack is true too, and carries the new recipe."""
    run("printer", "add", "Club room", "--across", "0.998", "--down", "1.002")
    run("pack", str(EXAMPLES / "small-220.toml"), "--part", "tenon ring", "--out", "one")
    (first,) = (tmp_path / "one").iterdir()
    code, out, _ = run(
        "reprint", str(first), "--paper", "letter", "--printer", "Club room", "--out", "two"
    )
    assert code == 0
    assert "Corrected for Club room" in out
    (second,) = (tmp_path / "two").iterdir()
    assert second.name == f"{first.stem}-letter-club-room.pdf"
    reader = pypdf.PdfReader(second)
    assert float(reader.pages[0].mediabox.width) == pytest.approx(612)
    held = json.loads(reader.attachments[NAME][0])["print"]
    assert held["paper"] == "letter"
    assert held["printer"] == {"name": "Club room", "across": 0.998, "down": 1.002}
    code, out, _ = run("verify", str(second))
    assert code == 0
    assert out.splitlines()[-1].startswith("True: ")
    # Printed once more without a printer named, it stays corrected for the one inside.
    assert run("reprint", str(second), "--out", "three")[0] == 0
    (third,) = (tmp_path / "three").iterdir()
    assert third.read_bytes() == second.read_bytes()


def _spoiled(recipe: dict[str, Any], path: str, value: object) -> bytes:
    copy = json.loads(json.dumps(recipe))
    *way, last = path.split(".")
    place = copy
    for step in way:
        place = place[int(step) if step.isdigit() else step]
    place[int(last) if last.isdigit() else last] = value
    return json.dumps(copy).encode()


def _svg(inside: str, *, kind: str = "svg") -> dict[str, Any]:
    """A letterhead whose picture is an SVG."""
    text = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2">{inside}</svg>'
    return {"picture": {"kind": kind, "data": base64.b64encode(text.encode()).decode()}}


SPOILED = [
    ("format", "templategen-pack/9", "recipe: format 'templategen-pack/9' is not"),
    ("colour", "red", "recipe.colour: unknown key"),
    ("pages", {}, "recipe.pages: is not a list of tables"),
    ("pages", [], "recipe.pages: holds no page"),
    ("pages.0.number", 1.5, "recipe.pages[1].number: 1.5 is not a whole number"),
    ("pages.1.number", 1, "recipe.pages: a page number stands twice"),
    ("pages.1.parts.0.transform", [1, 0, 0, 1, 0], "transform: [1, 0, 0, 1, 0] is not 6 numbers"),
    ("pages.1.parts.0.transform", [2, 0, 0, 2, 0, 0], "does not lay a part down at its size"),
    ("pages.1.parts.0.transform", [1, 0, 0.1, 1, 0, 0], "does not lay a part down at its size"),
    ("pages.1.parts.0.transform", [True, 0, 0, 1, 0, 0], "is not 6 numbers in bounds"),
    ("pages.1.parts.0.window", "everything", "window: 'everything' is not 4 numbers"),
    ("pages.1.parts.0.part", "../../etc", "unknown part '../../etc'"),
    ("pages.1.paper", [1e9, 297], "paper: [1000000000.0, 297] is not 2 numbers"),
    ("job.blank.diameter", "-4 mm", "recipe.job.blank.diameter: -4 mm is out of bounds"),
    ("job.nest.cutters", ["R9"], "no cutter 'R9' in the shop"),
    ("shop.cutters", 7, "recipe.shop.cutters: is not a list of tables"),
    ("shop", [], "recipe.shop: [] is not a table"),
    ("print.paper", "../a4", "paper: unknown paper '../a4'"),
    ("print.kinds", ["bomb"], "print.kinds: unknown kind of part 'bomb'"),
    ("print.printer", {"name": "x", "across": 3}, "printer.across: 3 is out of bounds"),
    ("print.letterhead", "Club", "recipe.print.letterhead: 'Club' is not a table"),
    ("print.letterhead", {"name": "x\u202ey"}, "letterhead.name: 'x\\u202ey' holds a hidden"),
    ("print.letterhead", {"name": "x", "page": 2}, "letterhead.page: unknown key"),
    ("print.letterhead", {"picture": "?"}, "letterhead.picture: '?' is not a table"),
    ("print.letterhead", {"picture": {"data": 7}}, "letterhead.picture.data: is not base64"),
    ("print.letterhead", {"picture": {"data": "%%"}}, "letterhead.picture.data: is not base64"),
    ("print.letterhead", {"picture": {"data": "QUJD"}}, "picture.data: is neither PNG nor SVG"),
    ("print.letterhead", _svg("<script/>"), "picture.data: holds <script>"),
    ("print.letterhead", _svg('<image href="http://x.invalid/a.png"/>'), "data: holds <image>"),
    ("print.letterhead", _svg("<rect onload='x()' width='4' height='2'/>"), "holds a script"),
    ("print.letterhead", _svg("<rect width='4' height='2'/>", kind="png"), "kind 'png'"),
    ("print.letterhead", _svg("<rect width='4' height='2'/>", kind="gif"), "'gif' is not known"),
    ("print.letterhead", _svg(" " * 2_000_000), "letterhead.picture.data: larger than 2 MB"),
    ("plan", None, "than its job and shop give"),
    ("plan.pieces.0.wall", "NaN", "plan.pieces[1].wall is other"),
    ("job.title", "x\u202ey", "recipe.job.title: 'x\\u202ey' holds a hidden character"),
]


@pytest.mark.parametrize(
    ("command", "path", "value", "message"),
    [
        (command, *spoiled)
        for command in ("verify", "reprint")
        for spoiled in SPOILED
        # Where the parts lay does not matter when they are printed anew.
        if command == "verify" or spoiled[0] != "pages.1.parts.0.part"
    ],
    ids=lambda v: str(v)[:30],
)
def test_a_strangers_recipe(
    command: str,
    path: str,
    value: object,
    message: str,
    recipe: dict[str, Any],
    run: Run,
    tmp_path: Path,
) -> None:
    """Any wrong key or figure is one line with its place, exit 2, and nothing is written."""
    _hold(tmp_path, _spoiled(recipe, path, value))
    code, out, err = run(command, "pack.pdf")
    assert code == 2, out + err
    assert message in err
    assert err.startswith("pack.pdf: recipe")
    assert len(err.splitlines()) == 1
    assert out == ""
    assert [p.name for p in tmp_path.iterdir()] == ["pack.pdf"]


def _hold(folder: Path, data: bytes) -> None:
    """A PDF of one blank page that carries the bytes as its recipe."""
    writer = pypdf.PdfWriter()
    writer.add_blank_page(595, 842)
    writer.add_attachment(NAME, data)
    out = io.BytesIO()
    writer.write(out)
    (folder / "pack.pdf").write_bytes(out.getvalue())


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b" ", "not JSON"),
        (b"{", "not JSON"),
        (b"\xff\xfe", "not UTF-8 text"),
        (b"[" * 200_000, "nested too deeply"),
        (b'{"format": NaN}', "not JSON ('NaN is no number')"),
        (b'{"format": ' + b"9" * 6000 + b"}", "not JSON"),
        (b"3", "3 is not a table"),
        (b'{"format": "templategen-pack/1"}', "(and"),
        (b" " * (MOST_BYTES + 1), "larger than 4 MB"),
    ],
    ids=["empty", "cut", "bytes", "deep", "nan", "digits", "number", "bare", "large"],
)
def test_no_recipe_at_all(data: bytes, message: str, run: Run, tmp_path: Path) -> None:
    """Bytes that are no recipe: one line, exit 2."""
    _hold(tmp_path, data)
    code, _, err = run("reprint", "pack.pdf")
    assert code == 2
    assert message in err
    assert err.startswith("pack.pdf: ")
    assert len(err.splitlines()) == 1


def test_no_pack_at_all(run: Run, tmp_path: Path) -> None:
    """A missing file, a folder, a text and a locked PDF: one line each."""
    (tmp_path / "text.pdf").write_text("no PDF")
    writer = pypdf.PdfWriter()
    writer.add_blank_page(595, 842)
    writer.encrypt("secret", algorithm="RC4-128")
    writer.write(tmp_path / "locked.pdf")
    for name, message in (
        ("nix.pdf", "nix.pdf: no such file; check the name"),
        ("text.pdf", "text.pdf: is not a PDF that can be read; name a pack's .pdf file"),
        ("locked.pdf", "locked.pdf: is not a PDF that can be read; name a pack's .pdf file"),
        (".", ".: is a folder; name a .pdf file"),
    ):
        code, _, err = run("verify", name)
        assert (code, err.strip()) == (2, message)


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)
_PATHS = [
    "job", "shop", "print", "pages", "job.blank", "job.nest", "job.tenon", "job.print",
    "job.date", "job.units", "shop.jaws", "shop.lathe", "shop.post", "shop.rules",
    "shop.cutters.0", "pages.0", "pages.1.parts", "pages.1.parts.0", "pages.0.marks",
    "pages.0.label", "print.units", "print.printer", "print.kinds", "pages.1.parts.0.transform",
]  # fmt: skip


@settings(
    derandomize=True,
    deadline=None,
    max_examples=150,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.sampled_from(_PATHS), _JSON)
def test_any_value_anywhere(recipe: dict[str, Any], path: str, value: object) -> None:
    """Whatever stands in any place of a recipe, it is read or refused with one fault."""
    data = _spoiled(recipe, path, value)
    assert len(_lines(lambda: read_recipe(data, where="pack.pdf"))) <= 1


def test_printers_path_is_the_users() -> None:
    """Kept in the user's own configuration folder, under the program's name."""
    assert printers.printers_path().parts[-2:] == ("templategen", "printers.json")


def test_a_letterhead_is_carried_and_older_recipes_are_read(recipe: dict[str, Any]) -> None:
    """No letterhead, no key, as in recipes of before; a picture too large stays behind alone."""
    assert "letterhead" not in recipe["print"]
    assert read_recipe(json.dumps(recipe).encode(), where="x.pdf").letterhead is None
    job = read_job(EXAMPLES / "small-220.toml", known_wood=nearest_wood)
    plan = make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)
    parts = make_parts(plan, kinds=("gauge stick",), style=PrintStyle(units=Units.MM))
    huge = Logo(data=b"x" * (MOST_LOGO + 1), kind=PictureKind.PNG, width=2.0, height=1.0)
    head = Letterhead(name="A\u202e club", logo=huge)
    laid = make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM, head=head.height)
    held = make_recipe(plan, with_letterhead(laid, head))
    assert held["print"]["letterhead"] == {"name": "A club", "picture": None}
    read = read_recipe(json.dumps(held).encode(), where="x.pdf").letterhead
    assert read == Letterhead(name="A club")
