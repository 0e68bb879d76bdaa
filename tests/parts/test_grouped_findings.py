"""Findings of several bowls as one line: nothing is lost, nothing is said twice."""

from babel.messages.pofile import read_po

from templategen import messages
from templategen.messages import ENGLISH, Wording, tr
from templategen.nest.plan import Finding, Level, Rule
from templategen.parts.grouped_findings import _GROUPS, grouped_texts

ENGLISH_WORDS = Wording(ENGLISH)


def _found(template: str, **values: object) -> Finding:
    return Finding(level=Level.CAUTION, rule=Rule.TENON_SHARE, text=tr(template, **values))


def test_findings_of_two_bowls_are_one_line_with_both_figures() -> None:
    """The wished share is said once, each bowl's own share and size stay."""
    template = "{bowl}: tenon {size} is {share:.0%} of the rim, {wish:.0%} is wished"
    found = [
        _found(template, bowl=f"bowl {n}", size=f"{40 * n} mm", share=share, wish=0.5)
        for n, share in ((2, 0.31), (3, 0.27))
    ]
    (line,) = (ENGLISH_WORDS.text(text) for text in grouped_texts(found))
    assert all(part in line for part in ("50%", "bowl 2 31% (80 mm)", "bowl 3 27% (120 mm)"))


def test_the_same_finding_twice_is_said_once_and_others_keep_their_order() -> None:
    """Findings that are not of a bowl each stand alone."""
    first, second = _found("a plan of its own"), _found("another word")
    lines = [ENGLISH_WORDS.text(text) for text in grouped_texts([first, second, first])]
    assert lines == ["a plan of its own", "another word"]


def test_every_grouped_finding_is_one_that_plans_make() -> None:
    """A finding that is worded anew would fall out of its group unnoticed."""
    path = messages.FOLDER / "de" / "LC_MESSAGES" / f"{messages.DOMAIN}.po"
    with path.open(encoding="utf-8") as file:
        known = {message.id for message in read_po(file)}
    assert set(_GROUPS) <= known
