"""The folder of a turner: jobs, shops, records and packs, read and written inside it alone."""

import hashlib
import itertools
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

import platformdirs

from templategen.app.starters import write_starter_files
from templategen.errors import InputError, hidden
from templategen.inputs.toml_edit import edited_toml
from templategen.inputs.toml_table import MOST_BYTES, read_bounded, read_toml, shown
from templategen.messages import Wording, tr
from templategen.output.files import alone_in, make_folder, write_atomically
from templategen.units import Units

NAME = "templategen"
MOST_FILES = 500
LONGEST_NAME = 200  # letters of a path inside the folder
DEEPEST = 4  # folders inside one another
FORBIDDEN = '<>:"|?*\\'  # what some systems do not take in a name
PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
KINDS = {".csv": "record", ".pdf": "pack", **dict.fromkeys(PICTURES, "picture")}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldFile:
    """A file of the folder.

    Args:
        file: its path inside the folder, parts joined by ``/``.
        kind: job, shop, record, pack or picture.
        title: of a job, name of a shop, else empty.
        size: bytes.
    """

    file: str
    kind: str
    title: str
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldTable:
    """The table of a TOML file; `digest` tells whether the file has changed since."""

    file: str
    kind: str
    digest: str
    table: dict[str, object]


class ChangedElsewhereError(Exception):
    """A file is not as it was when it was read; nothing is written.

    Args:
        held: what it holds now; None where it is gone.
    """

    def __init__(self, held: HeldTable | None) -> None:
        super().__init__(held)
        self.held = held


class WorkFolder:
    """A folder; no name leads out of it, by dots, by a link or as a whole path.

    Args:
        root: an existing folder.
    """

    def __init__(self, root: Path) -> None:
        self.root = root.resolve(strict=True)

    def path_of(self, file: str, *endings: str) -> Path:
        """The path of a file inside the folder, whether it is there or not.

        Args:
            file: its path inside the folder, parts joined by ``/``.
            endings: those it may have, such as ``.toml``; any if none is named.

        Raises:
            InputError: the name leads out of the folder or is none.
        """
        parts = file.split("/")
        good = len(file) <= LONGEST_NAME and len(parts) <= DEEPEST and all(map(_is_name, parts))
        if good and endings:
            good = PurePosixPath(file).suffix.lower() in endings
        path = self.root
        for part in parts if good else ():
            path = path / part
            try:
                good = good and not stat.S_ISLNK(path.lstat().st_mode)
            except FileNotFoundError:
                pass
            except (OSError, ValueError):
                good = False
        if not good or not path.parent.resolve().is_relative_to(self.root):
            raise InputError(
                tr("{name} is no file of this folder", name=shown(file)),
                mend=tr("give a plain name, such as bowl.toml"),
            )
        return path

    def files(self) -> tuple[HeldFile, ...]:
        """Its jobs, shops, records, packs and pictures by name, at most `MOST_FILES`."""
        found = []
        for path in self._walk(self.root, DEEPEST):
            kind, title = _kind_of(path)
            if kind:
                file = path.relative_to(self.root).as_posix()
                found.append(HeldFile(file=file, kind=kind, title=title, size=path.lstat().st_size))
            if len(found) == MOST_FILES:
                break
        return tuple(sorted(found, key=lambda held: held.file.casefold()))

    def _walk(self, folder: Path, depth: int) -> Iterator[Path]:
        try:
            entries = sorted(folder.iterdir())
        except OSError:
            return
        for path in entries:
            if path.is_symlink() or not _is_name(path.name):
                continue
            if path.is_dir():
                if depth > 1:
                    yield from self._walk(path, depth - 1)
            elif path.is_file():
                yield path

    def read(self, file: str) -> HeldTable:
        """The table of a job or shop file.

        Raises:
            InputError: no such file, unreadable, not TOML.
        """
        path = self.path_of(file, ".toml")
        raw = _bytes_of(path)
        table = read_toml(path)
        return HeldTable(file=file, kind=_kind_of_table(table), digest=digest(raw), table=table)

    def write(
        self,
        file: str,
        table: Mapping[str, object],
        *,
        known: str | None,
        overwrite: bool = False,
    ) -> HeldTable:
        """Changes a TOML file to a table; remarks and what is unchanged stay.

        Args:
            file: its path inside the folder.
            table: checked by its reader.
            known: digest of the file when it was read; None for a new one.
            overwrite: whether a change made since is lost.

        Raises:
            ChangedElsewhereError: the file is not as it was read.
            InputError: no name for a file of this folder; the file is no TOML.
            OutputError: the disk.
        """
        path = self.path_of(file, ".toml")
        make_folder(path.parent)
        with alone_in(path.parent):
            raw = _bytes_of(path) if path.exists() else None
            if (None if raw is None else digest(raw)) != known and not overwrite:
                raise ChangedElsewhereError(None if raw is None else self.read(file))
            text = "" if raw is None else raw.decode("utf-8")
            data = edited_toml(text, table, where=path.name).encode("utf-8")
            if data != raw:
                write_atomically(path, data)
        return self.read(file)

    def put(self, file: str, data: bytes, *endings: str) -> str:
        """Writes a new file that is no TOML; a number makes its name new where it is taken.

        Args:
            file: its path inside the folder.
            data: what it holds.
            endings: those it may have.

        Returns: its path inside the folder.

        Raises:
            InputError: no name for a file of this folder.
            OutputError: the disk.
        """
        wanted = PurePosixPath(file)
        make_folder(self.path_of(file, *endings).parent)
        for number in itertools.count(2):
            path = self.path_of(file, *endings)
            with alone_in(path.parent):
                if not path.exists():
                    write_atomically(path, data)
                    return file
            file = str(wanted.with_name(f"{wanted.stem}-{number}{wanted.suffix}"))
        raise AssertionError  # names never run out

    def copy(self, source: str, file: str) -> HeldTable:
        """Copies a job or shop file of the folder as it stands.

        Raises:
            ChangedElsewhereError: there is a file of that name.
            InputError: no such file, or no name for a file of this folder.
            OutputError: the disk.
        """
        self.read(source)  # only what is TOML
        return self.add(file, _bytes_of(self.path_of(source, ".toml")))

    def add(self, file: str, data: bytes) -> HeldTable:
        """Writes a new TOML file, see `copy`."""
        path = self.path_of(file, ".toml")
        make_folder(path.parent)
        with alone_in(path.parent):
            if path.exists():
                raise ChangedElsewhereError(self.read(file))
            write_atomically(path, data)
        return self.read(file)


