"""The page in a real browser: what a turner does, and that everybody can do it."""

import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from browser import Watch, open_browser, open_page, page_process

from templategen.app.jobs import read_toml

pytest.importorskip("playwright", reason="the tests of the page need the package playwright")

VIEWS = ("shop", "blank", "nest", "chart", "log", "pack", "drying")
COMPLETE = {  # what a view shows last
    "nest": ".suggestion, .sets li",
    "chart": ".cell",
    "log": ".beside table",
    "pack": ".leaf img",
    "drying": "svg.curve",
}
LONG = 60_000  # ms that a pack may take on a busy machine
STATE = "#main .headline .state"

TOO_WIDE = """[...document.querySelectorAll('body *')]
    .filter(e => !e.closest('.scroll, #views, svg, .unseen, .skip'))
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1)
    .map(e => e.outerHTML.slice(0, 120))
    .concat(document.documentElement.scrollWidth > innerWidth ? ['the page scrolls across'] : [])"""

VIOLATIONS = """rules => axe.run({resultTypes: ['violations'], runOnly: rules}).then(found =>
    found.violations.map(one =>
        [one.id, one.nodes[0].html.slice(0, 160), one.nodes[0].failureSummary.slice(0, 200)]))"""
RULES = {  # of a scheme only the colours differ, and they are the same in every language
    "light": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "dark": {"type": "rule", "values": ["color-contrast", "link-in-text-block"]},
}

Opened = Callable[..., Any]


RECORD = "date,mass_g,identity\n2026-05-02,2310,1\n2026-05-12,2120,1\n"
LOG = "[log]\ndiameter = 500\nlength = 900\n"


