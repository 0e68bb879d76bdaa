"""Faults: one line each in the reader's language, suggestions, and the way through pickle."""

import os
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import (
    InputError,
    InputErrors,
    LimitError,
    OutputError,
    either,
    hidden,
    known_names,
    machine_reason,
    plain,
    suggestion,
)
from templategen.messages import ENGLISH_WORDING, Figure, Wording, tr

GERMAN = Wording("de")
FAULT = InputError(tr("is missing"), where=tr("job: {key}", key="wood"), mend=tr("mend that line"))


def test_a_fault_is_one_line_in_any_language() -> None:
    """Place, what and mend, each a text or a message; empty ones leave no separator."""
    assert FAULT.lines(ENGLISH_WORDING) == ("job: wood: is missing; mend that line",)
    assert FAULT.lines(GERMAN) == ("Auftrag: wood: fehlt; diese Zeile berichtigen",)
    assert str(FAULT) == "job: wood: is missing; mend that line"
    assert str(InputError("bad")) == "bad"
    assert str(InputError("bad", where="a.toml")) == "a.toml: bad"
    assert str(InputError("bad", mend="mend it")) == "bad; mend it"
    assert InputError("a\n\x1b[31m  b").lines(GERMAN) == (r"a \x1b[31m b",)


def test_several_faults_are_several_lines() -> None:
    """One fault a line, nested ones too."""
    several = InputErrors([FAULT, InputErrors([InputError("x"), InputError("y")])])
    assert several.lines(GERMAN) == (*FAULT.lines(GERMAN), "x", "y")
    assert str(several).splitlines() == ["job: wood: is missing; mend that line", "x", "y"]


@pytest.mark.parametrize("error", [FAULT, LimitError(tr("x")), InputErrors([FAULT, FAULT])])
def test_faults_pass_between_processes(error: InputError) -> None:
    """Pickled and read back, a fault renders the same in every language."""
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    for wording in (ENGLISH_WORDING, GERMAN):
        assert again.lines(wording) == error.lines(wording)


def test_what_the_machine_says() -> None:
    """The system's reason, translated where the catalogue has it, else the stand-in."""
    try:
        os.close(os.open("/no/such/file", os.O_RDONLY))
    except OSError as error:
        reason = machine_reason(error, "unreadable")
    assert ENGLISH_WORDING.text(reason) == "No such file or directory"
    assert GERMAN.text(reason) == "Datei oder Ordner nicht gefunden"
    assert machine_reason(ValueError("x"), "unreadable") == "unreadable"
    error = OutputError(tr("cannot be read ({reason})", reason=reason))
    assert error.lines(GERMAN) == ("lässt sich nicht lesen (Datei oder Ordner nicht gefunden)",)


def test_suggestions() -> None:
    """The nearest known name, the same whatever the order of the names; else the other text."""
    for names in (["height", "diameter"], ["diameter", "height"]):
        found = suggestion("heigth", names, "see the file")
        assert ENGLISH_WORDING.text(found) == "did you mean 'height'?"
    assert suggestion("zzzz", ["height"], "see the file") == "see the file"
    assert ENGLISH_WORDING.text(known_names(["a", "b"])) == "known: a, b"
    assert GERMAN.text(either(["a", "b", "c"])) == "a oder b oder c"
    assert GERMAN.text(either([Figure(0.5, ".1f"), "b"])) == "0,5 oder b"


@given(text=st.text())
def test_plain_text_can_be_shown(text: str) -> None:
    """Nothing that steers a terminal is left, and what needs no change stays."""
    assert not any(hidden(c) for c in plain(text))
    if not any(hidden(c) for c in text):
        assert plain(text) == text
