"""The page in a real browser: what a turner does, and that everybody can do it."""

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import Watch, open_browser, open_page, page_process

from templategen.app.jobs import read_toml

pytest.importorskip("playwright", reason="the tests of the page need the package playwright")

VIEWS = ("shop", "blank", "nest", "chart", "log", "pack", "drying")
LONG = 60_000  # ms that a pack may take on a busy machine
STATE = "#main .headline .state"

TOO_WIDE = """[...document.querySelectorAll('body *')]
    .filter(e => !e.closest('.scroll, #views, svg, .unseen, .skip'))
    .filter(e => e.getBoundingClientRect().right > innerWidth + 1)
    .map(e => e.outerHTML.slice(0, 120))
    .concat(document.documentElement.scrollWidth > innerWidth ? ['the page scrolls across'] : [])"""

Opened = Callable[..., Any]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One browser for all tests of this file."""
    with open_browser() as found:
        yield found


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """The page over a new folder with the starter files."""
    with page_process(tmp_path / "folder") as found:
        yield found


@pytest.fixture(scope="module")
def looked_at(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page for tests that write nothing."""
    with page_process(tmp_path_factory.mktemp("looked-at") / "folder") as found:
        yield found


@pytest.fixture
def folder(tmp_path: Path, address: str) -> Path:
    """Where that page keeps its files."""
    assert address
    return tmp_path / "folder"


@pytest.fixture
def window(browser: Any, address: str) -> Iterator[Opened]:  # noqa: ANN401 - of playwright
    """Opens windows, each with nothing in common with the others, and watches them."""
    opened = []

    def open_one(view: str = "nest", language: str = "en", **options: Any) -> Any:  # noqa: ANN401
        context = browser.new_context(viewport={"width": 1280, "height": 900}, **options)
        page = context.new_page()
        page.add_init_script(f"localStorage.setItem('templategen-language', '{language}')")
        opened.append((context, Watch(page, address)))
        page.on("dialog", lambda dialog: dialog.accept())  # leave with changes not saved
        open_page(page, address, view)
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
    window: Opened, folder: Path
) -> None:
    """Two cutters, one set of jaws, a blank, a drag, a suggestion, some parts, a true PDF."""
    page = window("shop")
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

    page.get_by_role("link", name="The blank").click()
    _typed(page, "job-blank-diameter", "320")
    _typed(page, "job-blank-height", "150")
    _typed(page, "job-blank-wood", "ash")
    page.locator(".woods [role=option]").first.click()
    _planned(page, "bowl")

    page.get_by_role("link", name="The nest").click()
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
    held = read_toml(folder / "job.toml")
    assert held["blank"]["diameter"] == 320
    assert held["shop"] == "willow-barn-invented.toml"
    cutters = read_toml(folder / "willow-barn-invented.toml")["cutters"]
    assert [(one["id"], one["kerf"]) for one in cutters][:2] == [("R90", 9), ("R125", 9.5)]

    page.get_by_role("link", name="The pack").click()
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


def test_two_windows_on_one_job_lose_nothing(window: Opened, folder: Path) -> None:
    """What was changed elsewhere is never written over unasked: both are offered."""
    here, there = window("blank"), window("blank")
    _typed(here, "job-blank-diameter", "380")
    _planned(here, "bowl")
    _saved(here)
    _typed(there, "job-blank-diameter", "360")
    _planned(there, "bowl")
    there.get_by_role("button", name="Save", exact=True).click()
    dialog = there.get_by_role("dialog")
    dialog.wait_for()
    assert {"380", "360"} <= set(re.findall(r"\d+", dialog.inner_text()))
    assert read_toml(folder / "job.toml")["blank"]["diameter"] == 380
    there.get_by_role("button", name="Keep mine").click()
    there.wait_for_selector(".kept:not(.open)")
    assert read_toml(folder / "job.toml")["blank"]["diameter"] == 360

    _typed(here, "job-blank-height", "160")
    _planned(here, "bowl")
    here.get_by_role("button", name="Save", exact=True).click()
    here.get_by_role("button", name="Take the one in the file").click()
    here.wait_for_selector(".kept:not(.open)")
    assert here.locator("#job-blank-diameter").input_value() == "360"
    assert read_toml(folder / "job.toml")["blank"] == read_toml(folder / "job.toml")["blank"] | {
        "diameter": 360,
        "height": 180,
    }


