"""The command line of a Python child process that imports nothing from the current folder.

`python -c` and `python -m` look for modules in the current folder first: a `pickle.py` beside a
downloaded file would run. A child started here has the import path of this process without the
current folder, and reads no environment variable of Python (``-I``).
"""

import os
import sys
from pathlib import Path

_CODE = """\
import sys
sys.path[:] = {path!r}
from {module} import main
main()
"""


def isolated_command(module: str) -> list[str]:
    """The words that start a child which runs `main()` of a module.

    Args:
        module: dotted name; trusted, it becomes part of a program.

    Returns: for `subprocess.Popen`, which gives the child its pipes.
    """
    return [sys.executable, "-I", "-c", _CODE.format(path=_safe_path(), module=module)]


def _safe_path() -> list[str]:
    """The import path without the current folder, and last of all the folder of this package."""
    here = os.path.realpath(os.curdir)
    kept = [p for p in sys.path if Path(p).is_absolute() and os.path.realpath(p) != here]
    own = str(Path(__file__).resolve().parent.parent)
    return kept if own in kept else [*kept, own]
