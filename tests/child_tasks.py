"""Functions that tests run in child processes."""

import os
import socket
import subprocess
import sys
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path


def echo(line: Connection, number: int) -> None:
    """Answers once, then tells its path."""
    line.send((number, line.recv()))
    line.send(sys.path)


def work_for_ever(line: Connection) -> None:
    """Never ends by itself."""
    line.send("begun")
    while True:
        pass


def try_all(line: Connection, folder: str) -> None:
    """Tells of many deeds whether they can be done."""
    place = Path(folder)

    def send(address: str, kind: socket.SocketKind) -> None:
        with socket.socket(socket.AF_INET, kind) as open_one:
            open_one.settimeout(1)
            open_one.connect((address, 9))
            open_one.send(b"x")

    deeds: dict[str, Callable[[], object]] = {
        "read": Path(__file__).read_bytes,
        "write": lambda: (place / "new").write_text("x"),
        "remove": lambda: (place / "kept").unlink(),
        "folder": lambda: (place / "inner").mkdir(),
        "link": lambda: (place / "link").symlink_to(place / "kept"),
        "program": lambda: subprocess.run([sys.executable, "-c", ""], check=True),
        "fork": lambda: os.execv(sys.executable, [sys.executable, "-c", ""]),
        "datagram": lambda: send("192.0.2.1", socket.SOCK_DGRAM),
        "connection": lambda: send("127.0.0.1", socket.SOCK_STREAM),
        "thread": lambda: threading.Thread(target=place.exists).start(),
        "memory": lambda: bytearray(400_000_000),
    }
    line.send([(name, _tried(deed)) for name, deed in deeds.items()])


def _tried(deed: Callable[[], object]) -> str:
    try:
        deed()
    except (OSError, RuntimeError, MemoryError) as error:
        return type(error).__name__
    return "done"
