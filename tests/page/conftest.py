"""A page server over a folder of its own, asked as a browser would."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from asking import Asker
from starlette.testclient import TestClient

from templategen.app.folder import open_folder
from templategen.messages import ENGLISH_WORDING
from templategen.page.guard import Guard
from templategen.page.server import PageServer
from templategen.units import Units

KEY, PORT = "a-key-for-tests", 8765


@pytest.fixture(scope="session")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asker]:
    """The page with the starter files; what a test writes there has a name of its own."""
    root = tmp_path_factory.mktemp("page") / "work"
    server = PageServer(open_folder(root, wording=ENGLISH_WORDING, units=Units.MM), language="en")
    guard = Guard(server.app, key=KEY, port=PORT)
    with TestClient(guard, base_url=f"http://127.0.0.1:{PORT}") as client:
        yield Asker(client, KEY, root)


@pytest.fixture(scope="session")
def forms(page: Asker) -> dict[str, Any]:
    """The forms of the starter job and shop."""
    return {
        "job": page.ask("read", file="job.toml")[1]["table"],
        "shop": page.ask("read", file="shop.toml")[1]["table"],
    }


@pytest.fixture
def empty_folder(tmp_path: Path) -> Path:
    """A folder with the starter files."""
    return open_folder(tmp_path / "f", wording=ENGLISH_WORDING, units=Units.MM).root
