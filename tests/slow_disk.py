"""Runs the program on a disk that takes four kilobytes at a time, so that a run can be caught.

With one word it does not run the program but writes its standard input to the file of that name.
"""

import os
import sys
import time
from pathlib import Path
from typing import BinaryIO

BLOCK = 4096  # bytes
MEET = "SLOW_DISK_MEET" in os.environ  # whether to wait for another run that writes here too
PAUSE = 0.003  # s after each


class SlowFile:
    """A file that is written block by block, each block on the disk before the next."""

    def __init__(self, file: BinaryIO) -> None:
        self.file = file

    def __enter__(self) -> "SlowFile":
        return self

    def __exit__(self, *_: object) -> None:
        self.file.close()

    def write(self, data: bytes) -> int:
        """Writes slowly."""
        for start in range(0, len(data), BLOCK):
            self.file.write(data[start : start + BLOCK])
            self.file.flush()
            time.sleep(PAUSE)
        return len(data)

    def flush(self) -> None:
        """Nothing is left to be written."""

    def fileno(self) -> int:
        """The handle of the file."""
        return self.file.fileno()


def slow_down() -> None:
    """Every file that `os.fdopen` opens for writing is slow from now on, and so is each rename."""
    opened, replaced = os.fdopen, os.replace

    def slow_open(*words: object, **names: object) -> object:
        file = opened(*words, **names)
        if words[1:2] != ("wb",):
            return file
        until = time.monotonic() + 20
        while MEET and len(list(Path().glob(".templategen-*"))) < 2 and time.monotonic() < until:
            time.sleep(PAUSE)
        return SlowFile(file)

    def slow_replace(*words: object, **names: object) -> None:
        time.sleep(5 * PAUSE)
        replaced(*words, **names)
        time.sleep(5 * PAUSE)

    os.fdopen, os.replace = slow_open, slow_replace


if __name__ == "__main__":
    from templategen.__main__ import start
    from templategen.output.files import make_folder, write_atomically

    slow_down()
    if len(sys.argv) == 2:
        make_folder(Path(sys.argv[1]).parent)
        write_atomically(Path(sys.argv[1]), sys.stdin.buffer.read())
    else:
        sys.argv[0] = "templategen"
        start()
