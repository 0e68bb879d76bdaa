"""What holds for every test: English, whatever language the machine speaks."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

from templategen.wording import ENGLISH, speaking

settings.register_profile("unhurried", deadline=None)  # a busy machine fails no test
settings.load_profile("unhurried")


@pytest.fixture(autouse=True)
def english(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Every test begins in English and leaves no language behind."""
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)
    with speaking(ENGLISH):
        yield
