"""Names of bowls on their tags, by which records are matched to them."""

import hashlib

from templategen.trade.latin import latin_words
from templategen.trade.records import Job

LONGEST = 12  # letters of the title kept: a tag is written by hand


def identity(job: Job, number: int) -> str:
    """The name of a bowl, such as ``lakeside-3f9a-2``: short enough to write on the wood.

    The four digits are drawn from title, date and blank, so that two blanks of one title differ,
    while a change of walls or cutters leaves the names alone.

    Args:
        job: the job the bowl comes from.
        number: of the bowl, from 1 for the outermost.
    """
    words = latin_words(job.title) or ["blank"]
    stem = words[0][:LONGEST]
    for word in words[1:]:
        if len(stem) + 1 + len(word) > LONGEST:
            break
        stem += f"-{word}"
    blank = job.blank
    text = f"{job.title}\n{job.date}\n{blank.wood}\n{blank.diameter:.3f}\n{blank.height:.3f}"
    check = hashlib.sha256(text.encode()).hexdigest()[:4]
    return f"{stem}-{check}-{number}"
