"""The sheets in other languages: all of it translated, none of it off the page or over the rest.

Longer wording is tried by 35 %: German runs 10 to 35 % longer than English (W3C, "Text size in
translation", from memory). What is left in English is found by marking whatever is translated.
"""

import datetime
import gettext
import html.parser
import io
import itertools
import json
import math
import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from xml.etree import ElementTree

import pypdf
import pytest

from templategen import messages as wording
from templategen.club.index import IndexRow, PackLink, write_index
from templategen.geometry.shapes import Box
from templategen.inputs.job_file import read_job
from templategen.inputs.shop_file import read_shop
from templategen.messages import speaking, wording_in_use
from templategen.nest.plan import Plan
from templategen.nest.planner import make_plan
from templategen.output.drying_plot import drying_plot
from templategen.output.pdf import write_pdf
from templategen.output.svg import drawing_svg
from templategen.parts.cautions import cautions_for
from templategen.parts.drawing import Part, Text
from templategen.parts.registry import make_parts
from templategen.parts.shop_set import shop_parts, shop_plan
from templategen.parts.style import PrintStyle
from templategen.proof import pdf_reader as drawn
from templategen.proof.pdf_reader import PackFile
from templategen.proof.recipe import NAME, make_recipe, read_recipe, recipe_bytes, remake
from templategen.proof.verify import Report, verify
from templategen.sheets.cover import make_pack
from templategen.sheets.furniture import MARGIN
from templategen.sheets.letterhead import Letterhead, with_letterhead
from templategen.sheets.page import Pack, Page
from templategen.sheets.scale_page import scale_pack
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.trade.seasoning import from_volume, progress
from templategen.trade.wood import nearest_wood
from templategen.units import Units

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
KINDS = ("section sheet", "gauge stick", "tenon ring")
PRINTER = PrinterProfile(name="workshop laser 24 letter", across=0.99, down=1.01)
CLUB = "Lakeside turning club (invented)"
FIGURES = ("0.5", "50%")  # the entries that show how a language writes numbers
FIELD = re.compile(r"(\{\{|\}\}|\{[^}]*\})")
XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"


