"""Runs a club's list: packs for many blanks and papers, with an index page and a zip of them."""

import dataclasses
import functools
import hashlib
import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from templategen import __version__
from templategen.app.jobs import OpenedJob, settle
from templategen.app.packs import nothing_to_print
from templategen.app.printers import profile_named
from templategen.club.archive import write_zip
from templategen.club.index import IndexRow, PackLink, write_index
from templategen.club.lists import (
    ClubList,
    ClubSettings,
    RawEntry,
    check_entry,
    read_club,
)
from templategen.club.records import (
    FOLDER,
    PICTURES,
    PackFiles,
    digest_of,
    entry_records,
    finished_pack,
    packs_of_others,
    write_entry_record,
    write_pack_files,
)
from templategen.club.runs import Outcome, outcomes
from templategen.errors import InputError, OutputError, TemplategenError, machine_reason
from templategen.inputs.job_file import job_to_table
from templategen.inputs.shop_file import read_shop, shop_to_table
from templategen.messages import ENGLISH, Joined, Wording, tr
from templategen.nest.check import check_plan
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import make_plan
from templategen.output.files import make_folder, written_atomically
from templategen.output.names import safe_name
from templategen.output.pdf import write_pdf
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.cautions import CAUTIONS
from templategen.parts.nest_picture import nest_picture
from templategen.parts.registry import check_kinds, make_parts
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.proof.strangers import read_logo
from templategen.sheets.letterhead import Letterhead
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack, with_letterhead
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

MOST_PROCESSES = 64
LINE = 0.8  # mm: a line of a picture that is shown at a fifth of its size
LONGEST_NAME = 100  # letters of a club's name

