"""Coverage-guided fuzzing of every reader: run by hand with atheris, never collected as a test.

    python tests/fuzz/read_any_bytes.py -max_total_time=600 -rss_limit_mb=500 -timeout=10 CORPUS

Whatever the bytes, a reader gives an object or raises one of the project's own errors; anything
else is written down as a crash, with the bytes that caused it.
"""

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["templategen", "tomllib", "csv"]):
    from templategen.app.printers import read_printers
    from templategen.club.lists import check_entry, read_club
    from templategen.errors import TemplategenError
    from templategen.inputs.job_file import job_from_table
    from templategen.inputs.shop_file import read_shop
    from templategen.inputs.starters import demo_shop
    from templategen.inputs.toml_table import read_toml
    from templategen.inputs.weighings import read_record
    from templategen.proof.logo import checked_logo
    from templategen.proof.pdf_reader import PackFile
    from templategen.proof.recipe import read_recipe

FOLDER = Path(tempfile.mkdtemp(prefix="read-any-bytes-"))
SHOP = demo_shop()
SUFFIXES = ("toml", "toml", "toml", "csv", "csv", "json", "toml", "png", "svg", "pdf")


def read(kind: int, data: bytes) -> None:
    """Reads bytes as one kind of file."""
    path = FOLDER / f"file.{SUFFIXES[kind]}"
    if kind != 5:
        path.write_bytes(data)
    match kind:
        case 0:
            read_shop(path)
        case 1:
            job_from_table(read_toml(path), where=path.name)
        case 2 | 3:
            listed = read_club(path)
            for entry in listed.entries():
                check_entry(entry, listed.settings, folder=FOLDER)
        case 4:
            read_record(path)
        case 5:
            read_recipe(data, where="pack")
        case 6:
            read_printers(path)
        case 7 | 8:
            checked_logo(data, where=path.name)
        case _:
            with PackFile(data, path.name) as pack:
                pack.names()
                for page in pack.pages():
                    _ = page.words, page.paths
                pack.attachment("templategen-pack.json", most=4_000_000)


def one(data: bytes) -> None:
    """One case: the first byte chooses the reader."""
    if not data:
        return
    lines: tuple[str, ...] = ("read",)
    try:
        read(data[0] % len(SUFFIXES), data[1:])
    except TemplategenError as error:
        lines = error.lines()
    assert lines
    assert all("\n" not in line for line in lines)


if __name__ == "__main__":
    atheris.Setup(sys.argv, one)
    atheris.Fuzz()
