"""Which language a command speaks: the option's, else the job's, else English.

Before a job is read, and where there is none, the machine's own language serves the screen.
"""

import dataclasses
import os
from typing import TYPE_CHECKING

from templategen.errors import InputError
from templategen.wording import ENGLISH, language_wanted, languages, say, speak

if TYPE_CHECKING:
    from templategen.inputs.records import Job

_asked: list[str] = []  # what --language said, for the commands of this run


def begin(language: str | None) -> None:
    """Begins a command with what ``--language`` says.

    Raises:
        InputError: there is no such language.
    """
    _asked[:] = []
    if language is None:
        speak(language_wanted((), os.environ))
        return
    if language not in languages():
        speak(language_wanted((), os.environ))
        raise InputError(
            say("{language!r} is no language of this program", language=language),
            where="--language",
            mend=say("use {known}", known=", ".join(languages())),
        )
    speak(language)
    _asked[:] = [language]


def asked() -> str:
    """What ``--language`` said; empty if it was not given."""
    return _asked[0] if _asked else ""


def settle(job: "Job", asked_for: str | None = None) -> "Job":
    """Speaks the language of a job from here on.

    Args:
        job: it may state a language of its own.
        asked_for: what goes before it; None for what ``--language`` said.

    Returns: the job, stating the language that is used, so that a recipe holds it.
    """
    from templategen.inputs.job import UNTITLED

    first = asked() if asked_for is None else asked_for
    language = first or job.print.language or ENGLISH
    speak(language)
    if job.title == UNTITLED:
        job = dataclasses.replace(job, title=say(UNTITLED))
    if language == job.print.language or language == ENGLISH == (job.print.language or ENGLISH):
        return job
    return dataclasses.replace(job, print=dataclasses.replace(job.print, language=language))
