"""Makes what a club hands out: a bench's hand-out or pack, and the set of a shop."""

import dataclasses
import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from templategen import __version__
from templategen.app.jobs import OpenedJob, open_shop, settle
from templategen.app.packs import letters_lacking, nothing_to_print
from templategen.club.entries import LONGEST_NAME, Bench
from templategen.club.index import IndexRow, PackLink
from templategen.club.lists import ClubEntry, ClubSettings, check_entry
from templategen.club.records import (
    ANOTHER_FOLDER,
    PackFiles,
    digest_of,
    finished_pack,
    write_pack_files,
)
from templategen.club.runs import Outcome
from templategen.errors import (
    InputError,
    OutputError,
    TemplategenError,
    machine_reason,
    plain,
)
from templategen.inputs.job_file import job_to_table
from templategen.inputs.shop_file import shop_to_table
from templategen.messages import Joined, Text, Wording, tr
from templategen.nest.check import check_plan
from templategen.nest.plan import Level, Plan
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.output.svg import SvgLook, drawing_svg
from templategen.parts.drawing import Part
from templategen.parts.hand_out import numbered_title
from templategen.parts.lettering import missing_letters, printable
from templategen.parts.nest_picture import nest_picture
from templategen.parts.registry import check_kinds, make_parts
from templategen.parts.shop_set import shop_parts, shop_plan, shop_set_title
from templategen.parts.style import PrintStyle
from templategen.proof.recipe import NAME, recipe_bytes
from templategen.sheets.letterhead import Letterhead
from templategen.sheets.page import PageFrame
from templategen.sheets.work_order import make_pack, with_letterhead
from templategen.trade.paper import paper_named
from templategen.trade.part_kinds import PartKind
from templategen.trade.printer import PrinterProfile
from templategen.units import Units

LINE = 0.8  # mm: a line of a picture that is shown at a fifth of its size


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubPrint:
    """What is needed to make any pack of a list; can be pickled.

    Args:
        settings: those of the list, the wishes put in.
        letterhead: for the covers.
        units: of the print; None for each job's own.
        profile: the printer that pages are corrected for, or None.
        listed: the list's file.
        language: of every pack, or empty for each job's own.
        wording: of the index and of what is said.
        seal: the secret of this user that marks what is finished.
    """

    settings: ClubSettings
    letterhead: Letterhead
    units: Units | None
    profile: PrinterProfile | None
    listed: Path
    language: str
    wording: Wording
    seal: bytes

    @property
    def kinds(self) -> tuple[PartKind, ...]:
        """The kinds of parts that every bench gets; none where each job says so itself."""
        if self.settings.parts or self.settings.full:
            return self.settings.parts
        return (PartKind.HAND_OUT,)

    @property
    def has_shop_sets(self) -> bool:
        """Whether each shop's set is printed: not where the parts are named one by one."""
        return not self.settings.parts


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopUse:
    """A shop whose set is to be printed: how its first bench uses it.

    Args:
        path: of its file; None for the built-in demo shop.
        paper: by name.
        date: ISO 8601, or empty.
        again: 1, or which of the shops of one name it is.
    """

    path: Path | None
    paper: str
    date: str
    again: int


def make_entry(club: ClubPrint, out: Path, bench: Bench) -> Outcome:
    """Makes the packs of one entry, or keeps those that are there already.

    Nothing is raised: whatever goes wrong becomes the entry's fault.
    """
    wording, raw = club.wording, bench.raw
    where, place = raw.place(wording), raw.named_place(wording)
    lines: tuple[str, ...]
    is_machine = True
    try:
        return _made(club, out, bench)
    except OutputError as error:
        lines = error.lines(wording)
    except MemoryError:
        why = wording.say("out of memory")
        lines = (f"{place}: {why}",)
    except OSError as error:
        why = wording.text(machine_reason(error, tr("the machine failed")))
        lines = (f"{place}: {why}",)
    except TemplategenError as error:
        is_machine = False
        where = plain(where)
        lines = tuple(
            f"{place}{text.removeprefix(where)}" if text.startswith(where) else f"{place}: {text}"
            for text in error.lines(wording)
        )
    except Exception as error:
        is_machine = False
        reason = f"{type(error).__name__}: {error}"
        why = wording.say("the program failed ({reason})", reason=reason)
        lines = (plain(" ".join(f"{place}: {why}".split())),)
    row = IndexRow(number=bench.number, name=raw.name or where, facts=(), findings=lines)
    return Outcome(position=raw.number, faults=lines, is_machine=is_machine, row=row)


