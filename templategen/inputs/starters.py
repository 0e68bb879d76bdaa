"""The commented files that a new user starts from, and the built-in demo made of them.

They lie in ``data/`` as ``NAME.LANGUAGE.toml``, each language saying the same in its own words.
"""

import tomllib
from pathlib import Path

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.messages import ENGLISH, spoken
from templategen.trade.records import Job, Shop

DATA = Path(__file__).resolve().parent / "data"
NAMES = ("shop", "job")


def starter_files() -> dict[str, str]:
    """The starter files by name, in the language in use; English where it has none."""
    known = (DATA / f"{NAMES[0]}.{spoken()}.toml").is_file()
    return {f"{name}.toml": _text(name, spoken() if known else ENGLISH) for name in NAMES}


def demo_shop() -> Shop:
    """The invented demo shop, in English in every language."""
    return shop_from_table(tomllib.loads(_text("shop", ENGLISH)), where="demo shop")


def demo_job() -> Job:
    """The invented demo job, in English in every language."""
    table = tomllib.loads(_text("job", ENGLISH))
    return job_from_table(table, where="demo job", known_wood=lambda _: None)


def _text(name: str, language: str) -> str:
    return (DATA / f"{name}.{language}.toml").read_text(encoding="utf-8")
