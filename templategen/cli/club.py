"""The command ``club``: packs for many blanks and papers in one run."""

import contextlib
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templategen.cli import printing, speech
from templategen.cli.usage import Command
from templategen.errors import InputError, OutputError, TemplategenError, machine_reason
from templategen.messages import say, say_count, speak, speaking, spoken, wording_in_use

if TYPE_CHECKING:
    from templategen.club.index import IndexRow
    from templategen.club.lists import ClubEntry, ClubSettings, RawEntry
    from templategen.nest.plan import Plan
    from templategen.sheets.letterhead import Letterhead
    from templategen.trade.printer import PrinterProfile
    from templategen.units import Units

FOLDER = Path("templategen-club")
RECORD = "templategen-club-record/1"
RECORDS = ".templategen-club"  # folder of what is done, inside the output folder
PICTURES = "pictures"
MOST_JOBS = 64
LINE = 0.8  # mm: a line of a picture that is shown at a fifth of its size


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What every worker is told once.

    Args:
        language: of every pack, or empty for each job's own.
        told: the language of the index and of what is told.
    """

    settings: "ClubSettings"
    letterhead: "Letterhead"
    units: str  # of the print, or empty for each job's own
    profile: "PrinterProfile | None"
    folder: Path
    out: Path
    language: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one entry.

    Args:
        made: packs written in this run.
        kept: packs of an earlier run that still hold.
        faults: why it was skipped, as lines; empty if it was not.
        machine: whether the fault is the machine's, which ends the run.
    """

    made: int = 0
    kept: int = 0
    faults: tuple[str, ...] = ()
    machine: bool = False


def register(app: typer.Typer) -> None:
    """Adds the command to the program."""
    said = say(
        "Prints packs for many blanks and papers, with an index page and a zip of them all.\n\n"
        "A run that was interrupted goes on where it stopped. A bad entry is named and skipped."
    )
    app.command("club", cls=Command, help=said)(club)


