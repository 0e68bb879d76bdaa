"""Answers about a plan: its drawing, verdict, tables and suggestions."""

import json
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from templategen.app.finding_fields import field_of
from templategen.app.jobs import OpenedJob
from templategen.app.live_jobs import (
    Move,
    changes_of,
    cut_at,
    numbered_cut,
    open_forms,
    pins_of,
    planned,
    stepped,
    with_pin,
    with_set,
    without_pin,
)
from templategen.app.nest_drawings import nest_svg, rims_svg
from templategen.app.plan_tables import (
    Cells,
    bowl_rows,
    cut_rows,
    drying_rows,
    force_rows,
    holding_rows,
    stop_rows,
)
from templategen.app.plans import cautions_for, figures_of, plan_to_json
from templategen.messages import Text, Wording, tr
from templategen.nest.plan import Level, Plan
from templategen.page.requests import form_in, number_in, whole_in
from templategen.parts.style import PrintStyle
from templategen.units import Length

Request = Mapping[str, Any]
Progress = Callable[[int, int], None]
STATES = {Level.STOP: "stop", Level.CAUTION: "caution"}
KEPT_PLANS = 8  # the last ones: a drag begins where the plan before it ended
LEFT_OUT = ("job", "shop")  # of the plan's JSON: the page has its own forms


_KEPT: OrderedDict[str, tuple[OpenedJob, Plan]] = OrderedDict()


def plan(request: Request, _: Progress) -> dict[str, Any]:
    """The plan of two forms, without suggestions."""
    opened, made = _planned(request, form_in(request, "job"))
    return _shown(opened, made, request)


def move(request: Request, _: Progress) -> dict[str, Any]:
    """The plan with a cut fixed where it was moved to, and the job's form that says so."""
    before = _planned(request, form_in(request, "job"))[1]
    wanted = _move(request, before)
    form = with_pin(form_in(request, "job"), before, wanted)
    opened, made = _planned(request, form)
    shown = _shown(opened, made, request)
    return {**shown, "job": form, "cut": cut_at(made, wanted)}


def unpin(request: Request, _: Progress) -> dict[str, Any]:
    """The plan with a cut free again, and the job's form that says so."""
    before = _planned(request, form_in(request, "job"))[1]
    form = without_pin(form_in(request, "job"), before, whole_in(request, "cut"))
    opened, made = _planned(request, form)
    return {**_shown(opened, made, request), "job": form}


def advice(request: Request, _: Progress) -> dict[str, Any]:
    """Changes that give more, each as data, and other sets of bowls."""
    opened = opened_of(request)
    made, wording = planned(opened, with_suggestions=True), opened.wording
    units = made.job.units
    return {
        "serial": request.get("serial"),
        "suggestions": [
            {
                "text": wording.text(finding.text),
                "rule": finding.rule.value,
                "change": [
                    {"doc": change.doc, "key": change.key, "value": change.value}
                    for change in changes_of(finding, made)
                ],
            }
            for finding in made.findings
            if finding.changed is not None
        ],
        "sets": [
            {
                "label": wording.text(other.label),
                "rims": [_length(rim, made, wording) for rim in other.rims],
                "cutters": list(other.cutters),
                "cautions": other.cautions,
                "job": with_set(form_in(request, "job"), other, units),
            }
            for other in made.sets
        ],
    }


def named_field(found: tuple[str, str] | None) -> dict[str, str] | None:
    """Document and key of a field as the page reads them."""
    return None if found is None else {"doc": found[0], "key": found[1]}


def opened_of(request: Request) -> OpenedJob:
    """The job and the shop of a request.

    Raises:
        FormError: every fault of both.
    """
    job, shop = form_in(request, "job"), form_in(request, "shop")
    return open_forms(job, shop, language=str(request["language"]))


def _planned(request: Request, job: Mapping[str, Any]) -> tuple[OpenedJob, Plan]:
    """The plan of a job's form in the shop of a request, kept for the next request."""
    key = json.dumps([job, form_in(request, "shop"), request["language"]])
    if key in _KEPT:
        _KEPT.move_to_end(key)
    else:
        opened = open_forms(job, form_in(request, "shop"), language=str(request["language"]))
        _KEPT[key] = opened, planned(opened)
        if len(_KEPT) > KEPT_PLANS:
            _KEPT.popitem(last=False)
    return _KEPT[key]


