"""What a person who asks for help, or mistypes a command, is answered."""

import pytest
from commands import Run


@pytest.mark.parametrize(
    ("words", "same"),
    [
        (["help"], ["--help"]),
        (["help", "plan"], ["plan", "--help"]),
        (["--language", "de", "help"], ["--language", "de", "--help"]),
        (["printer", "help"], ["printer", "--help"]),
    ],
)
def test_help_is_a_word_too(run: Run, words: list[str], same: list[str]) -> None:
    """``help`` shows what ``--help`` shows."""
    found = run(*words)
    assert found == run(*same)
    assert found[0] == 0


@pytest.mark.parametrize(("typed", "meant"), [("helo", "help"), ("plann", "plan"), ("lgo", "log")])
def test_a_slip_is_answered_with_the_nearest(run: Run, typed: str, meant: str) -> None:
    """An unknown command is one line that names the nearest."""
    code, out, err = run(typed)
    assert (code, out) == (2, "")
    assert err == f"templategen: unknown command '{typed}'; did you mean '{meant}'?\n"