def club(
    list_file: Annotated[
        Path, typer.Argument(metavar=say("LIST"), help=say("List of blanks, TOML or CSV."))
    ],
    *,
    out: Annotated[Path, typer.Option(help=say("Folder for the packs."))] = FOLDER,
    name: Annotated[str | None, typer.Option(help=say("Name of the club, for the covers."))] = None,
    logo: Annotated[
        Path | None, typer.Option(help=say("Picture for the covers, PNG or SVG."))
    ] = None,
    shop: Annotated[
        Path | None, typer.Option(help=say("Shop file for entries that name none."))
    ] = None,
    paper: Annotated[
        list[str] | None, typer.Option(help=say("Paper for entries that name none; may repeat."))
    ] = None,
    part: printing.PartOpt = None,
    units: printing.UnitsOpt = None,
    printer: printing.PrinterOpt = None,
    jobs: Annotated[
        int | None,
        typer.Option(help=say("Processes at a time; default as many as cores, up to 4.")),
    ] = None,
) -> None:
    """Prints packs for many blanks and papers, with an index page and a zip of them all.

    A run that was interrupted goes on where it stopped. A bad entry is named and skipped.
    """
    from templategen.club.lists import read_club
    from templategen.inputs.shop_file import read_shop
    from templategen.output.files import make_folder
    from templategen.output.logo import read_logo
    from templategen.parts.registry import check_kinds
    from templategen.sheets.letterhead import Letterhead
    from templategen.trade.paper import paper_named
    from templategen.units import Units, printed_units

    printed_units(units, Units.MM)
    if jobs is not None and not 1 <= jobs <= MOST_JOBS:
        raise InputError(
            say("{text} is out of bounds", text=jobs),
            where="--jobs",
            mend=say("give 1 to {most}", most=MOST_JOBS),
        )
    listed = read_club(list_file)
    settings = listed.settings
    language = speech.asked() or settings.language
    speech.settled(settings.language, speech.asked())
    settings = replace(
        settings,
        name=settings.name if name is None else " ".join(name.split())[:100],
        logo=logo or settings.logo,
        shop=shop or settings.shop,
        papers=tuple(paper) if paper else settings.papers,
        parts=tuple(part) if part else settings.parts,
    )
    check_kinds(settings.parts)
    if settings.shop is not None:
        read_shop(settings.shop)
    for wanted in settings.papers:
        paper_named(wanted)
    work = Work(
        settings=settings,
        letterhead=Letterhead(
            name=settings.name, logo=None if settings.logo is None else read_logo(settings.logo)
        ),
        units=units or "",
        profile=printing.profile_named(printer),
        folder=list_file.parent,
        out=out,
        language=language,
        told=spoken(),
    )
    for folder in (out, out / PICTURES, out / RECORDS):
        make_folder(folder)
    count = jobs or min(4, os.cpu_count() or 1)
    made = kept = bad = 0
    again = say("run again to go on from here")
    with _reporting(listed.count) as (tell, step):
        for outcome in _outcomes(work, listed.entries(), min(count, listed.count)):
            made, kept = made + outcome.made, kept + outcome.kept
            if outcome.machine:
                raise OutputError(" ".join(outcome.faults), mend=again)
            bad += bool(outcome.faults)
            for text in outcome.faults:
                tell(say("skipped: {fault}", fault=text))
            step()
    title = settings.name or list_file.stem
    archive = _finish(work, listed.count, title)
    if archive is not None:
        told = say("{file}: {count} packs", file=archive, count=made + kept)
        if kept:
            told = say(
                "{file}: {count} packs, {kept} kept from an earlier run",
                file=archive,
                count=made + kept,
                kept=kept,
            )
        typer.echo(told)
        typer.echo(say("{file}: pictures of all nests", file=out / "index.html"))
        strange = _strangers(work, listed.count)
        if strange:
            typer.echo(
                say(
                    "note: {folder} also holds {count} packs of another run; not in the zip",
                    folder=out,
                    count=strange,
                )
            )
        typer.echo(printing.measure_first())
    if bad:
        typer.echo(
            say("{bad} of {count} entries skipped, each named above.", bad=bad, count=listed.count),
            err=True,
        )
        raise typer.Exit(1)