Progress = Callable[[int, tuple[str, ...]], object]  # entries done, faults of the last


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubWishes:
    """What goes before the settings of the list.

    Args:
        name: of the club, or None.
        logo: picture for the covers, or None.
        shop: shop file for entries that name none, or None.
        papers: for entries that name none.
        kinds: of parts; empty for those of the list.
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
    units: Units | None = None
    printer: str | None = None
    processes: int | None = None
    language: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubPrint:
    """What is needed to make any entry; can be pickled.

    Args:
        settings: those of the list, the wishes put in.
        letterhead: for the covers.
        units: of the print; None for each job's own.
        profile: the printer that pages are corrected for, or None.
        folder: where the list lies.
        language: of every pack, or empty for each job's own.
        wording: of the index and of what is said.
    """

    settings: ClubSettings
    letterhead: Letterhead
    units: Units | None
    profile: PrinterProfile | None
    folder: Path
    language: str
    wording: Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedClub:
    """A checked list, ready to be run: `title` is that of its index page."""

    listed: ClubList
    print: ClubPrint
    title: str
    processes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubRun:
    """What a run did.

    Args:
        made: packs written.
        kept: packs of an earlier run that still hold.
        skipped: entries that have a fault.
        archive: the zip; None where there is not one pack.
        index: the page; None likewise.
        others: packs in the folder that are not of this list.
    """

    made: int
    kept: int
    skipped: int
    archive: Path | None
    index: Path | None
    others: int


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
    wording = Wording(language or ENGLISH)
    name = stated.name if wishes.name is None else " ".join(wishes.name.split())[:LONGEST_NAME]
    settings = dataclasses.replace(
        stated,
        name=name,
        logo=wishes.logo or stated.logo,
        shop=wishes.shop or stated.shop,
        papers=wishes.papers or stated.papers,
        parts=check_kinds(wishes.kinds) or stated.parts,
    )
    if settings.shop is not None:
        read_shop(settings.shop)
    for paper in settings.papers:
        paper_named(paper)
    logo = None if settings.logo is None else read_logo(settings.logo)
    return OpenedClub(
        listed=listed,
        print=ClubPrint(
            settings=settings,
            letterhead=Letterhead(name=name, logo=logo),
            units=wishes.units,
            profile=profile_named(wishes.printer),
            folder=path.parent,
            language=language,
            wording=wording,
        ),
        title=name or path.stem,
        processes=min(count or min(4, os.cpu_count() or 1), listed.count),
    )


def run_club(club: OpenedClub, out: Path, progress: Progress) -> ClubRun:
    """Makes every pack that is not there already, then the index and the zip.

    Args:
        club: the list.
        out: folder for the packs; made where it is missing.
        progress: called after each entry.

    Raises:
        OutputError: the machine failed; another run goes on from there.
    """
    for folder in (out, out / PICTURES, out / FOLDER):
        make_folder(folder)
    made = kept = skipped = 0
    entry = functools.partial(make_entry, club.print, out)
    finished = outcomes(entry, club.listed.entries(), club.processes)
    for done, outcome in enumerate(finished, start=1):
        made, kept = made + outcome.made, kept + outcome.kept
        if outcome.machine:
            again = tr("run again to go on from here")
            raise OutputError(" ".join(outcome.faults), mend=again)
        skipped += bool(outcome.faults)
        progress(done, outcome.faults)
    index, archive = _finish(club, out)
    others = packs_of_others(out, club.listed.count) if archive else 0
    return ClubRun(
        made=made, kept=kept, skipped=skipped, archive=archive, index=index, others=others
    )


def make_entry(club: ClubPrint, out: Path, raw: RawEntry) -> Outcome:
    """Makes the packs of one entry, or keeps those that are there already.

    Nothing is raised: whatever goes wrong becomes the entry's fault.
    """
    wording = club.wording
    place = raw.named_place(wording)
    try:
        outcome, record = _made_or_skipped(club, out, raw)
        write_entry_record(out, raw.number, record)
    except OutputError as error:
        return Outcome(faults=error.lines(wording), machine=True)
    except MemoryError:
        return Outcome(faults=(f"{place}: {wording.say('out of memory')}",), machine=True)
    except OSError as error:
        why = wording.text(machine_reason(error, tr("the machine failed")))
        return Outcome(faults=(f"{place}: {why}",), machine=True)
    return outcome


def _made_or_skipped(club: ClubPrint, out: Path, raw: RawEntry) -> tuple[Outcome, dict[str, Any]]:
    """The outcome of an entry and its record; a fault of the entry skips it.

    Raises:
        OutputError, MemoryError, OSError: the machine failed.
    """
    wording = club.wording
    where, place = raw.place(wording), raw.named_place(wording)
    try:
        return _made(club, out, raw)
    except (OutputError, MemoryError, OSError):
        raise
    except TemplategenError as error:
        lines = error.lines(wording)
        faults = [
            f"{place}{text.removeprefix(where)}" if text.startswith(where) else f"{place}: {text}"
            for text in lines
        ]
    except Exception as error:
        reason = f"{type(error).__name__}: {error}"
        why = wording.say("the program failed ({reason})", reason=reason)
        faults = [" ".join(f"{place}: {why}".split())]
    name = raw.values.get("name")
    shown = name if isinstance(name, str) and name else where
    return Outcome(faults=tuple(faults)), {"name": shown, "packs": [], "findings": faults}


def _made(club: ClubPrint, out: Path, raw: RawEntry) -> tuple[Outcome, dict[str, Any]]:
    """The packs of an entry, made or kept; and its record."""
    entry = check_entry(raw, club.settings, folder=club.folder)
    opened = settle(entry.job, entry.shop, club.language)
    name = opened.wording.text(entry.name)
    if not entry.is_titled:
        job = dataclasses.replace(opened.job, title=name[:LONGEST_NAME])
        opened = dataclasses.replace(opened, job=job)
    check_kinds(opened.job.print.parts)
    papers = [paper_named(paper).name for paper in entry.papers]
    packs: list[dict[str, Any]] = []
    made = 0
    plan: Plan | None = None
    for paper in papers:
        key = _key(club, opened, name, paper)
        files = PackFiles.of(raw.number, name, paper)
        done = finished_pack(out, files, key)
        if done is None:
            if plan is None:
                plan = make_plan(opened.job, opened.shop)
                _refuse_stops(plan)
                check_plan(plan)
            pdf, picture, record = _pack(club, opened, plan, files, name)
            record["key"] = key
            done = write_pack_files(out, files, pdf=pdf, picture=picture, record=record)
            made += 1
        packs.append(done)
    first = packs[0]
    return Outcome(made=made, kept=len(packs) - made), {
        "name": name,
        "facts": first["facts"],
        "picture": first["picture"],
        "packs": [{k: p[k] for k in ("paper", "file", "sheets")} for p in packs],
        "findings": first["findings"],
    }


def _refuse_stops(plan: Plan) -> None:
    stops = [
        Joined((tr(f.rule.value), f.text), ": ") for f in plan.findings if f.level is Level.STOP
    ]
    if stops:
        raise InputError(
            Joined(tuple(stops), "; "), mend=tr("change the blank, the shop or the wall")
        )


def _key(club: ClubPrint, opened: OpenedJob, name: str, paper: str) -> str:
    """Digest of all that a pack depends on."""
    logo = club.letterhead.logo
    return digest_of(
        [
            __version__,
            job_to_table(opened.job),
            opened.job.units.value,
            shop_to_table(opened.shop),
            opened.shop.units.value,
            name,
            paper,
            opened.wording.language,
            club.wording.language,
            "" if club.units is None else club.units.value,
            None if club.profile is None else dataclasses.astuple(club.profile),
            club.letterhead.name,
            "" if logo is None else hashlib.sha256(logo.data).hexdigest(),
        ]
    )


def _pack(
    club: ClubPrint, opened: OpenedJob, plan: Plan, files: PackFiles, name: str
) -> tuple[bytes, bytes, dict[str, Any]]:
    """The PDF of one pack, the picture of its nest, and what its record says of it."""
    job = opened.job
    style = PrintStyle(
        units=(club.units or job.units).starting_with(job.units), wording=opened.wording
    )
    parts = make_parts(plan, kinds=job.print.parts, style=style)
    if not parts:
        raise nothing_to_print("parts")
    frame = PageFrame(paper=paper_named(files.paper), profile=club.profile)
    head = club.letterhead
    laid = with_letterhead(make_pack(plan, parts, frame=frame, style=style, head=head.height), head)
    look = SvgLook(thin=LINE, paper=True, wording=opened.wording)
    summary = _summary(name, plan, PrintStyle(units=style.units, wording=club.wording))
    return (
        write_pdf(laid, title=job.title, attachments={NAME: recipe_bytes(plan, laid)}),
        drawing_svg(nest_picture(plan), title=name, look=look),
        {"sheets": len(laid.pages), **summary},
    )


def _summary(name: str, plan: Plan, style: PrintStyle) -> dict[str, list[str]]:
    """What the index says of an entry."""
    job = plan.job
    size = f"{style.length(job.blank.diameter)} × {style.length(job.blank.height)}"
    wood = style.text(job.blank.shown_wood)
    rims = ", ".join(style.length(bowl.rim_diameter) for bowl in plan.bowls)
    return {
        "facts": [
            job.title if job.title != name else "",
            style.say("Blank {size}", size=f"{size} {wood}".strip()),
            style.say_count(
                "{count} bowl: rim Ø {rims}",
                "{count} bowls: rim Ø {rims}",
                len(plan.bowls),
                rims=rims,
            ),
        ],
        "findings": [f"{style.say(f.level.value)}: {style.text(f.text)}" for f in plan.findings],
    }


def _finish(club: OpenedClub, out: Path) -> tuple[Path | None, Path | None]:
    """Writes index and zip; None for both where there is not one pack."""
    count = club.listed.count
    if not any(data["packs"] for data in entry_records(out, count)):
        return None, None
    index = out / "index.html"
    with written_atomically(index) as file:
        write_index(
            file,
            title=club.title,
            rows=_rows(out, count),
            cautions=[club.print.wording.text(text) for text in CAUTIONS],
            wording=club.print.wording,
        )
    root = safe_name(club.title, fallback="club")

    def members() -> Iterator[tuple[str, Path]]:
        yield f"{root}/index.html", index
        for data in entry_records(out, count):
            names = [pack["file"] for pack in data["packs"]]
            for name in (*names, data.get("picture", "")):
                if name:
                    yield f"{root}/{name}", out / name

    archive = out / f"{root}.zip"
    write_zip(archive, members())
    return index, archive


def _rows(out: Path, count: int) -> Iterator[IndexRow]:
    for data in entry_records(out, count):
        yield IndexRow(
            name=data["name"],
            facts=data.get("facts", ()),
            picture=data.get("picture", ""),
            packs=[PackLink(**pack) for pack in data["packs"]],
            findings=data["findings"],
        )
