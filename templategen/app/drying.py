"""Opens a record of weighings and tells how dry each rough-out is."""

import difflib
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from templategen.app.jobs import open_job
from templategen.errors import InputError, LimitError
from templategen.inputs.weighings import (
    Record,
    Weighing,
    mass_in_grams,
    read_record,
    with_identity,
)
from templategen.messages import ENGLISH, Wording, tr
from templategen.nest import planner
from templategen.nest.estimates import figures_of
from templategen.trade.drying import emc
from templategen.trade.seasoning import (
    DryMass,
    Progress,
    from_green,
    from_volume,
    from_weighed,
    progress,
)
from templategen.trade.wood import Wood, find_wood

TARGET = 10.0  # % of the dry mass, where neither a job nor a person states one
PLOTS = (".svg", ".png")
SECONDS_PER_DAY = 86400
WETTER = 1.01  # a weighing this many times the one before is named: chosen here


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingWishes:
    """What a person states beside the record.

    Args:
        bowl: only this one, by its tag; None for all.
        job: job file that the tags come from, or None.
        shop: shop file for a job that names none, or None.
        wood: its name, where there is no job file; or None.
        target: wished moisture, 0 to under 30 %; None for the job's, or `TARGET`.
        temperature: of the drying room, °C.
        humidity: of the drying room, %.
        dry_mass: ovendry mass of the one bowl as text, such as ``1.9 kg``; or None.
        plot: file of the one plot, or None for files beside the record.
        draw: whether plots are drawn.
        language: ISO 639-1, asked for in this run; goes before the job's own.
    """

    bowl: str | None = None
    job: Path | None = None
    shop: Path | None = None
    wood: str | None = None
    target: float | None = None
    temperature: float = 20.0
    humidity: float = 50.0
    dry_mass: str | None = None
    plot: Path | None = None
    draw: bool = True
    language: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DryingBowl:
    """One rough-out.

    Args:
        name: its tag, or the record's name where the record names no bowls.
        weighings: by date, at least one.
        progress: how far it has dried.
        target: wished moisture, %.
        unit: of masses, a key of `GRAMS`.
        plot: where its plot goes, or None.
    """

    name: str
    weighings: tuple[Weighing, ...]
    progress: Progress
    target: float
    unit: str
    plot: Path | None

    def heavier(self) -> Iterator[tuple[Weighing, Weighing]]:
        """Neighbouring weighings of which the later is heavier."""
        for before, after in itertools.pairwise(self.weighings):
            if after.mass_g > before.mass_g * WETTER:
                yield before, after


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedWeighings:
    """A record with what it tells.

    Args:
        bowls: in the order of the record.
        faults: of the rows that were left out.
        rest_moisture: at which wood settles in that room, %.
        wording: of what is drawn and said.
    """

    bowls: tuple[DryingBowl, ...]
    faults: tuple[InputError, ...]
    rest_moisture: float
    wording: Wording


@dataclass(frozen=True, slots=True)
class _Aim:
    """What is known of a bowl apart from its weighings."""

    target: float
    known: tuple[DryMass, ...]
    wood: Wood | None


def open_weighings(path: Path, wishes: DryingWishes) -> OpenedWeighings:
    """The weighings of a record and how dry each bowl is.

    Args:
        path: CSV file with the columns date and mass.
        wishes: what else is known.

    Raises:
        InputError: every fault of the files; wishes that do not go together or are out of bounds;
            no row can be read.
    """
    if wishes.shop is not None and wishes.job is None:
        raise InputError(
            tr("needs {option}", option="--job"), where="--shop", mend=tr("name the job file too")
        )
    if wishes.plot is not None and not wishes.draw:
        raise InputError(
            tr("not with {option}", option="--no-plot"),
            where="--plot",
            mend=tr("leave one of them out"),
        )
    rest = _rest_moisture(wishes.temperature, wishes.humidity)
    wording = Wording(wishes.language or ENGLISH)
    read = read_record(path)
    if wishes.bowl is not None:
        read = with_identity(read, wishes.bowl)
    names = read.identities()
    given = _given(names, wishes)
    if wishes.job is None:
        aims = _aims_of_wood(names, wishes, given)
    else:
        aims, wording = _aims_of_job(names, wishes, given, wishes.job)
    plots = _plot_files(path, names, wishes.plot) if wishes.draw else {}
    bowls = tuple(_bowl(read, name, aims[name], rest, plots.get(name)) for name in names)
    return OpenedWeighings(bowls=bowls, faults=read.faults, rest_moisture=rest, wording=wording)


def _rest_moisture(temperature: float, humidity: float) -> float:
    try:
        return emc(temperature, humidity)
    except LimitError as error:
        raise InputError(error.what, where="--temperature, --humidity", mend=error.mend) from error