@contextlib.contextmanager
def _reporting(count: int) -> Iterator[tuple[Any, Any]]:
    """How to tell a line and how to take a step: a bar on a terminal, nothing when piped."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    console = Console(stderr=True)
    if not console.is_terminal:
        yield (lambda text: typer.echo(text, err=True)), (lambda: None)
        return
    columns = (TextColumn(say("Packs")), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console) as progress:
        task = progress.add_task("packs", total=count)
        yield (
            (
                lambda text: progress.console.print(
                    text, markup=False, emoji=False, highlight=False, soft_wrap=True
                )
            ),
            (lambda: progress.advance(task)),
        )


def _outcomes(work: Work, entries: "Iterator[RawEntry]", jobs: int) -> Iterator[Outcome]:
    """The outcome of every entry; no more than a few entries are held at a time."""
    if jobs == 1:
        for entry in entries:
            yield make_entry(work, entry)
        return
    import multiprocessing
    from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
    from concurrent.futures.process import BrokenProcessPool

    pool = ProcessPoolExecutor(
        jobs,
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_begin,
        initargs=(work,),
    )
    try:
        waiting: set[Future[Outcome]] = set()
        more = True
        while more or waiting:
            while more and len(waiting) < 2 * jobs:
                following = next(entries, None)
                if following is None:
                    more = False
                else:
                    waiting.add(pool.submit(_worked, following))
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for future in done:
                yield future.result()
    except BrokenProcessPool as error:
        raise OutputError(
            say("a process was ended"), mend=say("run again to go on from here")
        ) from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


_told: list[Work] = []


def _begin(work: Work) -> None:
    """Begins a process: it speaks as the list does.

    An interrupt is for the first process, which lets the packs finish.
    """
    import gc
    import signal
    import threading

    from templategen.__main__ import OBJECTS

    gc.set_threshold(OBJECTS)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_first, daemon=True).start()
    _told[:] = [work]
    speak(work.told)


def _end_with_the_first() -> None:
    """Ends this process when the first is gone: else it would wait for work for ever."""
    import multiprocessing

    first = multiprocessing.parent_process()
    if first is not None:
        first.join()
        os._exit(1)  # at once, whatever is being written: an unfinished file is cleared later


def _worked(entry: "RawEntry") -> Outcome:
    return make_entry(_told[0], entry)


def make_entry(work: Work, raw: "RawEntry") -> Outcome:
    """Makes the packs of one entry, or keeps those that are there already.

    Nothing is raised: whatever goes wrong becomes the entry's fault.
    """
    from templategen.output.files import write_atomically

    record = work.out / RECORDS / f"{raw.number:04d}.json"
    fault = Outcome()
    try:
        with speaking(work.told):  # the job's own language holds inside
            outcome, data = _made(work, raw)
    except OutputError as error:
        return Outcome(faults=error.lines(), machine=True)
    except TemplategenError as error:
        fault = Outcome(faults=tuple(_placed(raw, text) for text in error.lines()))
    except MemoryError:
        return Outcome(faults=(f"{raw.name}: {say('out of memory')}",), machine=True)
    except OSError as error:
        why = machine_reason(error, say("the machine failed"))
        return Outcome(faults=(f"{raw.name}: {why}",), machine=True)
    except Exception as error:
        why = say("the program failed ({reason})", reason=f"{type(error).__name__}: {error}")
        fault = Outcome(faults=(" ".join(f"{raw.name}: {why}".split()),))
    else:
        try:
            write_atomically(record, _json(data))
        except OutputError as error:
            return Outcome(faults=error.lines(), machine=True)
        return outcome
    name = raw.values.get("name")
    shown = name if isinstance(name, str) and name else raw.where
    data = {"format": RECORD, "name": shown, "packs": [], "findings": list(fault.faults)}
    try:
        write_atomically(record, _json(data))
    except OutputError as error:
        return Outcome(faults=error.lines(), machine=True)
    return fault


def _placed(raw: "RawEntry", text: str) -> str:
    """The fault with the entry's place and name before it."""
    rest = text.removeprefix(raw.where)
    return f"{raw.name}{rest}" if rest != text else f"{raw.name}: {text}"


def _json(data: dict[str, Any]) -> bytes:
    return json.dumps(data, indent=1, ensure_ascii=True, allow_nan=False, sort_keys=True).encode()


def _made(work: Work, raw: "RawEntry") -> tuple[Outcome, dict[str, Any]]:
    from templategen.club.lists import check_entry
    from templategen.inputs.job_file import check_cutters
    from templategen.nest.check import check_plan
    from templategen.nest.planner import make_plan
    from templategen.output.names import safe_name
    from templategen.parts.registry import check_kinds
    from templategen.trade.paper import paper_named
    from templategen.trade.wood import nearest_wood

    entry = check_entry(raw, work.settings, folder=work.folder, known_wood=nearest_wood)
    entry = replace(entry, job=speech.settle(entry.job, asked_for=work.language))
    check_cutters(entry.job, entry.shop)
    check_kinds(entry.job.print.parts)
    papers = [paper_named(name) for name in entry.papers]
    stem = f"{raw.number:03d}-{safe_name(entry.name, fallback='blank')}"
    packs: list[dict[str, Any]] = []
    made = 0
    plan: Plan | None = None
    for paper in papers:
        key = _key(work, entry, paper.name)
        name = f"{stem}-{safe_name(paper.name)}.pdf"
        record = work.out / RECORDS / f"{raw.number:04d}-{safe_name(paper.name)}.json"
        picture = f"{PICTURES}/{stem}.svg"
        done = _finished(work.out, record, key, file=name, picture=picture)
        if done is None:
            if plan is None:
                plan = make_plan(entry.job, entry.shop)
                _refuse_stops(plan)
                check_plan(plan)
            done = _pack(work, entry, plan, paper.name, name, picture, key, record)
            made += 1
        packs.append(done)
    first = packs[0]
    data = {
        "format": RECORD,
        "name": entry.name,
        "facts": first["facts"],
        "picture": first["picture"],
        "packs": [{k: p[k] for k in ("paper", "file", "sheets")} for p in packs],
        "findings": first["findings"],
    }
    return Outcome(made=made, kept=len(packs) - made), data


