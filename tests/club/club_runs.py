"""What the tests of lists share."""

from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

Club = Callable[..., CompletedProcess[str]]  # words; cwd=folder, jobs=1

SHOP = """\
name = "Invented toy shop"
[[cutters]]
id = "R80"
radius = 80
kerf = 9
[[jaws]]
id = "J"
true_circle = 110
depth = 14
"""


def write_list(path: Path, *rows: str, heading: str = "name,diameter,height") -> None:
    """A list of benches in a shop of one cutter beside it, whose packs are quick to make."""
    (path.parent / "toy.toml").write_text(SHOP, encoding="utf-8")
    text = "".join(f"{row},toy.toml\n" for row in rows)
    path.write_text(f"{heading},shop\n{text}", encoding="utf-8")


def files_of(folder: Path) -> dict[str, bytes]:
    """What is in every file of a folder, by its path in it."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }
