"""Quick answers: files of the folder, fields, words, woods, printers, weighings, a radius."""

import dataclasses
from collections.abc import Mapping
from typing import Any

import templategen
from templategen.app.drying import DryingBowl, DryingWishes, open_weighings
from templategen.app.drying_plots import plot_svg
from templategen.app.drying_words import drying_lines, weighed, weighings_line
from templategen.app.folder import HeldTable, WorkFolder
from templategen.app.form_fields import FORM_PAPERS, FORMS, Field, notes_of
from templategen.app.forms import form_of
from templategen.app.live_jobs import check_form
from templategen.app.measuring import cutter_radius
from templategen.app.pack_previews import is_on_request, kinds_by_group
from templategen.app.printers import forget_printer, keep_printer, kept_printers
from templategen.app.records import NewRow, add_weighings, record_digest
from templategen.app.starters import starter_bytes
from templategen.app.woods import common_names, woods_named
from templategen.errors import InputError
from templategen.messages import Wording, languages, tr
from templategen.page.faults import faults_of
from templategen.page.requests import figures_in, flag_in, form_in, given_in, text_in
from templategen.page.words import ENTRIES
from templategen.units import Length, Rounding, Units, format_length

Request = Mapping[str, Any]
MOST_WOODS = 40
MOST_ROWS = 200  # weighings in one request
NAMES = {"en": "English", "de": "Deutsch"}
STARTER = "starter:"


