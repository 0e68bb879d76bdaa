"""The commented files that a new user starts from, and the built-in demo made of them.

``data/`` holds them as ``NAME.LANGUAGE.toml``, the same keys and values in every language.
"""

import tomllib
from pathlib import Path

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import shop_from_table
from templategen.messages import ENGLISH
from templategen.trade.records import Job, Shop

DATA = Path(__file__).resolve().parent / "data"
NAMES = ("shop", "job")


def starter_files(language: str) -> dict[str, str]:
    """The starter files by name; in English where a language has none.

    Args:
        language: ISO 639-1 code.
    """
    known = (DATA / f"{NAMES[0]}.{language}.toml").is_file()
    return {f"{name}.toml": _text(name, language if known else ENGLISH) for name in NAMES}


def demo_shop() -> Shop:
    """The invented demo shop, in English in every language."""
    return shop_from_table(tomllib.loads(_text("shop", ENGLISH)), where="demo shop")


def demo_job() -> Job:
    """The invented demo job, in English in every language."""
    return job_from_table(tomllib.loads(_text("job", ENGLISH)), where="demo job")


def _text(name: str, language: str) -> str:
    return (DATA / f"{name}.{language}.toml").read_text(encoding="utf-8")
