"""What a piece is called on its tag, and how a record finds its way back to the piece."""

import hashlib
import re
import unicodedata

from templategen.trade.records import Job

LONGEST = 12  # letters of the title kept: a tag is written by hand


def identity(job: Job, number: int) -> str:
    """The name of a piece, such as ``lakeside-3f9a-2``: short enough to write on the wood.

    The four digits are drawn from title, date and blank, so that two blanks of one title differ,
    while a change of walls or cutters leaves the names alone.

    Args:
        job: the job the piece comes from.
        number: of the piece, 0 for the outermost bowl.
    """
    plain = unicodedata.normalize("NFKD", job.title).encode("ascii", "ignore").decode()
    words = re.findall(r"[a-z0-9]+", plain.lower()) or ["blank"]
    stem = words[0][:LONGEST]
    for word in words[1:]:
        if len(stem) + 1 + len(word) > LONGEST:
            break
        stem += f"-{word}"
    blank = job.blank
    told = f"{job.title}\n{job.date}\n{blank.wood}\n{blank.diameter:.3f}\n{blank.height:.3f}"
    check = hashlib.sha256(told.encode()).hexdigest()[:4]
    return f"{stem}-{check}-{number}"