def boot(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """What a window needs first."""
    held = folder.files()
    jobs = [one.file for one in held if one.kind == "job"]
    newest = max(jobs, key=lambda file: folder.path_of(file).stat().st_mtime, default=None)
    return {
        "version": templategen.__version__,
        "languages": [{"code": code, "name": NAMES.get(code, code)} for code in languages()],
        "folder": folder.root.name,
        "papers": list(FORM_PAPERS),
        "file": {"job": newest},
        **words(request, folder),
        **files(request, folder),
    }


def words(request: Request, _: WorkFolder) -> dict[str, Any]:
    """The page's own words."""
    wording = _wording(request)
    return {
        "language": wording.language,
        "words": {key: wording.say(template) for key, template in ENTRIES.items()},
    }


def files(_: Request, folder: WorkFolder) -> dict[str, Any]:
    """Jobs, shops, records and packs of the folder."""
    return {
        "files": [
            {"file": one.file, "kind": one.kind, "title": one.title, "bytes": one.size}
            for one in folder.files()
        ]
    }


def fields(request: Request, _: WorkFolder) -> dict[str, Any]:
    """Every field of a job and a shop with its label, default and limits."""
    wording, units = _wording(request), _units(request)
    found: dict[str, Any] = {}
    for doc, tables in FORMS.items():
        found[doc] = [
            {
                "table": table.table,
                "label": wording.say(table.label),
                "rows": table.has_rows,
                "fields": [_field(field, doc, units, wording) for field in table.fields],
            }
            for table in tables
        ]
    return found


def _field(field: Field, doc: str, units: Units, wording: Wording) -> dict[str, Any]:
    notes = notes_of(doc, units, wording)[field.path]
    choices = [{"value": str(value), "label": wording.say(label)} for value, label in field.choices]
    labels = {choice["value"]: choice["label"] for choice in choices}
    return {
        "path": field.path,
        "key": field.path.rpartition(".")[2],
        "kind": field.kind.value,
        "label": wording.say(field.label),
        "help": wording.say(field.help),
        "unit": units.value if field.is_length else field.unit,
        "default": labels.get(notes.default, notes.default),
        "limits": notes.limits,
        "choices": choices,
        "required": notes.is_required,
        "simple": field.is_simple,
    }


def woods(request: Request, _: WorkFolder) -> dict[str, Any]:
    """Woods whose name holds the words."""
    language = _wording(request).language
    try:
        found = woods_named(text_in(request, "words", ""))
    except InputError:
        found = ()
    return {
        "woods": [
            {"name": names[0], "latin": wood.botanical, "names": names}
            for wood in found[:MOST_WOODS]
            if (names := common_names(wood, language))
        ]
    }


def read(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """A job or a shop as a form."""
    return _held(folder.read(text_in(request, "file")))


def _held(held: HeldTable) -> dict[str, Any]:
    return {
        "file": held.file,
        "kind": held.kind,
        "digest": held.digest,
        "table": form_of(held.table),
    }


def write(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """Checks a form and writes it, unless its file was changed elsewhere."""
    kind = text_in(request, "kind")
    if kind not in FORMS:
        raise InputError(tr("is neither a job nor a shop"), where="kind")
    table = check_form(form_in(request, "table"), kind)
    known = given_in(request, "digest")
    held = folder.write(
        text_in(request, "file"), table, known=known, overwrite=flag_in(request, "overwrite")
    )
    return _held(held)


def copy(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """A new job or shop: a copy of another, or a starter file."""
    source, file = text_in(request, "from"), text_in(request, "file")
    if source.startswith(STARTER):
        name = f"{source.removeprefix(STARTER)}.toml"
        data = starter_bytes(name, _wording(request), _units(request))
        return _held(folder.add(file, data))
    return _held(folder.copy(source, file))


def kinds(request: Request, _: WorkFolder) -> dict[str, Any]:
    """The kinds of parts by the steps of the work."""
    wording = _wording(request)
    return {
        "groups": [
            {
                "group": group.value,
                "label": wording.text(group.heading),
                "kinds": [
                    {
                        "kind": kind.value,
                        "label": wording.text(kind.label),
                        "material": wording.text(kind.material.heading),
                        "on_request": is_on_request(kind),
                    }
                    for kind in held
                ],
            }
            for group, held in kinds_by_group().items()
        ]
    }


def printers(_: Request, __: WorkFolder) -> dict[str, Any]:
    """The measured printers."""
    return {"printers": [dataclasses.asdict(one) for one in kept_printers().values()]}


def keep_a_printer(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """Keeps the measured scale of a printer."""
    keep_printer(
        text_in(request, "name"),
        across=figures_in(request, "across"),
        down=figures_in(request, "down"),
        diagonals=figures_in(request, "diagonals"),
    )
    return printers(request, folder)


def forget_a_printer(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """Forgets a printer."""
    forget_printer(text_in(request, "name"))
    return printers(request, folder)


def weighings(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """How dry the bowls of a record are, with their curves."""
    file = text_in(request, "file")
    wanted = text_in(request, "job", "")
    wishes = DryingWishes(
        job=folder.path_of(wanted, ".toml") if wanted else None,
        wood=given_in(request, "wood"),
        draw=False,
        language=_wording(request).language,
    )
    held = record_digest(folder, file)
    opened = open_weighings(folder.path_of(file, ".csv"), wishes)
    wording = opened.wording
    return {
        "file": file,
        "digest": held,
        "bowls": [_bowl(bowl, wording) for bowl in opened.bowls],
        "faults": faults_of([("record", fault) for fault in opened.faults], wording),
    }


def _bowl(bowl: DryingBowl, wording: Wording) -> dict[str, Any]:
    return {
        "name": bowl.name,
        "rows": [
            [str(one.when.date()), wording.text(weighed(one.mass_g, bowl))]
            for one in bowl.weighings
        ],
        "lines": [wording.text(weighings_line(bowl)), *map(wording.text, drying_lines(bowl))],
        "svg": plot_svg(bowl, wording),
    }


def weigh(request: Request, folder: WorkFolder) -> dict[str, Any]:
    """Adds weighings to a record."""
    rows = request.get("rows")
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_ROWS:
        raise InputError(tr("is missing or of a wrong kind"), where="rows")
    new = [
        NewRow(
            date=text_in(row, "date"),
            mass=text_in(row, "mass"),
            identity=text_in(row, "bowl", ""),
        )
        for row in rows
        if isinstance(row, dict)
    ]
    known = given_in(request, "digest")
    return {"digest": add_weighings(folder, text_in(request, "file"), new, known=known)}


def measure(request: Request, _: WorkFolder) -> dict[str, Any]:
    """A cutter's radius from a chord and its rise."""
    wording, units = _wording(request), _units(request)
    chord, rise = (_with_unit(figures_in(request, key), units) for key in ("chord", "rise"))
    found = cutter_radius(chord, rise)
    return {
        "radius": wording.text(Length(found.radius, units)),
        "uncertainty": "± " + wording.text(Length(found.uncertainty, units, decimals=False)),
        "value": format_length(found.radius, units, unit=False, rounding=Rounding(denominator=64)),
    }


def _with_unit(text: str, units: Units) -> str:
    """A typed length; a bare one gets the unit of the form."""
    return f"{text} {units.value}" if text[-1:].isdigit() else text


def _wording(request: Request) -> Wording:
    return Wording(str(request["language"]))


def _units(request: Request) -> Units:
    return Units.IN if text_in(request, "units", "mm") == "in" else Units.MM


ANSWERS = {
    "boot": boot,
    "words": words,
    "files": files,
    "fields": fields,
    "woods": woods,
    "read": read,
    "write": write,
    "copy": copy,
    "kinds": kinds,
    "printers": printers,
    "keep_printer": keep_a_printer,
    "forget_printer": forget_a_printer,
    "weighings": weighings,
    "weigh": weigh,
    "measure": measure,
}