@dataclass(frozen=True, slots=True)
class Place:
    """A page over a folder: each test has a job and a shop of its own there."""

    address: str
    folder: Path

    def job(self, name: str, more: str = "") -> str:
        """A new job with a shop of two of the starter's cutters and three of its jaws."""
        shop = read_toml(self.folder / "shop.toml")
        shop["cutters"] = [one for one in shop["cutters"] if one["id"] in ("R105", "R135")]
        shop["jaws"] = [one for one in shop["jaws"] if one["true_circle"] in (100, 130, 200)]
        text = (self.folder / "job.toml").read_text(encoding="utf-8")
        text = text.replace('shop = "shop.toml"', f'shop = "{name}-shop.toml"')
        (self.folder / f"{name}.toml").write_text(text + more, encoding="utf-8")
        (self.folder / f"{name}-shop.toml").write_text(tomlkit.dumps(shop), encoding="utf-8")
        return f"{name}.toml"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One browser for all tests of this file."""
    with open_browser() as found:
        yield found


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """The page over a new folder with the starter files and a record of weighings."""
    folder = tmp_path_factory.mktemp("browser") / "folder"
    with page_process(folder) as address:
        (folder / "weighings.csv").write_text(RECORD, encoding="utf-8")
        yield Place(address, folder)


@pytest.fixture
def window(browser: Any, place: Place) -> Iterator[Opened]:  # noqa: ANN401 - of playwright
    """Opens windows, each with nothing in common with the others, and watches them."""
    opened = []

    def open_one(view: str, job: str, **options: Any) -> Any:  # noqa: ANN401
        context = browser.new_context(viewport={"width": 1280, "height": 900}, **options)
        page = context.new_page()
        opened.append((context, Watch(page, place.address)))
        page.on("dialog", lambda dialog: dialog.accept())  # leave with changes not saved
        open_page(page, place.address, f"{view}?job={job}")
        return page

    yield open_one
    for context, watch in opened:
        context.close()
        assert not watch.complaints
        assert not watch.strangers


def _typed(page: Any, name: str, text: str) -> None:  # noqa: ANN401 - of playwright
    """Types into a field as hands do, key by key."""
    field = page.locator(f"[id='{name}']")
    field.fill("")
    field.press_sequentially(text)


def _until(page: Any, holds: str, arg: object = None) -> None:  # noqa: ANN401 - of playwright
    """Waits for an expression; the page's content policy forbids playwright's own way."""
    deadline = time.monotonic() + LONG / 1000
    while not page.evaluate(f"arg => {holds}", arg):
        assert time.monotonic() < deadline, f"never held: {holds}"
        page.wait_for_timeout(40)


def _planned(page: Any, text: str) -> None:  # noqa: ANN401 - of playwright
    _until(page, "document.querySelector(arg[0])?.textContent.includes(arg[1])", [STATE, text])


def _saved(page: Any) -> None:  # noqa: ANN401 - of playwright
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_selector(".kept:not(.open)", timeout=LONG)


def _drag(page: Any, handle: str, dx: float, dy: float) -> None:  # noqa: ANN401 - of playwright
    box = page.locator(f"#{handle}").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 9):
        page.mouse.move(x + dx * step / 8, y + dy * step / 8)
        page.wait_for_timeout(30)
    page.mouse.up()
    page.wait_for_timeout(300)


def test_a_newcomer_gets_from_an_empty_shop_to_a_verified_pack(
    window: Opened, place: Place
) -> None:
    """Two cutters, one set of jaws, a blank, a drag, a suggestion, some parts, a true PDF."""
    folder, job = place.folder, place.job("newcomer")
    page = window("shop", job)
    page.get_by_role("button", name="New shop").click()
    page.get_by_label("What do you call the shop?").fill("Willow barn (invented)")
    page.get_by_role("button", name="Make it").click()
    _until(page, "document.querySelector('#file-shop').value === 'willow-barn-invented.toml'")
    for key, text in {"id": "R90", "radius": "90", "kerf": "9"}.items():
        _typed(page, f"shop-cutters-1-{key}", text)
    page.get_by_role("button", name="Add a cutter").click()
    for key, text in {"id": "R125", "radius": "125", "kerf": "9,5"}.items():
        _typed(page, f"shop-cutters-2-{key}", text)
    page.get_by_role("button", name="Add jaws").click()
    for key, text in {"id": "100", "true_circle": "100", "depth": "14"}.items():
        _typed(page, f"shop-jaws-1-{key}", text)
    _saved(page)

    page.get_by_role("link", name="The blank", exact=True).click()
    _typed(page, "job-blank-diameter", "320")
    _typed(page, "job-blank-height", "150")
    _typed(page, "job-blank-wood", "ash")
    page.locator(".woods [role=option]").first.click()
    _planned(page, "bowl")

    page.get_by_role("link", name="The nest", exact=True).click()
    first = page.locator("[data-part=entry]").inner_text()
    _drag(page, "handle-entry-1", -14, 0)
    page.wait_for_selector(".chosen-cut .pin")
    assert page.locator("[data-part=entry]").inner_text() != first
    page.get_by_role("button", name=re.compile(r"Let cut 1 free")).click()
    page.wait_for_selector(".chosen-cut .pin", state="detached")

    suggestion = page.locator(".suggestion").first
    suggestion.wait_for(timeout=LONG)
    before = page.locator("#main .headline").inner_text()
    suggestion.click()
    _until(page, "document.querySelector('#main .headline').innerText !== arg", before)
    _saved(page)
    held = read_toml(folder / job)
    assert held["blank"]["diameter"] == 320
    assert held["shop"] == "willow-barn-invented.toml"
    cutters = read_toml(folder / "willow-barn-invented.toml")["cutters"]
    assert [(one["id"], one["kerf"]) for one in cutters][:2] == [("R90", 9), ("R125", 9.5)]

    page.get_by_role("link", name="The pack", exact=True).click()
    page.wait_for_selector(".sheets .large b", timeout=LONG)
    all_sheets = int(page.locator(".sheets .large b").inner_text())
    for group in page.locator(".group legend input").all()[1:]:
        if group.is_checked() or group.evaluate("box => box.indeterminate"):
            group.check()
            group.uncheck()
    _until(
        page, "Number(document.querySelector('.sheets .large b')?.textContent) < arg", all_sheets
    )
    _until(
        page,
        "document.querySelector('.leaf img')?.complete "
        "&& document.querySelector('.leaf img').naturalWidth > 200",
    )
    page.get_by_role("button", name="Save the pack").click()
    page.get_by_role("button", name="Verify the saved file").click(timeout=LONG)
    page.wait_for_selector(".saved .state", timeout=LONG)
    assert page.locator(".saved .state").inner_text() == "True"
    assert list((folder / "packs").glob("*.pdf"))


def test_two_windows_on_one_job_lose_nothing(window: Opened, place: Place) -> None:
    """What was changed elsewhere is never written over unasked: both are offered."""
    file = place.folder / place.job("twice")
    here, there = window("blank", file.name), window("blank", file.name)
    _typed(here, "job-blank-diameter", "380")
    _planned(here, "bowl")
    _saved(here)
    _typed(there, "job-blank-diameter", "360")
    _planned(there, "bowl")
    there.get_by_role("button", name="Save", exact=True).click()
    dialog = there.get_by_role("dialog")
    dialog.wait_for()
    assert {"380", "360"} <= set(re.findall(r"\d+", dialog.inner_text()))
    assert read_toml(file)["blank"]["diameter"] == 380
    there.get_by_role("button", name="Keep mine").click()
    there.wait_for_selector(".kept:not(.open)")
    assert read_toml(file)["blank"]["diameter"] == 360

    _typed(here, "job-blank-height", "160")
    _planned(here, "bowl")
    here.get_by_role("button", name="Save", exact=True).click()
    here.get_by_role("button", name="Take the one in the file").click()
    here.wait_for_selector(".kept:not(.open)")
    assert here.locator("#job-blank-diameter").input_value() == "360"
    assert read_toml(file)["blank"] == read_toml(file)["blank"] | {
        "diameter": 360,
        "height": 180,
    }


def test_a_job_half_typed_keeps_what_was_saved(window: Opened, place: Place) -> None:
    """A fault is told at its field, is never written, and a reload brings back what was typed."""
    file = place.folder / place.job("half")
    page = window("blank", file.name)
    before = file.read_bytes()
    _typed(page, "job-blank-diameter", "40 m")
    page.wait_for_selector("#job-blank-diameter[aria-invalid=true]")
    assert page.locator("#job-blank-diameter-fault").inner_text()
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Close").click()
    assert file.read_bytes() == before
    page.reload()
    page.wait_for_selector("#job-blank-diameter[aria-invalid=true]")
    assert page.locator("#job-blank-diameter").input_value() == "40 m"
    assert page.locator(".kept.open").count() == 1
    _typed(page, "job-blank-diameter", "350")
    _planned(page, "bowl")
    _saved(page)
    assert read_toml(file)["blank"]["diameter"] == 350


def test_the_keyboard_alone_moves_a_cut_and_takes_it_back(window: Opened, place: Place) -> None:
    """Arrow keys move the chosen cut one mark, the hand keeps hold of it, undo goes back.

    Tab reaches every control in turn, and what has the focus is seen.
    """
    page = window("nest", place.job("keys"))
    page.locator("#handle-entry-1").focus()
    shown = page.locator("[data-part=entry]")
    first = float(shown.inner_text().split()[0])
    page.keyboard.press("ArrowLeft")
    _until(page, f"document.querySelector('[data-part=entry]').textContent !== '{first:g} mm'")
    assert float(shown.inner_text().split()[0]) == pytest.approx(first - 0.5)  # a mark: design §4
    assert page.evaluate("document.activeElement.id") == "handle-entry-1"
    assert page.locator("#handle-entry-1").get_attribute("aria-valuetext") == shown.inner_text()
    page.get_by_role("button", name="Undo").click()
    _until(page, f"document.querySelector('[data-part=entry]').textContent === '{first:g} mm'")
    page.get_by_role("button", name="Redo").click()
    _until(page, f"document.querySelector('[data-part=entry]').textContent !== '{first:g} mm'")

    page.get_by_role("link", name="The blank", exact=True).click()
    page.wait_for_selector("#job-blank-wood")
    page.evaluate("document.activeElement.blur(); window.scrollTo(0, 0)")
    seen = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        found = page.evaluate(
            """() => { const e = document.activeElement, s = getComputedStyle(e);
            const next = e.nextElementSibling && getComputedStyle(e.nextElementSibling);
            return [e.id || e.textContent.trim() || e.value,
                    s.outlineStyle !== 'none' || next?.outlineStyle !== 'none']; }"""
        )
        seen.add(found[0])
        assert found[1], f"no focus to be seen on {found[0]}"
    assert {"job-blank-diameter", "job-blank-height", "job-blank-wood"} <= seen


def test_a_finding_leads_to_its_field_and_its_place(window: Opened, place: Place) -> None:
    """A press on a finding puts the cursor into the field it speaks of and lights its place."""
    page = window("nest", place.job("finding"))
    finding = page.locator(".finding.whole:has(a)", has_text="cut 1").first
    target = finding.locator("a").get_attribute("href").partition("field=")[2]
    finding.locator("p").nth(1).click()
    _until(page, "document.activeElement.id === arg", target)
    assert page.locator(".nest .lit").count() >= 1


def test_dried_outlines_can_be_switched_off(window: Opened, place: Place) -> None:
    """The dashed outlines go and come by their switch, and a reload keeps the choice."""
    page = window("nest", place.job("dried"))
    page.wait_for_selector("#dry-1")
    page.locator(".legend input").uncheck()
    assert not page.locator("#dry-1").is_visible()
    page.reload()
    page.wait_for_selector("#dry-1", state="attached")
    assert not page.locator("#dry-1").is_visible()
    page.locator(".legend input").check()
    assert page.locator("#dry-1").is_visible()


def test_a_change_of_unit_keeps_every_length(window: Opened, place: Place) -> None:
    """Inches show the same blank, and back again nothing has changed."""
    file = place.folder / place.job("inches")
    page = window("blank", file.name)
    _planned(page, "bowl")
    rims = page.locator(".beside .rims").inner_text()
    page.locator("input[name=units][value=in]").check(force=True)
    _until(page, "document.querySelector('.beside .rims').innerText.includes(' in')")
    page.locator("input[name=units][value=mm]").check(force=True)
    _until(page, "document.querySelector('.beside .rims').innerText.includes(' mm')")
    assert page.locator(".beside .rims").inner_text() == rims
    _saved(page)
    assert read_toml(file)["units"] == "mm"


def test_points_of_an_outside_may_be_fractions(window: Opened, place: Place) -> None:
    """In inches a point is two figures such as 7 3/4, parted by a semicolon."""
    file = place.folder / place.job("points")
    page = window("blank", file.name)
    page.locator("input[name=units][value=in]").check(force=True)
    _until(page, "document.querySelector('.beside .rims').innerText.includes(' in')")
    page.locator("#job-blank-outside").select_option("points")
    page.locator("#job-blank-outside-points").fill("7 3/4; 0\n5 1/2; 6")
    _planned(page, "bowl")
    _saved(page)
    assert read_toml(file)["blank"]["outside"] == [["7 3/4", "0"], ["5 1/2", "6"]]


def test_a_cell_of_the_chart_takes_that_blank(window: Opened, place: Place) -> None:
    """The chart is a map of blanks: a press takes one, and the nest shows its bowls."""
    page = window("chart", place.job("chart"))
    cell = page.get_by_role("button", name=re.compile(r"^325 mm × 140 mm: "))
    cell.click(timeout=LONG)
    _planned(page, "bowl")
    page.get_by_role("link", name="The blank", exact=True).click()
    assert page.locator("#job-blank-diameter").input_value() == "325"
    assert page.locator("#job-blank-height").input_value() == "140"


def test_a_weighing_is_written_and_drawn(window: Opened, place: Place) -> None:
    """The drying view writes the CSV that the command reads."""
    page = window("drying", place.job("drying"))
    page.locator("#weigh-bowl").select_option("1")
    page.locator("#weigh-date").fill("2026-05-20")
    page.locator("#weigh-mass").fill("1980 g")
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("rowheader", name="2026-05-20").wait_for()
    assert page.locator(".bowl-card svg.curve").count() == 1
    assert "2026-05-20" in (place.folder / "weighings.csv").read_text(encoding="utf-8")


def test_nobody_is_shut_out(window: Opened, place: Place) -> None:
    """axe-core (WCAG 2 and good practice) finds no violation on any view, and nothing is cut off.

    Each view in both languages, in light and (its colours) dark, and in a window of 360 px, where
    only tables scroll, in frames of their own.
    """
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe").Axe()
    page = window("shop", place.job("looked-at", LOG))
    page.evaluate(axe.axe_script)
    for language in ("en", "de"):
        page.locator(f"input[name=language][value={language}]").check(force=True)
        page.wait_for_selector(f"html[lang={language}]")
        for view in VIEWS:
            page.evaluate(f"location.hash = '#/{view}'")
            page.wait_for_selector(f"main.view-{view}")
            page.wait_for_selector(COMPLETE.get(view, "h1"), timeout=LONG)
            page.evaluate("document.querySelectorAll('main details').forEach(e => e.open = true)")
            for colours, rules in RULES.items():
                if (colours, language) == ("dark", "de"):
                    continue
                page.emulate_media(color_scheme=colours)
                page.wait_for_timeout(30)
                assert not page.evaluate(VIOLATIONS, rules), (view, colours, language)
            page.set_viewport_size({"width": 360, "height": 740})
            assert not page.evaluate(TOO_WIDE), (view, language)
            page.set_viewport_size({"width": 1280, "height": 900})