def _given(names: tuple[str, ...], wishes: DryingWishes) -> tuple[DryMass, ...]:
    """The dry mass that a person weighed, if any; target and dry mass checked."""
    if wishes.target is not None and not 0 <= wishes.target < 30:
        raise InputError(
            tr("{target:g} %", target=wishes.target),
            where="--target",
            mend=tr("give 0 to under 30 %"),
        )
    if wishes.dry_mass is None:
        return ()
    if len(names) > 1:
        raise _several("--dry-mass")
    grams = mass_in_grams(wishes.dry_mass, "g")
    if grams is None:
        raise InputError(
            tr("{text!r} is not a mass", text=wishes.dry_mass),
            where="--dry-mass",
            mend=tr('write "1.9 kg"'),
        )
    return (from_weighed(grams),)


def _aims_of_wood(
    names: tuple[str, ...], wishes: DryingWishes, given: tuple[DryMass, ...]
) -> dict[str, _Aim]:
    try:
        wood = find_wood(wishes.wood) if wishes.wood else None
    except InputError as error:
        raise InputError(error.what, where="--wood", mend=error.mend) from error
    target = TARGET if wishes.target is None else wishes.target
    return dict.fromkeys(names, _Aim(target, given, wood))


def _aims_of_job(
    names: tuple[str, ...], wishes: DryingWishes, given: tuple[DryMass, ...], job: Path
) -> tuple[dict[str, _Aim], Wording]:
    """For each bowl its target, dry mass and wood by the job's plan; and the job's wording."""
    if wishes.wood is not None:
        raise InputError(tr("not with a job file"), where="--wood", mend=tr("change the job file"))
    opened = open_job(job, shop=wishes.shop, language=wishes.language)
    figures = figures_of(planner.make_plan(opened.job, opened.shop, with_suggestions=False))
    tagged = {p.identity: p for p in figures.bowls}
    target = opened.job.nest.final_moisture if wishes.target is None else wishes.target
    aims = {}
    for name in names:
        if name not in tagged:
            raise _not_tagged(name, tuple(tagged), job.name)
        dry = tagged[name].dry_mass
        volume = () if dry is None else (from_volume(dry * 1000),)
        aims[name] = _Aim(target, given + volume, figures.wood)
    return aims, opened.wording


def _not_tagged(name: str, tags: tuple[str, ...], where: str) -> InputError:
    near = difflib.get_close_matches(name, sorted(tags), n=1, cutoff=0.5)
    if not name:
        mend = tr("say which with --bowl: {tags}", tags=", ".join(tags))
    elif near:
        mend = tr("did you mean {name!r}?", name=near[0])
    else:
        mend = tr("it has {tags}", tags=", ".join(tags))
    return InputError(tr("no bowl {name!r} in this job", name=name), where=where, mend=mend)


def _several(option: str) -> InputError:
    return InputError(
        tr("several bowls"), where=option, mend=tr("name one with {option}", option="--bowl")
    )


def _plot_files(record: Path, names: tuple[str, ...], plot: Path | None) -> dict[str, Path]:
    """Where each bowl's plot goes; never onto the record."""
    if plot is None:
        files: dict[str, Path] = {}
        for n, name in enumerate(names, start=1):
            words = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or str(n)
            tail = "" if len(names) == 1 else f"-{words}"
            file = record.with_name(f"{record.stem}-drying{tail}.svg")
            if file in files.values():
                file = record.with_name(f"{record.stem}-drying{tail}-{n}.svg")
            files[name] = file
    else:
        if plot.suffix.lower() not in PLOTS:
            raise InputError(
                tr("{file!r} is no plot", file=plot.name),
                where="--plot",
                mend=tr("end it in .svg or .png"),
            )
        if len(names) > 1:
            raise _several("--plot")
        files = dict.fromkeys(names, plot)
    for file in files.values():
        if file.exists() and record.exists() and file.samefile(record):
            raise InputError(
                tr("is the record itself"),
                where=f"--plot {file.name}",
                mend=tr("name another file"),
            )
    return files


def _bowl(read: Record, name: str, aim: _Aim, rest: float, plot: Path | None) -> DryingBowl:
    rows = read.of(name)
    times = [(w.when - rows[0].when).total_seconds() / SECONDS_PER_DAY for w in rows]
    masses = [w.mass_g for w in rows]
    known = list(aim.known)
    if aim.wood is not None and aim.wood.green_moisture is not None:
        known.append(from_green(masses[0], aim.wood.green_moisture))
    return DryingBowl(
        name=name or read.name,
        weighings=rows,
        progress=progress(times, masses, known=known, target=aim.target, rest_moisture=rest),
        target=aim.target,
        unit=read.unit,
        plot=plot,
    )
