"""Faults as the page gets them: place in the form, what is wrong, the mend."""

from collections.abc import Iterable
from typing import Any

from templategen.app.folder import ChangedElsewhereError
from templategen.app.forms import form_of
from templategen.app.live_jobs import FormError
from templategen.errors import InputErrors, OutputError, TemplategenError
from templategen.messages import Text, Wording, tr

WRONG, GONE, CHANGED, TOO_LARGE, TOO_LONG, DISK = 422, 404, 409, 413, 503, 507  # HTTP statuses
OPTION = "--"
Answer = tuple[int, dict[str, Any]]  # HTTP status and JSON object


def fault(what: Text, wording: Wording, *, mend: Text = "") -> dict[str, Any]:
    """One fault that belongs to no field."""
    return _fault("", TemplategenError(what, mend=mend), wording)


def faults_of(
    faults: Iterable[tuple[str, TemplategenError]], wording: Wording
) -> list[dict[str, Any]]:
    """Faults with the document that each belongs to."""
    return [_fault(doc, error, wording) for doc, error in faults]


def _fault(doc: str, error: TemplategenError, wording: Wording) -> dict[str, Any]:
    where = wording.text(error.where)
    key = where.rpartition(": ")[2] if doc else ""
    if where.startswith(OPTION):  # of a command: here it is the key of the request
        key = where.removeprefix(OPTION)
        error = TemplategenError(error.what, mend=error.mend)
    return {
        "doc": doc,
        "key": key,
        "what": wording.text(error.what),
        "mend": wording.text(error.mend),
        "line": "; ".join(error.lines(wording)),
    }


def answer_to(error: Exception, wording: Wording) -> Answer:
    """The answer to a request that failed.

    Raises:
        Exception: the error itself, where it is none of those that are expected.
    """
    match error:
        case FormError():
            return WRONG, {"faults": faults_of(error.faults, wording)}
        case ChangedElsewhereError():
            return CHANGED, _changed(error, wording)
        case InputErrors():
            pairs = [("", one) for one in error.faults]
            return WRONG, {"faults": faults_of(pairs, wording)}
        case OutputError():
            return DISK, {"faults": faults_of([("", error)], wording)}
        case TemplategenError():
            return WRONG, {"faults": faults_of([("", error)], wording)}
        case _:
            raise error


def _changed(error: ChangedElsewhereError, wording: Wording) -> dict[str, Any]:
    held = error.held
    what = tr("was changed elsewhere since it was read")
    if held is None:
        what = tr("is there no more")
    found = fault(what, wording, mend=tr("keep one of the two"))
    return {
        "faults": [found],
        "conflict": None
        if held is None
        else {"file": held.file, "digest": held.digest, "table": form_of(held.table)},
    }