def _made(club: ClubPrint, out: Path, bench: Bench) -> Outcome:
    """The packs of an entry, made or kept.

    Raises:
        TemplategenError: what is wrong with the entry.
        OutputError, MemoryError, OSError: the machine failed.
    """
    entry = check_entry(bench.raw, club.settings, folder=club.listed.parent)
    opened = settle(entry.job, entry.shop, club.language)
    said = opened.wording.text(entry.name)
    if bench.again > 1:
        said = f"{said} ({bench.again})"
    opened, lost = _titled(opened, entry, bench.number, said)
    kinds = club.kinds or check_kinds(opened.job.print.parts)
    plan: Plan | None = None
    job = bench.raw.values.get("job")
    own = club.listed.parent / job if isinstance(job, str) else None
    inputs = (club.settings.logo, entry.shop_path, own)
    done: list[tuple[PackFiles, dict[str, Any]]] = []
    made = 0
    for paper in (paper_named(paper).name for paper in entry.papers):
        files = PackFiles.of_bench(bench.number, said, paper)
        refuse_inputs(out, files.names, inputs)
        key = _key(club, opened, kinds, paper)
        record = finished_pack(out, files, key, club.seal)
        if record is None:
            if plan is None:
                # A hand-out shows no suggestions, which take longer than all the rest.
                wishes = kinds != (PartKind.HAND_OUT,)
                plan = make_plan(opened.job, opened.shop, with_suggestions=wishes)
                _refuse_stops(plan)
                check_plan(plan)
            made += 1
            contents, record = _drawn(club, opened, plan, kinds, files)
            record = write_pack_files(out, files, contents, {"key": key, **record}, club.seal)
        done.append((files, record))
    notes = [*entry.notes, *_letters(said, lost, done)]
    if bench.again > 1 and bench.raw.name:
        notes.append(tr("the name stands more than once: this one is called {name!r}", name=said))
    place = bench.raw.named_place(club.wording)
    return Outcome(
        position=bench.raw.number,
        made=made,
        kept=len(done) - made,
        notes=tuple(plain(f"{place}: {club.wording.text(note)}") for note in notes),
        row=_row(bench.number, said, opened.job.date, done),
        shop=None
        if entry.job.print.has_shop_set or not club.has_shop_sets
        else str(entry.shop_path or ""),
    )


def _titled(opened: OpenedJob, entry: ClubEntry, number: int, said: str) -> tuple[OpenedJob, str]:
    """The job with number and name in its title, and the letters that the print cannot show."""
    job = opened.job
    own = job.title if entry.is_titled else ""
    title = numbered_title(number, printable(said), printable(own))[:LONGEST_NAME].rstrip()
    blank = dataclasses.replace(job.blank, wood=printable(job.blank.wood))
    prints = dataclasses.replace(job.print, has_shop_set=True)  # it is printed once for all
    job = dataclasses.replace(job, title=title, blank=blank, print=prints)
    lost = missing_letters(said + own + entry.job.blank.wood)
    return dataclasses.replace(opened, job=job), lost


def _letters(said: str, lost: str, done: Sequence[tuple[PackFiles, dict[str, Any]]]) -> list[Text]:
    """Notes on letters that are not in print: replaced in names, or boxes in other words."""
    notes: list[Text] = []
    letters, shown = " ".join(lost[:20]), printable(said)
    if lost and shown:
        notes.append(
            tr("the print cannot show {letters}: it says {shown!r}", letters=letters, shown=shown)
        )
    elif lost:
        notes.append(
            tr("the print cannot show {letters}: it says the number alone", letters=letters)
        )
    boxes = "".join(dict.fromkeys("".join(record["missing"] for _, record in done)))
    if boxes:
        notes.append(tr("the print cannot show {letters}", letters=" ".join(boxes[:20])))
    return notes


def refuse_inputs(out: Path, names: Sequence[str], inputs: Sequence[Path | None]) -> None:
    """Refuses to write over what is read.

    Raises:
        InputError: a file of that name is an input.
    """
    read = {path.resolve() for path in inputs if path is not None}
    for name in names:
        if (out / name).resolve() in read:
            raise InputError(
                tr("is read by this list and would be written over"),
                where=str(out / name),
                mend=ANOTHER_FOLDER,
            )


def _refuse_stops(plan: Plan) -> None:
    stops = [
        Joined((tr(f.rule.value), f.text), ": ") for f in plan.findings if f.level is Level.STOP
    ]
    if stops:
        raise InputError(
            Joined(tuple(stops), "; "), mend=tr("change the blank, the shop or the wall")
        )


def _key(club: ClubPrint, opened: OpenedJob, kinds: Sequence[str], paper: str) -> str:
    """Digest of all that a bench's pack depends on."""
    job, shop = opened.job, opened.shop
    tables = [job_to_table(job), job.units.value, shop_to_table(shop), shop.units.value]
    return _digest(club, [*tables, list(kinds), paper, opened.wording.language])


def _digest(club: ClubPrint, values: list[Any]) -> str:
    logo, profile = club.letterhead.logo, club.profile
    return digest_of(
        [
            __version__,
            values,
            club.wording.language,
            "" if club.units is None else club.units.value,
            None if profile is None else dataclasses.astuple(profile),
            club.letterhead.name,
            "" if logo is None else hashlib.sha256(logo.data).hexdigest(),
        ]
    )


