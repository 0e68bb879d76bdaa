"""Compares a printed pack with what its recipe gives."""

from collections.abc import Sequence

from templategen.messages import Joined, Text, tr
from templategen.proof.report import Report
from templategen.proof.untrusted import verified
from templategen.trade.part_kinds import PartKind

__all__ = ["Report", "verdict", "verified"]


def _labels(kinds: Sequence[str]) -> Joined:
    """Kinds of parts as people read them."""
    return Joined(tuple(PartKind(kind).label for kind in kinds), ", ")


def verdict(report: Report) -> tuple[Text, ...]:
    """What a report comes to, as lines."""
    if report.release:
        return (_of_another_release(report),)
    if report.is_true:
        line = tr(
            "True: {sheets} sheets, {parts} parts and tiles as the job gives them, largest "
            "deviation {worst:.4f} mm, allowed {allowed:g} mm",
            sheets=report.sheets,
            parts=report.parts,
            worst=report.worst,
            allowed=report.tolerance,
        )
        if report.left_out:
            # The shorter list says the same.
            what = tr("without {kinds}", kinds=_labels(report.left_out))
            if len(report.kinds) < len(report.left_out):
                what = tr("it holds no parts but {kinds}", kinds=_labels(report.kinds))
            return (Joined((line, what), "; "),)
        return (line,)
    count = sum(not row.is_true for row in report.rows)
    lines: list[Text] = [
        tr(
            "Not true; what differs from what the job gives: {bad} of {count}. "
            "Do not cut by this pack.",
            bad=count,
            count=len(report.rows),
        )
    ]
    if report.scale is not None:
        across, down = report.scale
        lines.append(
            tr(
                "The pages are scaled to {across:.2f} % across and {down:.2f} % down: some "
                "program fitted them to a page; print the first file, at 100 %",
                across=across * 100,
                down=down * 100,
            )
        )
    return tuple(lines)


def _of_another_release(report: Report) -> Text:
    """The verdict on a pack whose words and pictures this release would make otherwise."""
    if report.is_as_laid:
        return tr(
            "Made by another release ({release}): its lines lie as this one draws them, to "
            "{worst:.4f} mm; its wording is not compared. Reprint it to have all of it compared.",
            release=report.release,
            worst=report.worst,
        )
    return tr(
        "Made by another release ({release}), which draws it otherwise: it can be neither called "
        "true nor untrue. Reprint it to have it compared.",
        release=report.release,
    )