class Pseudo(gettext.NullTranslations):
    """A language whose every message is the English one, changed by a rule."""

    def __init__(self, rule: Callable[[str], str]) -> None:
        super().__init__()
        self.rule = rule

    def gettext(self, message: str) -> str:
        return message if message in FIGURES else self.rule(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def _stretched(message: str) -> str:
    """Every word longer by a little more than a third, the fields as they are."""

    def longer(word: re.Match[str]) -> str:
        return word[0] + word[0][-1] * math.ceil(0.35 * len(word[0]))

    pieces = FIELD.split(message)
    return "".join(p if FIELD.fullmatch(p) else re.sub(r"[^\W\d_]+", longer, p) for p in pieces)


STRETCHED = Pseudo(_stretched)
MARKED = Pseudo(lambda message: f"⟦{message}⟧")
LANGUAGES: dict[str, tuple[str, gettext.NullTranslations | None]] = {
    "de": ("de", None),
    "stretched": ("en", STRETCHED),
}


def _plan() -> Plan:
    job = read_job(EXAMPLES / "lakeside-400.toml", known_wood=nearest_wood)
    return make_plan(job, read_shop(EXAMPLES / job.shop), with_mends=False)


def _packs(plan: Plan) -> Iterator[tuple[str, Pack, list[Part]]]:
    """Packs of every kind, with the parts in them, worded in the language in use."""
    for paper, units, profile, club in (
        ("a4", Units.MM, None, ""),
        ("letter", Units.IN, PRINTER, CLUB),
        ("a5", Units.BOTH, PRINTER, ""),
    ):
        parts = list(
            make_parts(plan, kinds=KINDS, style=PrintStyle(units=units, wording=wording_in_use()))
        )
        head = Letterhead(name=club)
        laid = make_pack(
            plan, parts, paper=paper_named(paper), units=units, profile=profile, head=head.height
        )
        yield f"{paper} {units.value}", with_letterhead(laid, head), parts
    bare = shop_plan(plan.shop, date="2026-05-02")
    parts = list(
        shop_parts(
            bare.shop,
            kinds=("tenon ring",),
            style=PrintStyle(units=Units.MM, wording=wording_in_use()),
        )
    )
    yield "shop set", make_pack(bare, parts, paper=paper_named("a4"), units=Units.MM), parts
    yield "scale", scale_pack(paper_named("a4"), Units.MM, profile=PRINTER), []
    yield "scale in", scale_pack(paper_named("letter"), Units.IN), []


def _own_texts(page: Page) -> list[Text]:
    """The wording of the page itself: bars, foot, seams, and what the cover says."""
    held = [
        text
        for placement in page.placements
        if placement.part.kind in ("cover", "scale sheet") and not placement.tile
        for text in placement.part.drawing.moved(placement.transform).texts()
    ]
    return [*held, *page.furniture.texts()]


def _touching(page: Page) -> int:
    boxes = [text.bounds() for text in _own_texts(page)]
    return sum(a.meets(b) for a, b in itertools.combinations(boxes, 2))


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The 400 × 180 example (invented)."""
    return _plan()


@pytest.fixture(scope="module")
def english_touching(plan: Plan) -> dict[str, int]:
    """How many pairs of texts touch on all pages of each pack in English."""
    return {name: sum(map(_touching, laid.pages)) for name, laid, _ in _packs(plan)}


@pytest.mark.parametrize("language", ["en", *LANGUAGES])
def test_wording_stays_on_the_page_and_apart(
    language: str, plan: Plan, english_touching: dict[str, int]
) -> None:
    """Every line of cover, bars, foot, seams and scale sheet lies inside the margins.

    No more lines touch one another than in English.
    """
    code, words = LANGUAGES.get(language, ("en", None))
    with speaking(code, words):
        packs = list(_packs(plan))
    for name, laid, _ in packs:
        for page in laid.pages:
            margin = laid.profile.margin(laid.paper, MARGIN) if laid.profile else MARGIN
            inside = Box(margin, margin, page.paper.width - margin, page.paper.height - margin)
            for text in _own_texts(page):
                assert inside.holds(text.bounds(), slack=0.01), (name, page.number, text.text)
        assert sum(map(_touching, laid.pages)) <= english_touching[name], name


def test_stretched_wording_is_a_third_longer() -> None:
    """The pseudo language does stretch, and leaves the fields alone."""
    with speaking("en", words=STRETCHED):
        said = wording.say("trim, over {tile} ({sheet})", tile="B1", sheet=3)
    assert said == "trimmm, overrr B1 (3)"


def _unmarked(text: str) -> str:
    depth, left = 0, []
    for letter in text:
        depth += (letter == "⟦") - (letter == "⟧")
        if depth == 0:
            left.append(" " if letter == "⟧" else letter)
    return "".join(left)


def _unless_cut_from(given: list[str], cut: re.Match[str]) -> str:
    """Nothing, if a text ending in an ellipsis is the beginning of a given one; else the text."""
    start = cut[0].removesuffix("…").strip()
    return "" if any(g.startswith(start) for g in given) else cut[0]


def test_nothing_is_left_in_english(plan: Plan) -> None:
    """Outside the marks of a language that marks all there are ids, user text, units and paper.

    Titles of parts and the cautions are worded in another layer.
    """
    with speaking("en", words=MARKED):
        packs = list(_packs(plan))
        cautions = [f"• {text}" for text in cautions_for(plan.shop)]
    for name, laid, parts in packs:
        if name.startswith("scale"):
            continue  # worded by its part
        job, shop = plan.job, plan.shop
        given = [job.title, job.date, job.blank.wood, shop.name, CLUB, PRINTER.name]
        given += [part.title for part in parts] + cautions
        for page in laid.pages:
            covers = [p for p in page.placements if p.part.kind == "cover"]
            runs = [" ".join(t.text for t in p.part.drawing.texts()) for p in covers]
            runs += [text.text for text in page.furniture.texts()]
            for run in [*runs, page.label]:
                rest = run
                for text in sorted(given, key=len, reverse=True):
                    rest = rest.replace(text, " ") if text else rest
                rest = re.sub(r"[^·⟧]*…", partial(_unless_cut_from, given), rest)
                rest = _unmarked(rest)
                words = re.findall(r"[^\W\d_]+", re.sub(r"\b[A-Z]\d+\b", " ", rest))
                assert set(words) <= {"mm", "in"}, (name, page.number, run, words)
            assert any("⟦" in run for run in runs)


def test_the_pdf_states_its_language(plan: Plan) -> None:
    """Catalogue entry Lang (ISO 32000-2, 14.9.2), outlines and subject, read by another library."""
    parts = make_parts(
        plan, kinds=("gauge stick",), style=PrintStyle(units=Units.MM, wording=wording_in_use())
    )
    with speaking("de", words=MARKED):
        laid = make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM)
        data = write_pdf(laid, title="T", attachments={})
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert reader.trailer["/Root"]["/Lang"] == "de"
    assert reader.metadata is not None
    assert str(reader.metadata.subject).startswith("⟦")
    titles = [str(entry.title) for entry in reader.outline if not isinstance(entry, list)]
    assert titles
    assert all(title.startswith("⟦Sheet ") or "⟦Sheet " in title for title in titles)
    assert all(label.startswith("⟦Sheet ") for label in reader.page_labels)


class _Lang(html.parser.HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.lang: str | None = None
        self.said: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "html":
            self.lang = dict(attrs)["lang"]
        self.said += [value for name, value in attrs if name == "alt" and value]

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.said.append(data.strip())


def test_the_index_page_states_its_language() -> None:
    """Attribute lang of the page (HTML standard, 3.2.6), and every word of its own translated."""
    link = PackLink(paper="a4", file="x.pdf", sheets=1)
    rows = [
        IndexRow(name="N", facts=(), picture="p.svg", packs=(link,), findings=()),
        IndexRow(name="N", facts=(), picture="", packs=(), findings=()),
    ]
    file = io.BytesIO()
    with speaking("de", words=MARKED):
        write_index(file, title="N", rows=rows, cautions=())
    page = _Lang()
    page.feed(file.getvalue().decode("utf-8"))
    assert page.lang == "de"
    said = [text for text in page.said if "display:grid" not in text]
    assert set(re.findall(r"[^\W\d_]+", _unmarked(" ".join(said)))) == {"N", "a"}
    assert any("⟦1 sheet⟧" in text for text in said)


def test_drawings_state_their_language(plan: Plan) -> None:
    """Attribute xml:lang of an SVG (XML 1.0, 2.12), read by the standard library."""
    (part,) = make_parts(
        plan, kinds=("gauge stick",), style=PrintStyle(units=Units.MM, wording=wording_in_use())
    )
    with speaking("de", words=MARKED):
        root = ElementTree.fromstring(drawing_svg(part.drawing))
    assert root.get(XML_LANG) == "de"
    assert ElementTree.fromstring(drawing_svg(part.drawing)).get(XML_LANG) == "en"


class Commas(Pseudo):
    """A marked language that writes a decimal comma."""

    def gettext(self, message: str) -> str:
        return "0,5" if message == "0.5" else super().gettext(message)


def test_the_drying_plot_speaks() -> None:
    """Axes, legend and months translated; figures along an axis with the language's comma.

    Never those of the drawing itself. Read by the standard library; weighings invented.
    """
    start = datetime.datetime(2026, 5, 2)  # noqa: DTZ001 - a record has no time zone
    times = [10.0 * n for n in range(8)]
    masses = [2160 + 1800 * math.exp(-0.03 * t) for t in times]
    told = progress(times, masses, known=[from_volume(2000)], target=12.5, rest_moisture=8)
    with speaking("de", words=Commas(lambda message: f"⟦{message}⟧")):
        data = drying_plot(
            kind=".svg",
            title="",
            dates=[start + datetime.timedelta(days=t) for t in times],
            masses_g=masses,
            told=told,
            target=12.5,
            unit="kg",
            grams=1000.0,
        )
    root = ElementTree.fromstring(data)
    assert root.get(XML_LANG) == "de"
    said = [t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "⟦target 12,5 %⟧" in said
    assert any(re.fullmatch(r"\d,\d+", text) for text in said)
    assert not any("." in text for text in said if "⟦" not in text)
    assert any("⟦Jun⟧" in text for text in said)
    assert not re.findall(r"[^\W\d_]+", _unmarked(" ".join(said)))
    drawn_figures = re.findall(r'(?:width|d|x|y)="([^"]*)"', data.decode())
    assert not any("," in figures for figures in drawn_figures)


@pytest.fixture
def marked_german(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """German is the language that marks every message, wherever it is spoken."""
    plain = wording.catalogue

    def catalogue(language: str) -> wording.Catalogue:
        return MARKED if language == "de" else plain(language)

    monkeypatch.setattr(wording, "catalogue", catalogue)
    drawn._sheet_pattern.cache_clear()
    yield
    drawn._sheet_pattern.cache_clear()


def _printed(language: str, folder: Path) -> tuple[Path, Plan, bytes]:
    """A pack in a language, as a file, with its plan and its recipe."""
    with speaking(language):
        plan = _plan()
        parts = make_parts(
            plan, kinds=KINDS, style=PrintStyle(units=Units.MM, wording=wording_in_use())
        )
        laid = make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM)
        recipe = recipe_bytes(plan, laid)
        data = write_pdf(laid, title=plan.job.title, attachments={NAME: recipe})
    path = folder / f"{language}.pdf"
    path.write_bytes(data)
    return path, plan, recipe


def _verified(path: Path) -> Report:
    with PackFile(path) as file:
        return verify(file)


@pytest.mark.usefixtures("marked_german")
@pytest.mark.parametrize(("pack", "screen"), [("de", "en"), ("en", "de"), ("de", "de")])
def test_verify_across_languages(pack: str, screen: str, tmp_path: Path) -> None:
    """A pack in one language is true on a screen in another.

    Rows are in the screen's language, the parts named as they are printed.
    """
    path, plan, _ = _printed(pack, tmp_path)
    with speaking(screen):
        report = _verified(path)
    assert report.is_true, [row for row in report.rows if not row.is_true]
    assert all(("⟦" in row.what + row.note) == (screen == "de") for row in report.bars)
    with speaking(pack):
        titles = {
            part.title
            for part in make_parts(
                plan, kinds=KINDS, style=PrintStyle(units=Units.MM, wording=wording_in_use())
            )
        }
    assert report.parts
    assert all(any(row.what.startswith(t) for t in titles) for row in report.parts)


def test_verify_a_german_pack_with_the_true_catalogue(tmp_path: Path) -> None:
    """The same with the German that is shipped."""
    path, _, _ = _printed("de", tmp_path)
    assert _verified(path).is_true
    with speaking("de"):
        assert _verified(path).is_true


@pytest.mark.usefixtures("marked_german")
def test_a_recipe_is_remade_in_its_own_language(tmp_path: Path) -> None:
    """Plan and parts of a recipe are those of its language, also where the job stated none."""
    _, plan, data = _printed("de", tmp_path)
    recipe = read_recipe(data, where="x.pdf")
    assert plan.job.print.language == ""
    assert recipe.language == "de"
    again, parts = remake(recipe)
    assert wording.spoken() == "en"
    with speaking("de"):
        held = make_parts(
            plan, kinds=KINDS, style=PrintStyle(units=Units.MM, wording=wording_in_use())
        )
        fresh = make_plan(recipe.job, recipe.shop)
    assert [part.title for part in parts] == [part.title for part in held]
    assert [part.drawing for part in parts] == [part.drawing for part in held]
    assert [f.text for f in again.findings] == [f.text for f in fresh.findings]


def test_a_shop_set_is_remade_in_its_own_language(plan: Plan) -> None:
    """The plan that stands for a shop keeps the language too."""
    with speaking("de"):
        bare = shop_plan(plan.shop, date="2026-05-02")
        parts = shop_parts(
            bare.shop,
            kinds=("tenon ring",),
            style=PrintStyle(units=Units.MM, wording=wording_in_use()),
        )
        laid = make_pack(bare, parts, paper=paper_named("a4"), units=Units.MM)
        data = recipe_bytes(bare, laid)
    again, _ = remake(read_recipe(data, where="x.pdf"))
    assert again.job.print.language == "de"


def test_figures_of_a_recipe_have_points(plan: Plan) -> None:
    """Machine data keep the decimal point, whatever is spoken; a sentence may have a comma."""
    with speaking("de"):
        parts = make_parts(
            plan, kinds=("gauge stick",), style=PrintStyle(units=Units.MM, wording=wording_in_use())
        )
        laid = make_pack(plan, parts, paper=paper_named("a4"), units=Units.MM)
        held = make_recipe(plan, laid)
        svg = drawing_svg(parts[0].drawing).decode()
    held["plan"]["findings"] = []
    assert not re.search(r"\d,\d+ mm", json.dumps(held))
    assert not re.search(r'(?:width|height|viewBox|d)="[^"]*,', svg)
