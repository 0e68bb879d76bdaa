"""Where the program starts: ``templategen`` and ``python -m templategen``."""

import gc
import sys

OBJECTS = 20_000  # made before garbage is looked for: loading alone makes tens of thousands


def start() -> None:
    """Runs the command line; Ctrl-C ends quietly even while the program is still being loaded."""
    gc.set_threshold(OBJECTS)
    try:
        from templategen.cli.main import run  # loaded here, so that Ctrl-C is caught meanwhile  # noqa: PLC0415

        run()
    except KeyboardInterrupt:
        sys.exit(130)  # 128 + SIGINT, the custom of POSIX shells


if __name__ == "__main__":
    start()
