"""What holds for every test: English, whatever language the machine speaks."""

from collections.abc import Iterator

import pytest

from templategen.wording import ENGLISH, speaking


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Every test begins in English and leaves no language behind."""
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)
    with speaking(ENGLISH):
        yield
