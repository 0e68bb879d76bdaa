"""Runs a club's list: a hand-out or a pack for each bench, a set for each shop, index and zip."""

import contextlib
import dataclasses
import functools
import io
import os
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO

import platformdirs

from templategen.app.club_packs import ClubPrint, ShopUse, make_entry, make_shop_set, refuse_inputs
from templategen.app.printers import profile_named
from templategen.club.archive import Member, write_zip
from templategen.club.entries import LONGEST_NAME, numbered
from templategen.club.index import IndexHead, IndexRow, paper_totals, write_index
from templategen.club.lists import ClubList, read_club
from templategen.club.records import (
    INDEX,
    PICTURES,
    OpenFolder,
    open_folder,
    open_plain,
    set_aside,
)
from templategen.club.runs import Outcome, outcomes
from templategen.errors import InputError, OutputError
from templategen.inputs.shop_file import read_shop
from templategen.inputs.starters import demo_shop
from templategen.messages import ENGLISH, Text, Wording, tr
from templategen.output.files import make_folder, write_atomically, written_atomically
from templategen.output.names import safe_name
from templategen.parts.cautions import CAUTIONS
from templategen.parts.lettering import missing_letters, printable
from templategen.parts.registry import check_kinds
from templategen.proof.untrusted import read_logo
from templategen.sheets.letterhead import Letterhead
from templategen.trade.paper import paper_named
from templategen.units import Units

MOST_PROCESSES = 64
SEAL_BYTES = 32
AGAIN = tr("run again to go on from here")

# Entries done, faults of the last, and notes on it.
Progress = Callable[[int, tuple[str, ...], tuple[str, ...]], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubWishes:
    """What goes before the settings of the list.

    Args:
        name: of the club, or None.
        logo: picture for the covers, or None.
        shop: shop file for entries that name none, or None.
        papers: for entries that name none.
        kinds: of parts; empty for those of the list.
        full: whether each bench gets a full pack.
        units: of the print; None for each job's own.
        printer: name of a measured printer, or None.
        processes: at a time; None for as many as cores, up to 4.
        language: ISO 639-1, asked for in this run.
    """

    name: str | None = None
    logo: Path | None = None
    shop: Path | None = None
    papers: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    full: bool = False
    units: Units | None = None
    printer: str | None = None
    processes: int | None = None
    language: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedClub:
    """A checked list, ready to be run.

    Args:
        listed: the list.
        print: what its packs need.
        title: of the index page.
        processes: at a time.
        notes: to be shown before it is run.
    """

    listed: ClubList
    print: ClubPrint
    title: str
    processes: int
    notes: tuple[Text, ...] = ()

    @property
    def archive(self) -> str:
        """Name of the zip."""
        return f"{safe_name(self.title, fallback='club')}.zip"

    @property
    def logo(self) -> str:
        """The picture's file beside the index, relative to it; empty where there is none."""
        logo = self.print.letterhead.logo
        return "" if logo is None else f"{PICTURES}/club-logo.{logo.kind.value}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubRun:
    """What a run did.

    Args:
        made: packs written, shop sets included.
        kept: packs of an earlier run that still hold.
        skipped: entries that have a fault.
        moved: packs of earlier runs that were set aside.
        sheets: by the name of the paper.
        archive: the zip; None where there is not one pack.
        index: the page; None likewise.
    """

    made: int = 0
    kept: int = 0
    skipped: int = 0
    moved: int = 0
    sheets: Mapping[str, int] = field(default_factory=dict)
    archive: Path | None = None
    index: Path | None = None


def club_folder(path: Path) -> Path:
    """The folder for the packs of a list where none is named: each list has one of its own."""
    return Path("templategen-club") / safe_name(path.stem, fallback="club")


def open_club(path: Path, wishes: ClubWishes) -> OpenedClub:
    """A club's list with the files that it names for all entries.

    Raises:
        InputError: every fault of the list and of those files; wishes that are out of bounds.
    """
    count = wishes.processes
    if count is not None and not 1 <= count <= MOST_PROCESSES:
        raise InputError(
            tr("{text} is out of bounds", text=count),
            where="--jobs",
            mend=tr("give 1 to {most}", most=MOST_PROCESSES),
        )
    listed = read_club(path)
    stated = listed.settings
    language = wishes.language or stated.language
    name = stated.name if wishes.name is None else " ".join(wishes.name.split())[:LONGEST_NAME]
    settings = dataclasses.replace(
        stated,
        name=name,
        logo=wishes.logo or stated.logo,
        shop=wishes.shop or stated.shop,
        papers=wishes.papers or stated.papers,
        parts=check_kinds(wishes.kinds) or stated.parts,
        full=wishes.full or stated.full,
    )
    if settings.shop is not None:
        read_shop(settings.shop)
    for paper in settings.papers:
        paper_named(paper)
    logo = None if settings.logo is None else read_logo(settings.logo)
    lost = missing_letters(name)
    shown = tr("the print cannot show {letters}: it says {shown!r}",
               letters=" ".join(lost[:20]), shown=printable(name))  # fmt: skip
    return OpenedClub(
        listed=listed,
        print=ClubPrint(
            settings=settings,
            letterhead=Letterhead(name=printable(name), logo=logo),
            units=wishes.units,
            profile=profile_named(wishes.printer),
            listed=path,
            language=language,
            wording=Wording(language or ENGLISH),
            seal=user_seal(),
        ),
        title=name or path.stem,
        processes=min(count or min(4, os.cpu_count() or 1), listed.count),
        notes=(shown,) if lost else (),
    )


def user_seal() -> bytes:
    """A secret of this user that marks finished packs, kept beside the measured printers.

    Where it cannot be kept, each run has one of its own and makes every pack anew.
    """
    path = Path(platformdirs.user_config_path("templategen", appauthor=False)) / "club-seal"
    new = os.urandom(SEAL_BYTES)
    with contextlib.suppress(OSError, OutputError):
        make_folder(path.parent)
        with contextlib.suppress(FileExistsError):
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "wb") as file:
                file.write(new)
        with open_plain(path) as kept:
            found = kept.read(SEAL_BYTES + 1)
        return found if len(found) == SEAL_BYTES else new
    return new


