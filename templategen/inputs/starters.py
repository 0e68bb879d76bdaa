"""The commented files that a new user starts from, and the built-in demo made of them.

``data/`` holds a template ``NAME.LANGUAGE.toml`` for each file and language. ``${table.key}``
stands for the default of that key, or for an invented figure of `INVENTED`, in the unit wanted.
"""

import re
import string
import tomllib
from pathlib import Path
from typing import Any

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.messages import ENGLISH
from templategen.trade import defaults
from templategen.trade.records import Job, Shop
from templategen.units import Units, inch_text

DATA = Path(__file__).resolve().parent / "data"
NAMES = ("shop", "job")
COMMENT_COLUMN = 24  # where a remark behind a figure begins
DEMO_WALL = 22  # mm
_REMARK = re.compile(r"(#?\w.*?|# \w.*?)  # (.*)")
INVENTED: dict[str, tuple[object, object]] = {  # in a millimetre file, in an inch file
    "lathe.swing": (520, 20),
    "lathe.centre_height": (260, 10),
    "lathe.power": ("1.5 kW", "2 hp"),
    "lathe.max_mass": ("60 kg", "130 lb"),
    "chuck.max_mass": ("50 kg", "110 lb"),
    "post.pin": (16, "5/8"),
    "post.body": (30, "1 1/4"),
    "tolerance": (0.5, "1/64"),
    "cutters.kerf": (9, "3/8"),
    "cutters.section": ((5, 20), ("3/16", "3/4")),
    "cutters.holder": (40, "1 1/2"),
    "blank.diameter": (400, 16),
    "blank.height": (180, 7),
    "log.diameter": (460, 18),
    "log.length": (900, 36),
    "wanted": (250, 10),
    "pinned.standoff": (25, 1),
    "paper.other": ("letter", "a4"),
}
CUTTERS = (  # radius in millimetres and in inches, degrees of bare blade
    (80, "3 1/4", 115),
    (105, "4 1/4", 115),
    (135, "5 1/4", 115),
    (170, "6 3/4", 115),
)
JAWS = (  # true circle and depth, in millimetres and in inches
    (50, 2, 12, "1/2"),
    (70, "2 3/4", 12, "1/2"),
    (100, 4, 14, "9/16"),
    (130, "5 1/4", 14, "9/16"),
    (160, "6 1/2", 16, "5/8"),
    (200, 8, 16, "5/8"),
)


class _Template(string.Template):
    """A text with ``${table.key}`` in it."""

    braceidpattern = r"[a-z_.0-9]+"


def starter_files(language: str, units: Units = Units.MM) -> dict[str, str]:
    """The starter files by name; in English where a language has none.

    Args:
        language: ISO 639-1 code.
        units: of the files, millimetres or inches.
    """
    known = (DATA / f"{NAMES[0]}.{language}.toml").is_file()
    return {f"{name}.toml": _text(name, language if known else ENGLISH, units) for name in NAMES}


def demo_shop() -> Shop:
    """The invented demo shop, in English in every language."""
    return shop_from_table(demo_tables()[1], where="demo shop")


def demo_job() -> Job:
    """The invented demo job, in English in every language."""
    return job_from_table(demo_tables()[0], where="demo job")


def demo_tables() -> tuple[dict[str, Any], dict[str, Any]]:
    """The tables of the demo job and of the demo shop.

    The job's wall is thinner than that of the starter file, so that it shows three cuts.
    """
    job, shop = (tomllib.loads(_text(name, ENGLISH, Units.MM)) for name in ("job", "shop"))
    job["nest"]["wall"] = DEMO_WALL
    return job, shop


def _text(name: str, language: str, units: Units) -> str:
    template = _Template((DATA / f"{name}.{language}.toml").read_text(encoding="utf-8"))
    return "".join(_aligned(line) for line in template.substitute(_values(units)).splitlines(True))


def _aligned(line: str) -> str:
    """A line with its remark moved to `COMMENT_COLUMN`."""
    found = _REMARK.fullmatch(line.rstrip("\n"))
    return line if found is None else f"{found[1].rstrip():<{COMMENT_COLUMN - 2}}  # {found[2]}\n"


def _values(units: Units) -> dict[str, str]:
    """What stands for each ``${name}`` of the templates, as TOML."""
    column = 1 if units is Units.IN else 0
    values = {key: _toml(pair[column]) for key, pair in INVENTED.items()}
    values["units"] = units.value
    for n, (radius, inches, arc) in enumerate(CUTTERS, start=1):
        values[f"cutters.{n}.id"] = f"{inches} in" if units is Units.IN else f"R{radius}"
        values[f"cutters.{n}.radius"] = _toml((radius, inches)[column])
        values[f"cutters.{n}.arc"] = _toml(arc)
    for n, (circle, inch_circle, depth, inch_depth) in enumerate(JAWS, start=1):
        size = (circle, inch_circle)[column]
        values[f"jaws.{n}.id"] = f"{size} in" if units is Units.IN else f"{size}"
        values[f"jaws.{n}.true_circle"] = _toml(size)
        values[f"jaws.{n}.depth"] = _toml((depth, inch_depth)[column])
    for entry in defaults.TABLE:
        value = entry.of(units)
        if entry.unit == "mm" and units is Units.IN:
            lengths = value if isinstance(value, tuple) else (value,)
            marks = tuple(inch_text(length) for length in lengths)
            value = marks if isinstance(value, tuple) else marks[0]
        values[entry.key] = _toml(value)
    return values


def _toml(value: object) -> str:
    """A figure, word, flag or list as a TOML file holds it; shares to four decimals."""
    if isinstance(value, tuple):
        return f"[{', '.join(_toml(item) for item in value)}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return value if re.fullmatch(r"-?\d+", value) else f'"{value}"'
    return f"{round(float(str(value)), 4):g}"