def open_folder(path: Path | None, *, wording: Wording, units: Units) -> WorkFolder:
    """The folder, made with the starter files where it is missing or empty.

    Args:
        path: None for the folder `NAME` among the user's documents.
        wording: whose language the remarks of the starter files are in.
        units: of the starter files.

    Raises:
        InputError: it is no folder.
        OutputError: the disk.
    """
    folder = platformdirs.user_documents_path() / NAME if path is None else path
    make_folder(folder)
    if not any(folder.iterdir()):
        write_starter_files(folder, wording, units)
    return WorkFolder(folder)


def digest(data: bytes) -> str:
    """What changes when a file changes."""
    return hashlib.sha256(data).hexdigest()


def _is_name(part: str) -> bool:
    """Whether a text names a file or folder inside another on every system."""
    return (
        0 < len(part) <= 100
        and part[0] != "."
        and part[-1] not in ". "
        and not any(hidden(c) or c in FORBIDDEN or c == "/" for c in part)
    )


def _bytes_of(path: Path) -> bytes:
    mend = tr("this is no shop or job file")
    return read_bounded(path, most=MOST_BYTES, ending=".toml", mend=mend)


def _kind_of(path: Path) -> tuple[str, str]:
    """The kind of a file and its title; an empty kind for one that the page does not show."""
    ending = path.suffix.lower()
    if ending != ".toml":
        return KINDS.get(ending, ""), ""
    try:
        table = read_toml(path)
    except InputError:
        return "", ""
    title = table.get("title", table.get("name"))
    return _kind_of_table(table), title if isinstance(title, str) else ""


def _kind_of_table(table: Mapping[str, object]) -> str:
    if "blank" in table:
        return "job"
    return "shop" if "cutters" in table or "jaws" in table else ""
