"""The commands ``verify`` and ``reprint``, on packs and on untrusted files."""

import base64
import functools
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest
from builders import EXAMPLES, example_plan, laid_pack
from commands import Run
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from templategen.errors import InputError
from templategen.proof.recipe import MOST_BYTES, MOST_LOGO, NAME, make_recipe, read_recipe
from templategen.proof.remake import Remade, recipe_difference, remake
from templategen.proof.tasks import reprint, verify
from templategen.sheets.letterhead import Letterhead, Logo, PictureKind
from templategen.sheets.work_order import with_letterhead
from templategen.trade.printer import factor_from


@pytest.fixture(scope="module")
def recipe() -> dict[str, Any]:
    """A recipe of the small example (invented) with one kind of part."""
    plan = example_plan("small-220.toml", with_suggestions=True)
    return make_recipe(plan, laid_pack(plan, kinds=("gauge stick",)))


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


def test_reprint_is_the_same_file(run: Run, tmp_path: Path) -> None:
    """Printed anew from the recipe alone, the pack is the same to the byte."""
    words = ["--part", "cut plate", "--part", "gauge stick"]
    assert run("pack", str(EXAMPLES / "inch-15.toml"), "--out", "one", *words)[0] == 0
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
    assert held["printer"] == {"name": "Club room", "across": 0.998, "down": 1.002, "skew": 0.0}
    code, out, _ = run("verify", str(second))
    assert code == 0
    assert out.splitlines()[-1].startswith("True: ")
    # It never takes the place of the pack that it is read from.
    code, _, err = run("reprint", str(second), "--out", "two", "--paper", "letter",
                       "--printer", "Club room")  # fmt: skip
    assert code == 2
    assert "would take the place of this one" in err
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
    ("plan.bowls.0.wall", "NaN", "plan.bowls[1].wall is other"),
    ("job.title", "x\u202ey", "recipe.job.title: 'x\\u202ey' holds a hidden character"),
]


@pytest.mark.parametrize(("path", "value", "message"), SPOILED, ids=lambda v: str(v)[:30])
def test_a_strangers_recipe(path: str, value: object, message: str, recipe: dict[str, Any]) -> None:
    """Any wrong key or figure is one line with its place, whichever command reads it."""
    data = _held(_spoiled(recipe, path, value))
    tasks = [lambda: verify(data, "pack.pdf")]
    if path.startswith(("plan", "print.letterhead")):  # the rest is read in the same place
        tasks.append(lambda: reprint(data, "pack.pdf", None, None, ""))
    for task in tasks:
        (line,) = _lines(task)
        assert message in line
        assert line.startswith("pack.pdf: recipe")


@pytest.mark.parametrize("command", ["verify", "reprint"])
def test_a_recipe_that_is_refused(
    command: str, recipe: dict[str, Any], run: Run, tmp_path: Path
) -> None:
    """One line from the sandbox, in the language of the screen, exit 2, and nothing is written."""
    (tmp_path / "pack.pdf").write_bytes(_held(_spoiled(recipe, "colour", "red")))
    code, out, err = run("--language", "de", command, "pack.pdf")
    assert (code, out) == (2, "")
    assert err.startswith("pack.pdf: recipe.colour: unbekannter Schlüssel")
    assert len(err.splitlines()) == 1
    assert [p.name for p in tmp_path.iterdir()] == ["pack.pdf"]


@pytest.mark.parametrize(
    "pages", [None, {}, [], "x", [1], [{"number": 10**400}], [{"parts": {}}], {"a": [[[]]]}]
)
def test_whatever_a_recipe_tells_of_its_pages(pages: object, recipe: dict[str, Any]) -> None:
    """Places of parts are never used: they differ from those made anew, that is all."""
    read = read_recipe(_spoiled(recipe, "pages", pages), where="pack.pdf")
    found = str(recipe_difference(read, remade(recipe)))
    assert found.startswith("pages")
    assert "other than its job and shop give" in found


@functools.cache
def _remade(text: str) -> Remade:
    return remake(read_recipe(text.encode(), where="pack.pdf"))


def remade(recipe: dict[str, Any]) -> Remade:
    """The pack of a recipe, made once."""
    return _remade(json.dumps(recipe))


def _held(data: bytes) -> bytes:
    """A PDF of one blank page that carries the bytes as its recipe."""
    writer = pypdf.PdfWriter()
    writer.add_blank_page(595, 842)
    writer.add_attachment(NAME, data)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


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
        (b'{"format": "templategen-pack/2"}', "(and"),
        (b" " * (MOST_BYTES + 1), "larger than 4 MB"),
    ],
    ids=["empty", "cut", "bytes", "deep", "nan", "digits", "number", "bare", "large"],
)
def test_no_recipe_at_all(data: bytes, message: str) -> None:
    """Bytes that are no recipe: one line."""
    (line,) = _lines(lambda: verify(_held(data), "pack.pdf"))
    assert message in line
    assert line.startswith("pack.pdf: ")


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
    "shop.cutters.0", "print.units", "print.printer", "print.kinds", "release",
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


def test_a_letterhead_is_carried_and_older_recipes_are_read(recipe: dict[str, Any]) -> None:
    """No letterhead, no key, as in recipes of before; a picture too large stays behind alone."""
    assert "letterhead" not in recipe["print"]
    assert read_recipe(json.dumps(recipe).encode(), where="x.pdf").letterhead is None
    plan = example_plan("small-220.toml")
    huge = Logo(data=b"x" * (MOST_LOGO + 1), kind=PictureKind.PNG, width=2.0, height=1.0)
    head = Letterhead(name="A\u202e club", logo=huge)
    laid = laid_pack(plan, kinds=("gauge stick",), head=head.height)
    held = make_recipe(plan, with_letterhead(laid, head))
    assert held["print"]["letterhead"] == {"name": "A club", "picture": None}
    read = read_recipe(json.dumps(held).encode(), where="x.pdf").letterhead
    assert read == Letterhead(name="A club")