def run_club(club: OpenedClub, out: Path, progress: Progress) -> ClubRun:
    """Makes every pack that is not there already, then the shop sets, the index and the zip.

    Args:
        club: the list.
        out: folder for the packs; made where it is missing.
        progress: called after each entry.

    Raises:
        InputError: the folder belongs to another list, or holds files that would be lost.
        OutputError: the machine failed; another run goes on from there.
    """
    if club.logo:
        refuse_inputs(out, [club.logo], [club.print.settings.logo])
    with open_folder(out, club.print.listed, club.archive) as folder:
        benches = list(numbered(club.listed.entries(), folder.numbers))
        folder.keep(folder.archive)
        found: list[Outcome] = []
        entry = functools.partial(make_entry, club.print, out)
        for outcome in outcomes(entry, iter(benches), club.processes):
            if outcome.is_machine:
                raise OutputError(" ".join(outcome.faults), mend=AGAIN)
            found.append(outcome)
            progress(len(found), outcome.faults, outcome.notes)
        found.sort(key=lambda outcome: outcome.position)
        return _finished(club, folder, found)


def _finished(club: OpenedClub, folder: OpenFolder, found: list[Outcome]) -> ClubRun:
    """Makes the shop sets, sets aside what is old, and writes index and zip."""
    made = sum(outcome.made for outcome in found)
    kept = sum(outcome.kept for outcome in found)
    skipped = sum(bool(outcome.faults) for outcome in found)
    if not made + kept:
        return ClubRun(skipped=skipped)
    sets = [make_shop_set(club.print, folder.out, use) for use in _shops_used(club, found)]
    made += sum(is_made for _, is_made in sets)
    kept += sum(not is_made for _, is_made in sets)
    rows = [*(row for row, _ in sets), *(outcome.row for outcome in found)]
    current = {pack.file for row in rows for pack in row.packs} | {row.picture for row in rows}
    former = {folder.archive} - {club.archive, ""}
    moved = set_aside(folder.out, current, former)
    index, archive = _written(club, folder, rows)
    return ClubRun(
        made=made,
        kept=kept,
        skipped=skipped,
        moved=moved,
        sheets={paper: sheets for paper, (_, sheets) in paper_totals(rows).items()},
        archive=archive,
        index=index,
    )


def _shops_used(club: OpenedClub, found: list[Outcome]) -> list[ShopUse]:
    """The shops whose sets are printed, each once, in the order in which benches use them."""
    first: dict[str, Outcome] = {}
    for outcome in found:
        if outcome.shop is not None:
            key = str(Path(outcome.shop).resolve()) if outcome.shop else ""
            first.setdefault(key, outcome)
    names: Counter[str] = Counter()
    uses = []
    for outcome in first.values():
        path = Path(outcome.shop) if outcome.shop else None
        name = (demo_shop() if path is None else read_shop(path)).name
        key = safe_name(name, fallback="shop")
        names[key] += 1
        uses.append(
            ShopUse(
                path=path,
                paper=outcome.row.packs[0].paper,
                date=club.print.settings.date or outcome.row.date,
                again=names[key],
            )
        )
    return uses


def _written(club: OpenedClub, folder: OpenFolder, rows: list[IndexRow]) -> tuple[Path, Path]:
    """The index and the zip, written."""
    out, logo, picture = folder.out, club.print.letterhead.logo, club.logo
    date = club.print.settings.date or max(row.date for row in rows)
    head = IndexHead(title=club.title, date=date, logo=picture, archive=club.archive)
    wording = club.print.wording
    cautions = [wording.text(text) for text in CAUTIONS]

    def page(into: BinaryIO, head: IndexHead) -> None:
        write_index(into, head, rows, cautions=cautions, wording=wording)

    if logo is not None:
        write_atomically(out / picture, logo.data)
    index, archive = out / INDEX, out / club.archive
    with written_atomically(index) as file:
        page(file, head)
    inside = io.BytesIO()
    page(inside, dataclasses.replace(head, archive=""))  # the zip is not in itself
    root = archive.stem

    def members() -> Iterator[Member]:
        yield Member(name=f"{root}/{INDEX}", date=date, content=inside.getvalue())
        if logo is not None:
            yield Member(name=f"{root}/{picture}", date=date, content=logo.data)
        for row in rows:
            files = [(pack.file, pack.digest) for pack in row.packs]
            for name, digest in (*files, (row.picture, row.picture_digest)):
                if name:
                    yield Member(
                        name=f"{root}/{name}",
                        date=row.date or date,
                        content=out / name,
                        digest=digest,
                    )

    write_zip(archive, members())
    folder.keep(club.archive)
    return index, archive