def test_a_job_half_typed_keeps_what_was_saved(window: Opened, folder: Path) -> None:
    """A fault is told at its field, is never written, and a reload brings back what was typed."""
    page = window("blank")
    before = (folder / "job.toml").read_bytes()
    _typed(page, "job-blank-diameter", "40 m")
    page.wait_for_selector("#job-blank-diameter[aria-invalid=true]")
    assert page.locator("#job-blank-diameter-fault").inner_text()
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Close").click()
    assert (folder / "job.toml").read_bytes() == before
    page.reload()
    page.wait_for_selector("#job-blank-diameter[aria-invalid=true]")
    assert page.locator("#job-blank-diameter").input_value() == "40 m"
    assert page.locator(".kept.open").count() == 1
    _typed(page, "job-blank-diameter", "350")
    _planned(page, "bowl")
    _saved(page)
    assert read_toml(folder / "job.toml")["blank"]["diameter"] == 350


def test_the_keyboard_alone_moves_a_cut_and_takes_it_back(window: Opened) -> None:
    """Arrow keys move the chosen cut one mark, the hand keeps hold of it, undo goes back."""
    page = window("nest")
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


def test_every_switch_reads_by_the_keyboard(window: Opened) -> None:
    """Tab reaches every control in turn, and what has the focus is seen."""
    page = window("blank")
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
    assert {"job-blank-diameter", "job-blank-height", "job-blank-wood", "The nest"} <= seen


def test_a_change_of_unit_keeps_every_length(window: Opened, folder: Path) -> None:
    """Inches show the same blank, and back again nothing has changed."""
    page = window("blank")
    _planned(page, "bowl")
    rims = page.locator(".beside .rims").inner_text()
    page.locator("input[name=units][value=in]").check(force=True)
    _until(page, "document.querySelector('.beside .rims').innerText.includes(' in')")
    page.locator("input[name=units][value=mm]").check(force=True)
    _until(page, "document.querySelector('.beside .rims').innerText.includes(' mm')")
    assert page.locator(".beside .rims").inner_text() == rims
    _saved(page)
    assert read_toml(folder / "job.toml")["units"] == "mm"


def test_a_cell_of_the_chart_takes_that_blank(window: Opened) -> None:
    """The chart is a map of blanks: a press takes one, and the nest shows its bowls."""
    page = window("chart")
    page.locator("#chart-diameters").fill("300-320/20")
    page.locator("#chart-heights").fill("120-140/20")
    page.get_by_role("button", name="Work it out").click()
    cell = page.get_by_role("button", name=re.compile(r"^320 mm × 140 mm: "))
    cell.click(timeout=LONG)
    _planned(page, "bowl")
    page.get_by_role("link", name="The blank").click()
    assert page.locator("#job-blank-diameter").input_value() == "320"
    assert page.locator("#job-blank-height").input_value() == "140"


def test_a_weighing_is_written_and_drawn(window: Opened, folder: Path) -> None:
    """The drying view writes the CSV that the command reads."""
    page = window("drying")
    for date, mass in (("2026-05-02", "2310 g"), ("2026-05-20", "1980 g")):
        page.locator("#weigh-bowl").select_option(index=0)
        page.locator("#weigh-date").fill(date)
        page.locator("#weigh-mass").fill(mass)
        page.get_by_role("button", name="Keep it").click()
        page.get_by_role("rowheader", name=date).wait_for()
    assert page.locator(".bowl-card svg.curve").count() == 1
    assert "2026-05-20" in (folder / "weighings.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize("language", ["en", "de"])
def test_nobody_is_shut_out(
    browser: Any,  # noqa: ANN401 - of playwright
    looked_at: str,
    language: str,
) -> None:
    """axe-core (WCAG 2 and good practice) finds no violation on any view, and nothing is cut off.

    Each view in both languages, in a window of 360 px as well, where only tables scroll, in frames
    of their own; in both schemes too, whose colours do not depend on the language.
    """
    schemes = ("light", "dark") if language == "en" else ("light",)
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="needs axe").Axe()
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    watch = Watch(page, looked_at)
    page.add_init_script(f"localStorage.setItem('templategen-language', '{language}')")
    open_page(page, looked_at, "shop")
    for view in VIEWS:
        page.evaluate(f"location.hash = '#/{view}'")
        page.wait_for_selector(f"main.view-{view}")
        page.wait_for_timeout(500)
        page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
        for colours in schemes:
            page.emulate_media(color_scheme=colours)
            page.wait_for_timeout(150)
            assert not [
                (one["id"], one["nodes"][0]["html"][:160], one["nodes"][0]["failureSummary"][:200])
                for one in axe.run(page).response["violations"]
            ], (view, colours)
        page.set_viewport_size({"width": 360, "height": 740})
        assert not page.evaluate(TOO_WIDE), view
        page.set_viewport_size({"width": 1280, "height": 900})
    page.close()
    assert not watch.complaints
    assert not watch.strangers
