"""The output folder of a list: whose it is, its running numbers, and what is finished in it.

Records lie in a folder of their own inside the output folder: one of the list, and one of each
finished pack. They are read back as untrusted files: never followed as a link, never waited for,
never past a bound. A pack counts as finished only where its record carries this user's seal and
the files are still those it names, so that nobody can slip in a page by writing a record.
"""

import contextlib
import hashlib
import hmac
import json
import os
import re
import stat
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path
from typing import Any

from templategen.errors import InputError, OutputError, machine_reason
from templategen.messages import tr
from templategen.output.files import alone_in, make_folder, write_atomically
from templategen.output.names import latin_name, safe_name

FORMAT = "templategen-club-record/2"
FOLDER = ".templategen-club"
PICTURES = "pictures"  # folders inside the output folder
OLD = "old"
INDEX = "index.html"
_LIST = "list.json"
_SHOP = "shop"  # how the names of a shop set's files begin
MOST_BYTES = 8_000_000  # of a record: a list of 10,000 entries and their numbers
MOST_NUMBER = 99_999
ANOTHER_FOLDER = tr("name another folder with --out")
_OURS = re.compile(r"(?:\d{3,5}|shop)-[a-z0-9-]+\.(?:pdf|svg)")


@dataclass(frozen=True, slots=True, kw_only=True)
class PackFiles:
    """Where one pack stands, relative to the output folder; `picture` is empty for none."""

    paper: str
    pdf: str
    picture: str

    @classmethod
    def of_bench(cls, number: int, name: str, paper: str) -> "PackFiles":
        """The files of a bench's pack on a paper: its number, then what its name leaves."""
        stem = f"{number:03d}-{latin_name(name) or 'bench'}"
        return cls(
            paper=paper, pdf=f"{stem}-{safe_name(paper)}.pdf", picture=f"{PICTURES}/{stem}.svg"
        )

    @classmethod
    def of_shop(cls, name: str, again: int, paper: str) -> "PackFiles":
        """The files of a shop's set; `again` counts the shops of one name, from 1."""
        stem = "-".join(filter(None, (_SHOP, latin_name(name), str(again) if again > 1 else "")))
        return cls(paper=paper, pdf=f"{stem}-set-{safe_name(paper)}.pdf", picture="")

    @property
    def names(self) -> tuple[str, ...]:
        """The files there are."""
        return tuple(filter(None, (self.pdf, self.picture)))

    def record(self, out: Path) -> Path:
        """The record of the finished pack."""
        return out / FOLDER / f"{Path(self.pdf).stem}.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenFolder:
    """An output folder that no other run is in.

    Args:
        out: the folder.
        owner: the list that it belongs to, as a path from the folder.
        numbers: running numbers by the key of an entry, those of earlier runs included.
        archive: name of the zip of the last run, or empty.
    """

    out: Path
    owner: str
    numbers: dict[str, int]
    archive: str = ""

    def keep(self, archive: str) -> None:
        """Writes the record of the list, with the numbers that were given and the zip's name.

        Raises:
            OutputError: the disk.
        """
        data = {
            "format": FORMAT, "list": self.owner, "numbers": self.numbers, "archive": archive
        }  # fmt: skip
        write_atomically(self.out / FOLDER / _LIST, _json(data))


@contextlib.contextmanager
def open_folder(out: Path, listed: Path, archive: str) -> Iterator[OpenFolder]:
    """The output folder of a list, made where it is missing and locked while this lasts.

    Args:
        out: the folder.
        listed: the list's file.
        archive: name of the zip that is to be written.

    Raises:
        InputError: the folder belongs to another list, or holds files that would be lost.
        OutputError: no permission, or another run is busy in it.
    """
    inner = [out / name for name in (FOLDER, PICTURES, OLD)]
    for folder in inner:
        if folder.is_symlink():
            raise InputError(tr("is a link"), where=str(folder), mend=ANOTHER_FOLDER)
    if not inner[0].exists():
        _refuse_foreign_files(out, archive)
    for folder in (out, *inner[:2]):
        make_folder(folder)
    with alone_in(inner[0]):
        yield _opened(out, _path_from(out, listed))


def _refuse_foreign_files(out: Path, archive: str) -> None:
    """Refuses a folder that this list never used and that holds files of the names it writes."""
    try:
        names = sorted(entry.name for entry in os.scandir(out)) if out.exists() else []
    except OSError as error:
        why = machine_reason(error, tr("unreadable"))
        raise InputError(tr("cannot be read ({reason})", reason=why), where=str(out)) from error
    for name in names:
        if name in (INDEX, archive, PICTURES) or _OURS.fullmatch(name):
            raise InputError(
                tr("was there before and might be written over"),
                where=str(out / name),
                mend=ANOTHER_FOLDER,
            )


def _path_from(out: Path, listed: Path) -> str:
    """The list as a path from the folder, so that both can be moved together."""
    try:
        return Path(os.path.relpath(listed.resolve(), out.resolve())).as_posix()
    except ValueError:  # on another drive
        return listed.resolve().as_posix()


def _opened(out: Path, owner: str) -> OpenFolder:
    path = out / FOLDER / _LIST
    if not path.exists() and not path.is_symlink():
        opened = OpenFolder(out=out, owner=owner, numbers={})
        opened.keep("")
        return opened
    data = read_json(path)
    numbers = data.get("numbers") if isinstance(data, dict) else None
    if not isinstance(data, dict) or data.get("format") != FORMAT or not _are_numbers(numbers):
        raise InputError(
            tr("is not as this program writes it"), where=str(path), mend=ANOTHER_FOLDER
        )
    found = data.get("list")
    if found != owner:
        other = os.path.normpath(out / str(found)[:200])
        raise InputError(
            tr("holds the packs of the list {list!r}", list=other),
            where=str(out),
            mend=ANOTHER_FOLDER,
        )
    last = data.get("archive")
    known = isinstance(last, str) and re.fullmatch(r"[a-z0-9-]+\.zip", last)
    return OpenFolder(
        out=out, owner=owner, numbers=dict(numbers or {}), archive=str(last) if known else ""
    )


