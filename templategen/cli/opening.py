"""Which job a command means: a job file, a bare blank, or the demo."""

from pathlib import Path

from templategen.app.jobs import OpenedJob, open_blank, open_demo, open_job
from templategen.cli.screen import Screen
from templategen.errors import InputError
from templategen.messages import tr


def opened_job(
    screen: Screen, *, job: Path | None, blank: str | None, wood: str | None, shop: Path | None
) -> OpenedJob:
    """The job that the words of a command mean; from here on the screen speaks its language.

    Raises:
        InputError: words that do not go together, and every fault of the files.
    """
    language = screen.language
    if job is not None:
        if blank is not None or wood is not None:
            raise InputError(
                tr("not with a job file"),
                where="--blank" if blank is not None else "--wood",
                mend=tr("change the job file"),
            )
        opened = open_job(job, shop=shop, language=language)
    elif blank is not None:
        opened = open_blank(blank, wood=wood or "", shop=shop, language=language)
    elif wood is not None:
        raise InputError(
            tr("needs {option}", option="--blank"),
            where="--wood",
            mend=tr("give --blank 400x180 too"),
        )
    else:
        opened = open_demo(shop=shop, language=language)
    screen.wording = opened.wording
    return opened