def _drawn(
    club: ClubPrint, opened: OpenedJob, plan: Plan, kinds: Sequence[PartKind], files: PackFiles
) -> tuple[dict[str, bytes], dict[str, Any]]:
    """The pack and the picture of a bench on a paper by their names, and what is recorded of it."""
    job = opened.job
    units = (club.units or job.units).starting_with(job.units)
    style = PrintStyle(units=units, wording=opened.wording)
    parts = make_parts(plan, kinds=kinds, style=style)
    pdf, record = _pdf(club, plan, parts, files.paper, job.title, style)
    look = SvgLook(thin=LINE, paper=True, wording=opened.wording)
    picture = drawing_svg(nest_picture(plan), title=job.title, look=look)
    summary = _summary(plan, PrintStyle(units=units, wording=club.wording))
    return {files.pdf: pdf, files.picture: picture}, {**record, **summary}


def _pdf(
    club: ClubPrint, plan: Plan, parts: Sequence[Part], paper: str, title: str, style: PrintStyle
) -> tuple[bytes, dict[str, Any]]:
    """A pack with the club's letterhead, and how many sheets it has and which letters it lacks.

    Raises:
        InputError: there is nothing to print.
    """
    if not parts:
        raise nothing_to_print("parts")
    frame = PageFrame(paper=paper_named(paper), profile=club.profile)
    head = club.letterhead
    laid = make_pack(plan, parts, frame=frame, style=style, head=head.height)
    laid = with_letterhead(laid, head)
    recipe = {NAME: recipe_bytes(plan, laid)}
    record = {"sheets": len(laid.pages), "missing": letters_lacking(parts)}
    return write_pdf(laid, title=title, attachments=recipe), record


def _summary(plan: Plan, style: PrintStyle) -> dict[str, list[str]]:
    """What the index says of a bench."""
    job = plan.job
    size = style.lengths((job.blank.diameter, job.blank.height))
    wood = style.text(job.blank.shown_wood)
    rims = ", ".join(style.length(bowl.rim_diameter) for bowl in plan.bowls)
    order = [cut.cutter.id for cut in plan.working_order]
    return {
        "facts": [
            style.say("Blank {size}", size=", ".join(filter(None, (size, wood)))),
            style.say_count(
                "{count} bowl: rim Ø {rims}",
                "{count} bowls: rim Ø {rims}",
                len(plan.bowls),
                rims=rims,
            ),
            style.say("Cutters in working order: {cutters}", cutters=", ".join(order))
            if order
            else "",
            plan.shop.name,
        ],
        "findings": [style.text(f.text) for f in plan.findings if f.level is not Level.NOTE],
        "notes": [style.text(f.text) for f in plan.findings if f.level is Level.NOTE],
    }


def _row(
    number: int, name: str, date: str, done: Sequence[tuple[PackFiles, Mapping[str, Any]]]
) -> IndexRow:
    (files, first), *_ = done
    return IndexRow(
        number=number,
        name=name,
        facts=first.get("facts", ()),
        picture=files.picture,
        picture_digest=first["digests"].get(files.picture, ""),
        packs=tuple(
            PackLink(
                paper=files.paper,
                file=files.pdf,
                sheets=record["sheets"],
                digest=record["digests"][files.pdf],
            )
            for files, record in done
        ),
        findings=first.get("findings", ()),
        notes=first.get("notes", ()),
        date=date,
    )


def make_shop_set(club: ClubPrint, out: Path, use: ShopUse) -> tuple[IndexRow, bool]:
    """The set of a shop, made or kept, as the index shows it; and whether it was made.

    Raises:
        InputError: the shop's file was changed while the run went on.
        OutputError: the disk.
    """
    opened = open_shop(use.path, language=club.language)
    shop, wording = opened.shop, opened.wording
    files = PackFiles.of_shop(shop.name, use.again, use.paper)
    refuse_inputs(out, files.names, [use.path])
    key = _digest(
        club, ["shop set", shop_to_table(shop), shop.units.value, use.paper, use.date,
               wording.language]
    )  # fmt: skip
    record = finished_pack(out, files, key, club.seal)
    is_made = record is None
    if record is None:
        style = PrintStyle(
            units=(club.units or shop.units).starting_with(shop.units), wording=wording
        )
        parts = shop_parts(shop, date=use.date, style=style)
        plan, title = shop_plan(shop, date=use.date), shop_set_title(shop.name, wording)
        data, record = _pdf(club, plan, parts, use.paper, title, style)
        record = write_pack_files(out, files, {files.pdf: data}, {"key": key, **record}, club.seal)
    name = club.wording.text(shop.shown_name)
    return _row(0, name, use.date, [(files, record)]), is_made
