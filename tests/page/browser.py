"""A browser of the machine, and the page as a process of its own, for tests and benches."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")
NEEDED = "TEMPLATEGEN_NEEDS_BROWSER"  # set where these tests must not be skipped
SILENT = (  # the browser itself asks nothing of a network
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
READY = "html[data-ready=yes]"
START = 30_000  # ms


def browser_path() -> str | None:
    """The first browser found on this machine."""
    return next((found for name in NAMES if (found := shutil.which(name))), None)


@contextmanager
def open_browser() -> Iterator[Any]:
    """A browser without a window; skips the test where there is none."""
    path = browser_path()
    if path is None:
        if os.environ.get(NEEDED):
            pytest.fail(f"{NEEDED} is set and there is no browser: install chromium")
        pytest.skip("no browser on this machine: install chromium to run the tests of the page")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(SILENT))
        yield browser
        browser.close()


@contextmanager
def page_process(folder: Path) -> Iterator[str]:
    """`templategen page FOLDER` running; gives its address."""
    command = [sys.executable, "-m", "templategen", "page", str(folder), "--no-open"]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1", "LANG": "C"}
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=environment
    )
    try:
        assert process.stdout is not None
        said = ""
        for line in process.stdout:
            said += line
            if found := re.search(r"http://127\.0\.0\.1:\d+/\S+/", line):
                yield found.group()
                break
        else:
            pytest.fail(f"the page did not start: {said}")
    finally:
        process.terminate()
        process.wait(timeout=20)
        if process.stdout is not None:
            process.stdout.close()


class Watch:
    """What a window complains about, and where it went: both must stay empty."""

    def __init__(self, window: Any, address: str) -> None:  # noqa: ANN401 - of playwright
        self.complaints: list[str] = []
        self.strangers: list[str] = []
        host = address.split("/")[2]

        def of_console(message: Any) -> None:  # noqa: ANN401 - of playwright
            refused = "status of 4" in message.text  # an answer that says what is wrong
            if message.type in ("error", "warning") and not refused:
                self.complaints.append(message.text)

        def of_request(request: Any) -> None:  # noqa: ANN401 - of playwright
            if request.url.split("/")[2] != host and not request.url.startswith(("data:", "blob:")):
                self.strangers.append(request.url)

        window.on("console", of_console)
        window.on("pageerror", lambda error: self.complaints.append(str(error)))
        window.on("request", of_request)


def open_page(window: Any, address: str, view: str) -> None:  # noqa: ANN401 - of playwright
    """Opens a view and waits until it can be used."""
    window.goto(f"{address}#/{view}")
    window.wait_for_selector(READY, timeout=START)
