"""Where the program starts: ``templategen`` and ``python -m templategen``."""

import gc
import os
import sys

OBJECTS = 20_000  # made before garbage is looked for: loading alone makes tens of thousands


def start() -> None:
    """Runs the command line; Ctrl-C ends quietly even while the program is still being loaded."""
    gc.set_threshold(OBJECTS)
    _leave_the_folder()
    _fill_closed_streams()
    try:
        from templategen.cli.main import run  # loaded here, so that Ctrl-C is caught meanwhile  # noqa: PLC0415

        run()
    except KeyboardInterrupt:
        sys.exit(130)  # 128 + SIGINT, the custom of POSIX shells


def _leave_the_folder() -> None:
    """Takes the current folder, which ``python -m`` puts first, off the path for modules.

    Else a ``pickle.py`` beside a downloaded pack would be run. Where the package itself lies there,
    the folder comes last.
    """
    root = os.path.dirname(os.path.dirname(os.path.realpath(__file__)))  # noqa: PTH120 - pathlib
    try:
        here = os.path.realpath(os.getcwd())  # noqa: PTH109 - is not loaded before it is safe
    except OSError:  # the folder was removed
        here = ""
    sys.path[:] = [p for p in sys.path if p and os.path.realpath(p) != here]
    if here == root:
        sys.path.append(root)


def _fill_closed_streams() -> None:
    """Opens the null device in place of each standard stream that the caller closed.

    Else the first files that the program opens would take their numbers, and a child that writes
    to its standard output would write into them.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the least free number, which is this one
    if sys.stdout is None:
        sys.stdout = os.fdopen(1, "w", encoding="utf-8")
    if sys.stderr is None:
        sys.stderr = os.fdopen(2, "w", encoding="utf-8")


if __name__ == "__main__":
    start()
