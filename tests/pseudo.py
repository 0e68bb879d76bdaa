"""Pseudo languages: every message changed by a rule, to see what is not translated or too long."""

import gettext
import math
import re
from collections.abc import Callable

from templategen.messages import Wording

FIELD = re.compile(r"(\{\{|\}\}|\{[^}]*\})")


class Pseudo(gettext.NullTranslations):
    """A language whose every message is the English one, changed by a rule.

    Args:
        rule: from a message to the translated one.
        half: how the language writes 0.5.
    """

    def __init__(self, rule: Callable[[str], str], *, half: str = "0.5") -> None:
        super().__init__()
        self.rule = rule
        self.figures = {
            "0.5": half,
            "50%": "50%",
            "-1": "-1",
        }  # the entries that show how figures are written

    def gettext(self, message: str) -> str:
        return self.figures.get(message) or self.rule(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def _stretched(message: str) -> str:
    """Every word longer by a little more than a third, the fields as they are."""

    def longer(word: re.Match[str]) -> str:
        return word[0] + word[0][-1] * math.ceil(0.35 * len(word[0]))

    pieces = FIELD.split(message)
    return "".join(p if FIELD.fullmatch(p) else re.sub(r"[^\W\d_]+", longer, p) for p in pieces)


def _marked(message: str) -> str:
    return f"⟦{message}⟧"


STRETCHED = Wording("en", Pseudo(_stretched))
MARKED = Wording("de", Pseudo(_marked))
MARKED_WITH_COMMA = Wording("de", Pseudo(_marked, half="0,5"))


def unmarked(text: str) -> str:
    """What stands outside the marks of `MARKED`: what is not translated."""
    depth, left = 0, []
    for letter in text:
        depth += (letter == "⟦") - (letter == "⟧")
        if depth == 0:
            left.append(" " if letter == "⟧" else letter)
    return "".join(left)
