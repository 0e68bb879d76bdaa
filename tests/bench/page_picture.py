"""Makes the pictures of the page: the one of the README, and all views to look at.

`python tests/bench/page_picture.py README.png` for the one; `--all FOLDER` for every view at 360,
800 and 1440 px, light and dark, in English and German. Needs a browser (tests/page/browser.py).
"""

import sys
import tempfile
from itertools import product
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "page"))

from browser import open_browser, open_page, page_process

VIEWS = ("shop", "blank", "nest", "chart", "log", "pack", "drying")
WIDTHS = (360, 800, 1440)
WAIT = {"chart": 5000, "pack": 6000, "nest": 3000}  # ms until a view is complete
README_SIZE = {"width": 1280, "height": 840}


def _window(browser: Any, language: str, **options: Any) -> Any:  # noqa: ANN401 - of playwright
    window = browser.new_context(**options).new_page()
    window.add_init_script(f"localStorage.setItem('templategen-language', '{language}')")
    return window


def make_one(address: str, browser: Any, target: Path) -> None:  # noqa: ANN401 - of playwright
    """The nest in a window of a usual size."""
    window = _window(browser, "en", viewport=README_SIZE)
    open_page(window, address, "nest")
    window.wait_for_timeout(4000)
    window.screenshot(path=str(target))


def make_all(address: str, browser: Any, folder: Path) -> None:  # noqa: ANN401 - of playwright
    """Every view in every size, scheme and language."""
    folder.mkdir(parents=True, exist_ok=True)
    for width, scheme, language in product(WIDTHS, ("light", "dark"), ("en", "de")):
        size = {"width": width, "height": 900}
        window = _window(browser, language, viewport=size, color_scheme=scheme)
        for view in VIEWS:
            open_page(window, address, view)
            window.reload()
            window.wait_for_timeout(WAIT.get(view, 1500))
            name = f"{view}-{width}-{scheme}-{language}.png"
            window.screenshot(path=str(folder / name), full_page=True)
        window.context.close()


def main(words: list[str]) -> None:
    """Runs from the command line."""
    with (
        tempfile.TemporaryDirectory() as scratch,
        page_process(Path(scratch) / "folder") as address,
        open_browser() as browser,
    ):
        if words[:1] == ["--all"]:
            make_all(address, browser, Path(words[1]))
        else:
            make_one(address, browser, Path(words[0]))


if __name__ == "__main__":
    main(sys.argv[1:])