def _refuse_stops(plan: "Plan") -> None:
    from templategen.nest.plan import Level

    stops = [f"{say(f.rule)}: {f.text}" for f in plan.findings if f.level is Level.STOP]
    if stops:
        raise InputError("; ".join(stops), mend=say("change the blank, the shop or the wall"))


def _key(work: Work, entry: "ClubEntry", paper: str) -> str:
    """What a pack depends on, as a digest: if it is the same, so is the pack."""
    from templategen import __version__
    from templategen.inputs.job_file import job_to_table
    from templategen.inputs.shop_file import shop_to_table

    logo = work.letterhead.logo
    said = [
        RECORD,
        __version__,
        job_to_table(entry.job),
        entry.job.units.value,
        shop_to_table(entry.shop),
        entry.shop.units.value,
        entry.name,
        paper,
        spoken(),
        work.told,
        work.units,
        None if work.profile is None else astuple(work.profile),
        work.letterhead.name,
        "" if logo is None else hashlib.sha256(logo.data).hexdigest(),
    ]
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _finished(
    out: Path, record: Path, key: str, *, file: str, picture: str
) -> dict[str, Any] | None:
    """What the record of a finished pack says, if the pack still is what it was.

    A record that names other files, or is not of the kind this program writes, counts for nothing.
    """
    try:
        data = json.loads(record.read_text(encoding="utf-8"))
        said = (data["format"], data["key"], data["file"], data["picture"], set(data["digests"]))
        if said != (RECORD, key, file, picture, {file, picture}):
            return None
        texts = [data["paper"], *data["facts"], *data["findings"]]
        if not isinstance(data["sheets"], int) or not all(isinstance(t, str) for t in texts):
            return None
        same = all(_digest(out / name) == data["digests"][name] for name in (file, picture))
    except (OSError, ValueError, LookupError, TypeError):
        return None
    return data if same else None


def _pack(
    work: Work,
    entry: "ClubEntry",
    plan: "Plan",
    paper_name: str,
    name: str,
    picture: str,
    key: str,
    record: Path,
) -> dict[str, Any]:
    """Writes one pack and its picture, and last of all the record that it is finished."""
    from templategen.output.files import write_atomically
    from templategen.output.pdf import write_pdf
    from templategen.output.svg import drawing_svg
    from templategen.parts.nest_picture import nest_picture
    from templategen.parts.registry import make_parts
    from templategen.parts.style import PrintStyle
    from templategen.proof.recipe import NAME, recipe_bytes
    from templategen.sheets.cover import make_pack
    from templategen.sheets.letterhead import with_letterhead
    from templategen.trade.paper import paper_named
    from templategen.units import printed_units

    job = entry.job
    unit = printed_units(work.units or None, job.units)
    style = PrintStyle(units=unit, wording=wording_in_use())
    parts = make_parts(plan, kinds=job.print.parts, style=style)
    if not parts:
        raise printing.nothing_to_print("parts")
    letterhead = work.letterhead
    laid = make_pack(
        plan,
        parts,
        paper=paper_named(paper_name),
        units=unit,
        profile=work.profile,
        head=letterhead.height,
    )
    laid = with_letterhead(laid, letterhead)
    attached = {NAME: recipe_bytes(plan, laid)}
    files = {
        name: write_pdf(laid, title=job.title, attachments=attached),
        picture: drawing_svg(nest_picture(plan), title=entry.name, thin=LINE, paper=True),
    }
    for file, data in files.items():
        write_atomically(work.out / file, data)

    done = {
        "format": RECORD,
        "key": key,
        "digests": {file: hashlib.sha256(data).hexdigest() for file, data in files.items()},
        "paper": paper_name,
        "file": name,
        "sheets": len(laid.pages),
        "picture": picture,
        **_said_of(work, entry, plan, unit),
    }
    write_atomically(record, _json(done))
    return done