def _are_numbers(found: object) -> bool:
    """Whether a record holds running numbers: each within bounds, none given twice."""
    if not isinstance(found, dict):
        return False
    numbers = list(found.values())
    return len(set(map(str, numbers))) == len(numbers) and all(
        type(n) is int and 1 <= n <= MOST_NUMBER for n in numbers
    )


@contextlib.contextmanager
def open_plain(path: Path) -> Iterator[BufferedReader]:
    """A file to read that is a plain file itself: no link is followed, no pipe waited for.

    Raises:
        OSError: it is not there, is no plain file, or cannot be read.
    """
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    with open(
        path, "rb", opener=lambda name, _: os.open(name, flags | getattr(os, "O_BINARY", 0))
    ) as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            raise OSError(None, "is no file")
        yield file


def read_json(path: Path) -> object:
    """What a record holds; None where it is no record at all."""
    try:
        with open_plain(path) as file:
            text = file.read(MOST_BYTES + 1)
        return None if len(text) > MOST_BYTES else json.loads(text)
    except (OSError, ValueError, RecursionError):
        return None


def digest_of(values: object) -> str:
    """A digest of all that a pack depends on; the same digest means the same pack.

    Args:
        values: what JSON can hold.
    """
    return hashlib.sha256(json.dumps([FORMAT, values], sort_keys=True).encode()).hexdigest()


def finished_pack(out: Path, files: PackFiles, key: str, seal: bytes) -> dict[str, Any] | None:
    """What the record of a finished pack says; None if the pack is not what it was.

    Args:
        out: output folder.
        files: of the pack.
        key: digest of what the pack depends on now.
        seal: the secret of this user.
    """
    found = read_json(files.record(out))
    if not isinstance(found, dict):
        return None
    data: dict[str, Any] = found
    stated = data.pop("seal", "")
    if not isinstance(stated, str) or not hmac.compare_digest(
        stated.encode("utf-8", "replace"), _sealed(data, seal).encode()
    ):
        return None
    digests = data.get("digests")
    if data.get("key") != key or not isinstance(digests, dict):
        return None
    if digests != {name: digest_of_file(out / name) for name in files.names}:
        return None
    return data


def write_pack_files(
    out: Path, files: PackFiles, made: Mapping[str, bytes], record: Mapping[str, Any], seal: bytes
) -> dict[str, Any]:
    """Writes a pack and its picture, and last of all the record that it is finished.

    Args:
        out: output folder.
        files: of the pack.
        made: what is in them, by their names.
        record: key, and what the index says of the pack.
        seal: the secret of this user.

    Returns: the record with the digests of the files.

    Raises:
        OutputError: the disk.
    """
    for name in files.names:
        write_atomically(out / name, made[name])
    digests = {name: hashlib.sha256(made[name]).hexdigest() for name in files.names}
    path = files.record(out)
    if path.is_symlink() or (path.exists() and not path.is_file()):
        with contextlib.suppress(OSError):  # reported when it is written over
            path.unlink()
    done = {"format": FORMAT, "digests": digests, **record}
    write_atomically(path, _json({**done, "seal": _sealed(done, seal)}))
    return done


def _sealed(record: Mapping[str, Any], seal: bytes) -> str:
    return hmac.new(seal, _json(record), hashlib.sha256).hexdigest()


def digest_of_file(path: Path) -> str:
    """SHA-256 of a plain file; empty where there is none."""
    try:
        with open_plain(path) as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def set_aside(out: Path, current: Collection[str], archives: Collection[str] = ()) -> int:
    """Moves what is no longer of the list into the folder for old packs.

    Args:
        out: output folder.
        current: names of the files of this run, relative to the folder.
        archives: zips of earlier runs, moved too.

    Returns: how many packs were moved.

    Raises:
        OutputError: a file cannot be moved.
    """
    records = {PackFiles(paper="", pdf=name, picture="").record(out).name for name in current}
    count = 0
    stale = [
        path
        for folder in (out, out / PICTURES)
        for path in sorted(folder.iterdir())
        if _OURS.fullmatch(path.name) and path.relative_to(out).as_posix() not in current
    ]
    stale += [out / name for name in archives if (out / name).is_file()]
    for path in stale:
        _move_aside(path, out / OLD)
        count += path.suffix == ".pdf"
    for path in sorted((out / FOLDER).glob("*.json")):
        if path.name not in records and path.name != _LIST:
            with contextlib.suppress(OSError):  # one that stays is never asked for
                path.unlink()
    return count


def _move_aside(path: Path, old: Path) -> None:
    make_folder(old)
    target, n = old / path.name, 1
    while os.path.lexists(target):
        n += 1
        target = old / f"{path.stem}-{n}{path.suffix}"
    try:
        path.rename(target)
    except OSError as error:
        why = machine_reason(error, tr("failed"))
        raise OutputError(
            tr("cannot be moved to {folder} ({why})", folder=old.name, why=why),
            where=str(path),
            mend=tr("see to room and permission there"),
        ) from error


def _json(data: Mapping[str, Any]) -> bytes:
    return json.dumps(data, indent=1, ensure_ascii=True, allow_nan=False, sort_keys=True).encode()
