"""Which language a command speaks: the option's, else the job's, else English.

Before a job is read, and where there is none, the machine's own language serves the screen.
"""

import dataclasses
import gettext
import os
from typing import TYPE_CHECKING

from templategen.errors import InputError
from templategen.messages import (
    DOMAIN,
    ENGLISH,
    FOLDER,
    language_wanted,
    languages,
    mark,
    say,
    speak,
    spoken,
)

if TYPE_CHECKING:
    from templategen.trade.records import Job, Shop

# What the command-line library says of its own accord: it asks gettext for these words.
LIBRARY = (
    mark("Options"),
    mark("Arguments"),
    mark("Commands"),
    mark("[default: {}]"),
    mark("[required]"),
)
_asked: list[str] = []  # what --language said, for the commands of this run
_lent: list[str] = []  # LANGUAGE as the machine had it, once `lend_words` has changed it


def lend_words() -> None:
    """Has the command-line library find its own words in this catalogue, before it is loaded.

    It asks gettext's usual domain, whose language GNU gettext's LANGUAGE names.
    """
    gettext.bindtextdomain(DOMAIN, str(FOLDER))
    gettext.textdomain(DOMAIN)
    _lent[:] = [os.environ.get("LANGUAGE", "")]
    os.environ["LANGUAGE"] = spoken()


def _speak_as_the_machine() -> None:
    environment = {**os.environ, "LANGUAGE": _lent[0]} if _lent else os.environ
    speak(language_wanted((), environment))


def begin(language: str | None) -> None:
    """Begins a command with what ``--language`` says.

    Raises:
        InputError: there is no such language.
    """
    _asked[:] = []
    if language is None:
        _speak_as_the_machine()
        return
    if language not in languages():
        _speak_as_the_machine()
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
    from templategen.inputs.job_file import UNTITLED

    first = asked() if asked_for is None else asked_for
    language = first or job.print.language or ENGLISH
    speak(language)
    if job.title == UNTITLED:
        job = dataclasses.replace(job, title=say(UNTITLED))
    if language == job.print.language or language == ENGLISH == (job.print.language or ENGLISH):
        return job
    return dataclasses.replace(job, print=dataclasses.replace(job.print, language=language))


def settled(stated: str, asked_for: str) -> str:
    """Speaks what is asked for, else what is stated, else English.

    Returns: that language.
    """
    language = asked_for or stated or ENGLISH
    speak(language)
    return language


def settle_shop(shop: "Shop") -> "Shop":
    """Speaks the language of a shop from here on, where there is no job.

    Its rules for printing may state one; ``--language`` goes before it.

    Returns: the shop, stating the language that is used, so that a recipe holds it.
    """
    from templategen.inputs.job_file import usual_print

    own = shop.rules.print or usual_print(shop.units)
    language = settled(own.language, asked())
    if language == (own.language or ENGLISH):
        return shop
    rules = dataclasses.replace(shop.rules, print=dataclasses.replace(own, language=language))
    return dataclasses.replace(shop, rules=rules)
