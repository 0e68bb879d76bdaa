"""Records of what is done in an output folder, so that an interrupted run goes on.

Records lie in a folder of their own inside the output folder: one for each entry of the list, and
one for each finished pack. They are read back as strangers' files: one that is not as this program
writes it counts for nothing.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from templategen.output.files import write_atomically
from templategen.output.names import safe_name

FORMAT = "templategen-club-record/1"
FOLDER = ".templategen-club"
PICTURES = "pictures"  # folder inside the output folder


@dataclass(frozen=True, slots=True, kw_only=True)
class PackFiles:
    """Where one pack of one entry stands, relative to the output folder."""

    number: int  # of the entry
    paper: str
    pdf: str
    picture: str

    @classmethod
    def of(cls, number: int, name: str, paper: str) -> "PackFiles":
        """The files of an entry's pack on a paper, named after both."""
        stem = f"{number:03d}-{safe_name(name, fallback='blank')}"
        return cls(
            number=number,
            paper=paper,
            pdf=f"{stem}-{safe_name(paper)}.pdf",
            picture=f"{PICTURES}/{stem}.svg",
        )

    def record(self, out: Path) -> Path:
        """The record of the finished pack."""
        return out / FOLDER / f"{self.number:04d}-{safe_name(self.paper)}.json"


def digest_of(values: object) -> str:
    """A digest of all that a pack depends on; the same digest means the same pack.

    Args:
        values: what JSON can hold.
    """
    return hashlib.sha256(json.dumps([FORMAT, values], sort_keys=True).encode()).hexdigest()


def finished_pack(out: Path, files: PackFiles, key: str) -> dict[str, Any] | None:
    """What the record of a finished pack says; None if the pack is not what it was.

    Args:
        out: output folder.
        files: of the pack.
        key: digest of what the pack depends on now.
    """
    names = (files.pdf, files.picture)
    try:
        data: dict[str, Any] = json.loads(files.record(out).read_text(encoding="utf-8"))
        said = (data["format"], data["key"], data["file"], data["picture"], set(data["digests"]))
        if said != (FORMAT, key, files.pdf, files.picture, set(names)):
            return None
        texts = [data["paper"], *data["facts"], *data["findings"]]
        if not isinstance(data["sheets"], int) or not all(isinstance(t, str) for t in texts):
            return None
        same = all(_digest_of_file(out / name) == data["digests"][name] for name in names)
    except (OSError, ValueError, LookupError, TypeError):
        return None
    return data if same else None


def write_pack_files(
    out: Path, files: PackFiles, *, pdf: bytes, picture: bytes, record: Mapping[str, Any]
) -> dict[str, Any]:
    """Writes a pack and its picture, and last of all the record that it is finished.

    Args:
        out: output folder.
        files: of the pack.
        pdf: the pack.
        picture: of its nest.
        record: key, sheets, facts and findings.

    Returns: the whole record.

    Raises:
        OutputError: the disk.
    """
    made = {files.pdf: pdf, files.picture: picture}
    for name, data in made.items():
        write_atomically(out / name, data)
    done = {
        "format": FORMAT,
        "digests": {name: hashlib.sha256(data).hexdigest() for name, data in made.items()},
        "paper": files.paper,
        "file": files.pdf,
        "picture": files.picture,
        **record,
    }
    write_atomically(files.record(out), _json(done))
    return done


def write_entry_record(out: Path, number: int, record: Mapping[str, Any]) -> None:
    """Writes what became of an entry.

    Args:
        out: output folder.
        number: of the entry, from 1.
        record: name, packs and findings; facts and picture where there are packs.

    Raises:
        OutputError: the disk.
    """
    write_atomically(_entry_record(out, number), _json({"format": FORMAT, **record}))


def entry_records(out: Path, count: int) -> Iterator[dict[str, Any]]:
    """The records of the entries in the order of the list, one at a time."""
    for number in range(1, count + 1):
        yield _read(_entry_record(out, number))


def packs_of_others(out: Path, count: int) -> int:
    """How many packs lie in the folder that are not of this list."""
    return sum(not _is_known(out, path.name, count) for path in out.glob("*.pdf"))


def _is_known(out: Path, name: str, count: int) -> bool:
    number = name.split("-")[0]
    if not number.isdecimal() or not 1 <= int(number) <= count:
        return False
    return any(pack["file"] == name for pack in _read(_entry_record(out, int(number)))["packs"])


def _entry_record(out: Path, number: int) -> Path:
    return out / FOLDER / f"{number:04d}.json"


def _read(path: Path) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def _digest_of_file(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _json(data: Mapping[str, Any]) -> bytes:
    return json.dumps(data, indent=1, ensure_ascii=True, allow_nan=False, sort_keys=True).encode()
