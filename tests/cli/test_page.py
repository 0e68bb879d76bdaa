"""The command `page`: a server on this machine alone, ended by Ctrl-C."""

import json
import os
import re
import signal
import socket
import subprocess
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from commands import PROGRAM, Run

from templategen.page.server import listening

WAIT = 60.0  # s


@pytest.fixture
def started(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A running page of a new folder, and its address."""
    words = [*PROGRAM, "page", str(tmp_path / "files"), "--no-open"]
    process = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None
    shown = "".join(iter(process.stdout.readline, "Press Ctrl-C here to end it.\n"))
    address = re.search(r"http://127\.0\.0\.1:\d+/[\w-]{32}/", shown)
    assert address is not None, shown
    yield process, address[0]
    if process.poll() is None:
        process.kill()
    process.communicate()


def _boot(address: str) -> dict[str, object]:
    body = urllib.request.Request(
        f"{address}api/boot", data=b"{}", headers={"content-type": "application/json"}
    )
    with urllib.request.urlopen(body, timeout=WAIT) as answer:
        held: dict[str, object] = json.load(answer)
        return held


@pytest.mark.skipif(os.name != "posix", reason="Ctrl-C is sent as a signal")
def test_the_page_runs_until_it_is_interrupted(
    started: tuple[subprocess.Popen[str], str], tmp_path: Path
) -> None:
    """It answers as soon as its address is printed, and ends quietly at Ctrl-C.

    No other address of this machine is listened on.
    """
    process, address = started
    assert _boot(address)["file"] == {"job": "job.toml"}
    assert (tmp_path / "files" / "shop.toml").is_file()
    port = int(address.split(":")[2].split("/")[0])
    name = socket.gethostbyname(socket.gethostname())
    other = name if not name.startswith("127.0.0.1") else "127.0.0.2"
    with socket.socket() as line:
        line.settimeout(2)
        assert line.connect_ex((other, port)) != 0
    process.send_signal(signal.SIGINT)
    _, err = process.communicate(timeout=WAIT)
    assert (process.returncode, err) == (0, "")
    with pytest.raises(OSError, match="refused"):
        urllib.request.urlopen(address, timeout=WAIT)


def test_a_port_that_is_taken_is_one_line(run: Run) -> None:
    """A taken port is said with its mend; so is one that does not exist."""
    with listening(0) as line:
        port = line.getsockname()[1]
        code, _, err = run("page", "files", "--no-open", "--port", str(port))
    assert (code, err.count("\n")) == (2, 1)
    assert f"port {port} cannot be used" in err
    code, _, err = run("page", "files", "--no-open", "--port", "70000")
    assert (code, err.count("\n")) == (2, 1)


def test_each_start_has_its_own_key() -> None:
    """Keys hold 24 random bytes, and no two are the same."""
    from templategen.page.guard import new_key

    keys = {new_key() for _ in range(100)}
    assert len(keys) == 100
    assert all(len(key) == 32 for key in keys)