def _said_of(work: Work, entry: "ClubEntry", plan: "Plan", unit: "Units") -> dict[str, Any]:
    """What the index says of an entry, in the language of the list."""
    from templategen.nest.planner import make_plan
    from templategen.units import printed_length

    job = entry.job
    if spoken() != work.told:  # the plan's findings are worded in the job's own language
        with speaking(work.told):
            return _said_of(work, entry, make_plan(job, entry.shop), unit)

    def shown(value: float) -> str:
        return printed_length(value, unit)

    size = f"{shown(job.blank.diameter)} × {shown(job.blank.height)}"
    rims = ", ".join(shown(piece.rim_diameter) for piece in plan.bowls)
    return {
        "facts": [
            job.title if job.title != entry.name else "",
            say("Blank {size}", size=f"{size} {job.blank.wood}".strip()),
            say_count(
                "{count} piece: rim Ø {rims}",
                "{count} pieces: rim Ø {rims}",
                len(plan.bowls),
                rims=rims,
            ),
        ],
        "findings": [f"{say(f.level.value)}: {f.text}" for f in plan.findings],
    }


def _records(work: Work, count: int) -> Iterator[dict[str, Any]]:
    """The records of the entries in the order of the list, one at a time."""
    for number in range(1, count + 1):
        path = work.out / RECORDS / f"{number:04d}.json"
        data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        yield data


def _strangers(work: Work, count: int) -> int:
    """How many packs lie in the folder that are not of this list."""
    strange = 0
    for path in work.out.glob("*.pdf"):
        number = path.name.split("-")[0]
        known = False
        if number.isdecimal() and 1 <= int(number) <= count:
            record = work.out / RECORDS / f"{int(number):04d}.json"
            data = json.loads(record.read_text(encoding="utf-8"))
            known = any(pack["file"] == path.name for pack in data["packs"])
        strange += not known
    return strange


def _rows(work: Work, count: int) -> "Iterator[IndexRow]":
    from templategen.club.index import IndexRow, PackLink

    for data in _records(work, count):
        yield IndexRow(
            name=data["name"],
            facts=data.get("facts", ()),
            picture=data.get("picture", ""),
            packs=[PackLink(**pack) for pack in data["packs"]],
            findings=data["findings"],
        )


def _finish(work: Work, count: int, title: str) -> Path | None:
    """Writes the index and the zip; None where not one pack was made."""
    from templategen.club.archive import write_zip
    from templategen.club.index import write_index
    from templategen.output.files import written_atomically
    from templategen.output.names import safe_name
    from templategen.parts.cautions import CAUTIONS

    if not any(data["packs"] for data in _records(work, count)):
        return None
    index = work.out / "index.html"
    with written_atomically(index) as file:
        write_index(
            file, title=title, rows=_rows(work, count), cautions=[str(text) for text in CAUTIONS]
        )
    root = safe_name(title, fallback="club")

    def members() -> Iterator[tuple[str, Path]]:
        yield f"{root}/index.html", index
        for data in _records(work, count):
            names = [pack["file"] for pack in data["packs"]]
            for name in (*names, data.get("picture", "")):
                if name:
                    yield f"{root}/{name}", work.out / name

    target = work.out / f"{root}.zip"
    write_zip(target, members())
    return target
