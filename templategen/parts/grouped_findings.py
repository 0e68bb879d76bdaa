"""The findings of a plan as short lines: what is found of several bowls alike is said once."""

from collections.abc import Sequence
from dataclasses import dataclass

from templategen.messages import Joined, Message, tr, tr_noop
from templategen.nest.plan import Finding


@dataclass(frozen=True, slots=True)
class _Group:
    """How findings of one template are said together.

    Args:
        line: template of the line, with ``{bowls}`` for its items and the names in `shared`.
        item: template of each, with the values of the finding.
        shared: values that must be the same in all.
    """

    line: str
    item: str
    shared: tuple[str, ...] = ()


_GROUPS = {
    "{bowl}: tenon {size} is {share:.0%} of the rim, {wish:.0%} is wished": _Group(
        tr_noop("tenons under the wished {wish:.0%} of the rim: {bowls}"),
        tr_noop("{bowl} {share:.0%} ({size})"),
        shared=("wish",),
    ),
    "{bowl}: jaws {jaws} grip at the edges; turn the tenon to {size} for the full circle": _Group(
        tr_noop("jaws grip at the edges; for the full circle turn the tenons: {bowls}"),
        tr_noop("{bowl} to {size} (jaws {jaws})"),
    ),
    "{bowl}: no jaws hold its dried tenon; jaws of {low} to {high} would, or a recess": _Group(
        tr_noop("no jaws hold these dried tenons; jaws of {bowls} would, or a recess"),
        tr_noop("{low} to {high} ({bowl})"),
    ),
    "{bowl}: no jaws hold its dried tenon; turn a recess": _Group(
        tr_noop("no jaws hold these dried tenons; turn a recess: {bowls}"),
        "{bowl}",
    ),
    "{bowl}: no jaws hold its dried tenon; turned green to {size}, jaws {green} hold it now and "
    "jaws {dry} when dry": _Group(
        tr_noop(
            "no jaws hold these dried tenons; turned green to another size, jaws hold them now "
            "and when dry: {bowls}"
        ),
        tr_noop("{bowl} to {size}, jaws {green} now, {dry} dry"),
    ),
}


def grouped_texts(findings: Sequence[Finding]) -> list[Message]:
    """The texts of findings, in their order; those that say the same of several bowls are one.

    Args:
        findings: of one level.
    """
    alike: dict[tuple[object, ...], list[Message]] = {}
    for finding in findings:
        group, values = _GROUPS.get(finding.text.template), dict(finding.text.values)
        shared = (values[name] for name in group.shared) if group else finding.text.values
        alike.setdefault((finding.text.template, *shared), []).append(finding.text)
    return [texts[0] if len(texts) == 1 else _together(texts) for texts in alike.values()]


def _together(texts: Sequence[Message]) -> Message:
    """One line for texts of one template; texts that are not grouped are the same."""
    group = _GROUPS.get(texts[0].template)
    if group is None:
        return texts[0]
    items = tuple(Message(group.item, text.values) for text in texts)
    values = dict(texts[0].values)
    return tr(group.line, bowls=Joined(items), **{name: values[name] for name in group.shared})