def _move(request: Request, before: Plan) -> Move:
    cut = numbered_cut(before, whole_in(request, "cut"))
    step = request.get("step")
    if isinstance(step, Mapping):
        steps = {str(name): whole_in(step, str(name)) for name in step}
        return stepped(cut, steps, before.job.units)
    if "pivot_offset" in request or "pivot_standoff" in request:
        return Move(
            cut=cut.number,
            pair=1,
            first=number_in(request, "pivot_offset", cut.pivot_offset),
            second=number_in(request, "pivot_standoff", cut.pivot_standoff),
        )
    return Move(
        cut=cut.number,
        pair=0,
        first=number_in(request, "entry_radius", cut.entry_radius),
        second=number_in(request, "depth_at_axis", cut.depth_at_axis),
    )


def _length(value: float, made: Plan, wording: Wording) -> str:
    return wording.text(Length(value, made.job.units, decimals=False))


def _shown(opened: OpenedJob, made: Plan, request: Request) -> dict[str, Any]:
    wording = opened.wording
    pinned = sorted(pins_of(made))
    data = plan_to_json(made, wording)
    for key in LEFT_OUT:
        del data[key]
    for bowl in data["bowls"]:
        del bowl["outline"]
    levels = [finding.level for finding in made.findings]
    worst = next((level for level in STATES if level in levels), None)
    count = len(made.bowls)
    return {
        "serial": request.get("serial"),
        "plan": data,
        "svg": nest_svg(made, wording, pinned=pinned),
        "rims_svg": rims_svg(made, wording),
        "verdict": {
            "text": wording.say_count("{count} bowl", "{count} bowls", count),
            "state": "good" if worst is None else STATES[worst],
        },
        "headline": {"rims": [_length(bowl.rim_diameter, made, wording) for bowl in made.bowls]},
        "settings": _settings(made, wording, pinned),
        "findings": _findings(made, wording),
        "tables": _tables(made, wording),
        "pinned": pinned,
        "grid": made.job.units.grid,
        "cautions": [wording.text(caution) for caution in cautions_for(made.shop)],
    }


def _settings(made: Plan, wording: Wording, pinned: Sequence[int]) -> list[dict[str, Any]]:
    """How each cut is set, in words."""
    return [
        {
            "cut": cut.number,
            "cutter": cut.cutter.id,
            "entry": _length(cut.entry_radius, made, wording),
            "from_rim": _length(cut.entry_from_rim, made, wording),
            "depth": _length(cut.depth_at_axis, made, wording),
            "offset": _length(cut.pivot_offset, made, wording),
            "standoff": _length(cut.pivot_standoff, made, wording),
            "pinned": cut.number in pinned,
        }
        for cut in made.cuts
    ]


def _findings(made: Plan, wording: Wording) -> list[dict[str, Any]]:
    """What the plan has to say, gravest first, with the ids of the drawing it speaks of."""
    gravest = list(Level)
    return [
        {
            "level": finding.level.value,
            "level_label": wording.say(finding.level.value),
            "rule": finding.rule.value,
            "rule_label": wording.say(finding.rule.value),
            "text": wording.text(finding.text),
            "places": list(finding.places),
            "field": named_field(field_of(finding, made)),
        }
        for finding in sorted(made.findings, key=lambda f: gravest.index(f.level))
    ]


def _tables(made: Plan, wording: Wording) -> list[dict[str, Any]]:
    """The tables of the command `plan`: the text equivalent of the drawing."""
    figures = figures_of(made)
    cells = Cells(PrintStyle(units=made.job.units, wording=wording))
    moisture = tr("Dried to {moisture:g} %, estimates", moisture=made.job.nest.final_moisture)
    cuts = [cut.place for cut in made.cuts]
    bowls = [bowl.place for bowl in made.bowls]
    tables: list[tuple[str, Text, list[list[Text]], list[str]]] = [
        ("cuts", tr("Cuts"), cut_rows(made, cells), cuts),
        ("stops", tr("Where to stop"), stop_rows(made, cells), cuts),
        ("bowls", tr("Bowls, bowl 1 outermost"), bowl_rows(made, figures, cells), bowls),
        ("held", tr("How each bowl is held while green, estimates"),
         holding_rows(made, figures, cells), bowls),
        ("dried", moisture, drying_rows(made, figures, cells), bowls),
        ("forces", tr("Force at the tip at full power"), force_rows(made, cells), cuts),
    ]  # fmt: skip
    return [
        {
            "id": name,
            "title": wording.text(title),
            "head": [wording.text(cell) for cell in rows[0]],
            "rows": [[wording.text(cell) for cell in row] for row in rows[1:]],
            "places": places,
        }
        for name, title, rows, places in tables
        if len(rows) > 1
    ]
