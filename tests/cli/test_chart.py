"""The command ``chart``: it can be interrupted, and tells how far it is."""

import signal
import subprocess
import time
from pathlib import Path

from builders import EXAMPLES
from commands import ENV, PROGRAM

from templategen.app.charts import make_chart, open_wishes


def test_every_blank_is_reported() -> None:
    """The callback counts the blanks up to their number."""
    told: list[tuple[int, int]] = []
    opened = open_wishes(EXAMPLES / "small-shop.toml")
    make_chart(
        opened,
        diameters="200-250/25",
        heights="80-100/20",
        progress=lambda done, total: told.append((done, total)),
    )
    assert told == [(n, 6) for n in range(1, 7)]


def test_ctrl_c_is_answered_within_a_second(tmp_path: Path) -> None:
    """A long chart ends with 130 (128 + SIGINT, POSIX shells), quickly and in silence."""
    words = ["chart", "--diameters", "150-1500/12", "--heights", "50-600/25"]
    with subprocess.Popen(
        [*PROGRAM, *words],
        cwd=tmp_path,
        env=ENV,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as process:
        time.sleep(2)
        before = time.monotonic()
        process.send_signal(signal.SIGINT)
        output = process.communicate(timeout=20)
        waited = time.monotonic() - before
    assert (process.returncode, output) == (130, (b"", b""))
    assert waited < 1
