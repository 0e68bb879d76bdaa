"""What the sandbox does with untrusted packs; see `sandbox.in_sandbox`.

Each task takes what can be pickled and gives an answer (see `answers`), and bytes.
"""

import dataclasses

from templategen.messages import Wording
from templategen.nest.check import check_plan
from templategen.proof import verify as comparing
from templategen.proof.pdf_reader import PackFile
from templategen.proof.recipe import MOST_BYTES, NAME, Recipe, read_recipe
from templategen.proof.remake import remake
from templategen.proof.sandbox import Answer
from templategen.trade.paper import Paper
from templategen.trade.printer import PrinterProfile
from templategen.trade.records import UNTITLED


def verify(data: bytes, name: str) -> Answer:
    """The report of a pack."""
    return comparing.verify(data, name), b""


def reprint(
    data: bytes, name: str, paper: Paper | None, profile: PrinterProfile | None, language: str
) -> Answer:
    """What a pack printed anew holds, and its file.

    Args:
        data: of a pack.
        name: of its file.
        paper: another one, or None for that of the pack.
        profile: of another printer, or None for that of the pack.
        language: another one, or empty for that of the pack.
    """
    with PackFile(data, name) as file:
        recipe = read_recipe(file.attachment(NAME, most=MOST_BYTES), where=name)
    recipe = dataclasses.replace(
        _in_language(recipe, language),
        paper=paper or recipe.paper,
        profile=profile or recipe.profile,
    )
    remade = remake(recipe)
    if not recipe.is_shop_set:
        check_plan(remade.plan)
    return {
        "title": remade.plan.job.title,
        "is_shop_set": recipe.is_shop_set,
        "sheets": len(remade.pack.pages),
        "paper": recipe.paper.name,
        "parts": len(remade.parts),
        "profile": recipe.profile,
        "language": recipe.language,
    }, remade.file()


def _in_language(recipe: Recipe, language: str) -> Recipe:
    """The recipe, its job stating the language that it is printed in."""
    job = recipe.job
    if language and language != recipe.language:
        job = dataclasses.replace(job, print=dataclasses.replace(job.print, language=language))
    if job.title == UNTITLED:
        title = Wording(language or recipe.language).say(UNTITLED)
        job = dataclasses.replace(job, title=title)
    return dataclasses.replace(recipe, job=job)
