"""Asks a page server as its own page does."""

import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

PATIENCE = 120.0  # s


@dataclass(frozen=True, slots=True)
class Asker:
    """A browser window: client, key of the address, and the folder behind the server."""

    client: TestClient
    key: str
    root: Path

    def ask(self, name: str, /, **request: object) -> tuple[int, dict[str, Any]]:
        """Status and JSON of an endpoint."""
        answer = self.client.post(f"/{self.key}/api/{name}", json=request)
        return answer.status_code, answer.json()

    def task(self, name: str, /, **request: object) -> dict[str, Any]:
        """What a long task tells when it is over."""
        status, begun = self.ask(name, **request)
        assert status == 200, begun
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            told = self.ask("task", task=begun["task"])[1]
            if told["state"] != "running":
                return told
            time.sleep(0.05)
        raise AssertionError(f"{name} took too long")
