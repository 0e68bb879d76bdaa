"""Which job a command means: a job file, a bare blank, or the demo."""

from dataclasses import dataclass
from pathlib import Path

from templategen.app.jobs import OpenedJob, open_blank, open_demo, open_job
from templategen.cli.screen import Screen
from templategen.errors import InputError
from templategen.messages import tr
from templategen.units import split_size


@dataclass(frozen=True, slots=True, kw_only=True)
class JobWords:
    """The words of a command line that name a job."""

    job: Path | None
    blank: str | None
    wood: str | None
    shop: Path | None


def opened_job(words: JobWords, screen: Screen) -> OpenedJob:
    """The job that is meant; from here on the screen speaks its language.

    Raises:
        InputError: words that do not go together, and every fault of the files.
    """
    opened = _opened(words, screen.language)
    screen.wording = opened.wording
    return opened


def _opened(words: JobWords, language: str) -> OpenedJob:
    job, blank, wood, shop = words.job, words.blank, words.wood, words.shop
    if job is not None:
        if blank is not None or wood is not None:
            raise InputError(
                tr("not with a job file"),
                where="--blank" if blank is not None else "--wood",
                mend=tr("change the job file"),
            )
        return open_job(job, shop=shop, language=language)
    if blank is not None:
        return open_blank(blank, _sides(blank), wood=wood or "", shop=shop, language=language)
    if wood is not None:
        raise InputError(
            tr("needs {option}", option="--blank"),
            where="--wood",
            mend=tr("give --blank 400x180 too"),
        )
    return open_demo(shop=shop, language=language)


def _sides(text: str) -> tuple[str, str]:
    try:
        return split_size(text)
    except ValueError as error:
        raise InputError(
            tr("{text!r} is not diameter x height", text=text),
            where="--blank",
            mend=tr("write it as {example}", example="400x180"),
        ) from error
