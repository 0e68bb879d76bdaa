"""Answers that take long: chart, log, packs, verify. They run in a process of their own."""

import base64
import contextlib
import secrets
from collections import OrderedDict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from templategen.app.charts import chart_rows, empty_reasons, letters_of, make_chart
from templategen.app.folder import PICTURES, WorkFolder
from templategen.app.live_jobs import planned
from templategen.app.logs import HOW, WAYS, log_tables, log_title, make_log_chart
from templategen.app.nest_drawings import small_picture
from templategen.app.pack_previews import kind_pictures, page_png, preview_pack
from templategen.app.packs import MACHINE_CAUTION, StoppedPlanError, write_pack
from templategen.app.print_wishes import (
    NO_CUTTING,
    CuttingWords,
    PrintWishes,
    WrittenPack,
    checked_wishes,
)
from templategen.app.scale_sheets import write_scale_sheet
from templategen.app.scans import keep_scanned_printer, measure_scan
from templategen.app.verifying import verdict, verified
from templategen.errors import InputError
from templategen.messages import Text, Wording, tr
from templategen.page.planning import Progress, Request, named_field, opened_of
from templategen.page.requests import figures_in, flag_in, given_in, text_in, texts_in, whole_in
from templategen.parts.style import PrintStyle
from templategen.trade.records import Shop
from templategen.units import Units, inch_text, printed_units

ROOT = "root"  # of a request: the folder, put in by the server
PACKS = "packs"
KEPT_PREVIEWS = 4
PICTURE_WIDTH = 1000  # pixels of a page
_PREVIEWS: OrderedDict[str, bytes] = OrderedDict()


def chart(request: Request, progress: Progress) -> dict[str, Any]:
    """Bowls by diameter and height of the blank."""
    opened = opened_of(request)
    made = make_chart(
        opened,
        diameters=given_in(request, "diameters"),
        heights=given_in(request, "heights"),
        progress=progress,
    )
    style = PrintStyle(units=opened.shop.units, wording=opened.wording)
    head, *rows = chart_rows(made, style)
    units, text = opened.job.units, opened.wording.text
    return {
        "diameters": [row[0] for row in rows],
        "heights": head[1:],
        "cells": [
            [
                {
                    "bowls": cell.bowls,
                    "text": shown,
                    "reason": text(cell.reason),
                    "diameter": _typed(cell.diameter, units),
                    "height": _typed(cell.height, units),
                }
                for cell, shown in zip(cells, row[1:], strict=True)
            ]
            for cells, row in zip(made.cells, rows, strict=True)
        ],
        "letters": _letters(made.shop),
        "reasons": [text(reason) for reason in empty_reasons(made)],
    }


def _letters(shop: Shop) -> list[dict[str, str]]:
    """Which letter stands for which cutter."""
    return [{"letter": letter, "cutter": name} for name, letter in letters_of(shop).items()]


def _typed(length: float, units: Units) -> str:
    """A length as it is typed into a form."""
    return inch_text(length) if units is Units.IN else f"{length:g}"


def log(request: Request, progress: Progress) -> dict[str, Any]:
    """The blanks that the log of the job gives."""
    opened = opened_of(request)
    if opened.job.log is None:
        raise InputError(tr("no log is named"), mend=tr("give its diameter and length"))
    made = make_log_chart(opened, progress=progress)
    style = PrintStyle(units=opened.job.units, wording=opened.wording)
    blanks = {
        rim: [
            {
                "diameter": _typed(row.blank.diameter, opened.job.units),
                "height": _typed(row.blank.height, opened.job.units),
                "rim": rim.value,
            }
            for row in made.rows
            if row.blank.rim is rim
        ]
        for rim in WAYS
    }
    return {
        "title": log_title(made, style=style),
        "how": style.say(HOW),
        "tables": [
            {"title": style.say(WAYS[rim]), "head": rows[0], "rows": rows[1:],
             "blanks": blanks[rim]}
            for rim, rows in log_tables(made, style=style).items()
        ],
        "letters": _letters(made.shop),
    }  # fmt: skip


def _wishes(request: Request, units: Units, formats: str) -> PrintWishes:
    """What is to be printed of a plan.

    Raises:
        InputError: an unknown paper, printer, unit or format.
    """
    cutting = NO_CUTTING
    if formats != "pdf":
        cutting = CuttingWords(
            beam=figures_in(request, "beam") or None,
            live_text=flag_in(request, "live_text"),
            sheet=figures_in(request, "sheet") or None,
            gap=figures_in(request, "gap") or None,
        )
    wishes = checked_wishes(
        formats,
        cutting=cutting,
        paper=given_in(request, "paper"),
        printer=given_in(request, "printer"),
    )
    return replace(
        wishes,
        kinds=texts_in(request, "kinds"),
        units=printed_units(given_in(request, "units"), units),
    )


@contextlib.contextmanager
def _unless_stopped() -> Iterator[None]:
    """Says that the plan has a stop where no pack is made of it."""
    try:
        yield
    except StoppedPlanError as error:
        mend = tr("see the findings marked stop")
        raise InputError(tr("the plan has a stop"), mend=mend) from error


def preview(request: Request, progress: Progress) -> dict[str, Any]:
    """Pages of a pack that is not saved yet."""
    opened = opened_of(request)
    wishes = _wishes(request, opened.job.units, "pdf")
    with _unless_stopped():
        plan = planned(opened, with_suggestions=True)
        laid, pdf = preview_pack(opened, plan, wishes, progress)
    name = secrets.token_hex(8)
    _PREVIEWS[name] = pdf
    if len(_PREVIEWS) > KEPT_PREVIEWS:
        _PREVIEWS.popitem(last=False)
    return {
        "id": name,
        "sheets": len(laid.pages),
        "paper": laid.paper.name,
        "pages": [
            {
                "number": page.number,
                "label": page.label,
                "title": page.title,
                "width": page.paper.width,
                "height": page.paper.height,
            }
            for page in laid.pages
        ],
    }


def thumbs(request: Request, _: Progress) -> dict[str, Any]:
    """Every kind of part made small; where the plan has none of it, how it is used."""
    opened = opened_of(request)
    return {
        "thumbs": [
            {
                "kind": kind.value,
                "svg": small_picture(found.drawing),
                "made": found.is_made,
                "needs": named_field(found.needs),
            }
            for kind, found in kind_pictures(planned(opened), opened.wording).items()
        ]
    }


def picture(request: Request, _: Progress) -> dict[str, Any]:
    """A page of a preview as PNG, in base64; empty where the preview is gone."""
    pdf = _PREVIEWS.get(text_in(request, "id"))
    png = None
    if pdf is not None:
        png = page_png(pdf, whole_in(request, "page"), width=PICTURE_WIDTH)
    return {"png": "" if png is None else base64.b64encode(png).decode("ascii")}


def save(request: Request, progress: Progress) -> dict[str, Any]:
    """Writes a pack into the folder."""
    folder = WorkFolder(Path(request[ROOT]))
    opened = opened_of(request)
    formats = ",".join(texts_in(request, "formats")) or "pdf"
    wishes = _wishes(request, opened.job.units, formats)
    out = folder.path_of(text_in(request, "folder", PACKS) or PACKS)
    folder.path_of(f"{out.relative_to(folder.root).as_posix()}/x")  # not deeper than it goes
    with _unless_stopped():
        plan = planned(opened, with_suggestions=True)
        written = write_pack(opened, plan, wishes, out, progress=progress)
    return _saved(written, folder, opened.wording)


def _saved(written: WrittenPack, folder: WorkFolder, wording: Wording) -> dict[str, Any]:
    """What was written, with its paths inside the folder."""

    def inside(path: Path) -> str:
        return path.relative_to(folder.root).as_posix()

    named = [] if written.pdf is None else [(written.pdf, "pdf")]
    notes: list[Text] = [written.missing_note] if written.missing else []
    nested = None
    if written.cut is not None:
        for held in written.cut.folders:
            paths = sorted(held.folder.glob(f"*.{held.kind}"))
            named += [(path, held.kind) for path in paths if path.name not in held.others]
        notes += [*written.cut.notes, MACHINE_CAUTION]
        nested = written.cut.nested
    return {
        "files": [{"file": inside(path), "kind": kind} for path, kind in named],
        "sheets": written.sheets,
        "parts": written.parts,
        "paper": written.paper,
        "notes": [wording.text(note) for note in notes],
        "nested": None
        if nested is None
        else {
            "picture": inside(nested.picture),
            "contents": inside(nested.contents),
            "sheets": [
                {
                    "title": sheet.title,
                    "files": [inside(path) for path in sheet.files],
                    "held": [{"title": one.title, "copies": one.copies} for one in sheet.held],
                    "share": wording.figure(100 * sheet.share, ".0f") + " %",
                }
                for sheet in nested.sheets
            ],
        },
    }


def verify(request: Request, _: Progress) -> dict[str, Any]:
    """Whether a pack of the folder is what its job gives."""
    folder = WorkFolder(Path(request[ROOT]))
    report = verified(folder.path_of(text_in(request, "file"), ".pdf"))
    wording = Wording(str(request["language"]))
    return {
        "true": report.is_true,
        "known": not report.release,
        "lines": [wording.text(line) for line in verdict(report)],
        "rows": [
            {
                "sheet": row.sheet or "",
                "what": wording.text(row.what),
                "deviation": None
                if row.deviation is None
                else wording.figure(row.deviation, ".4f") + " mm",
                "note": wording.text(row.note),
                "true": row.is_true,
            }
            for row in report.rows
        ],
    }


def scan(request: Request, _: Progress) -> dict[str, Any]:
    """Measures a printer by the picture of a sheet that it printed; a name keeps it."""
    folder = WorkFolder(Path(request[ROOT]))
    wording = Wording(str(request["language"]))
    dpi = text_in(request, "dpi", "")
    turned = text_in(request, "turned", "")
    report = measure_scan(
        folder.path_of(text_in(request, "scan"), *PICTURES),
        folder.path_of(text_in(request, "pack"), ".pdf"),
        page=whole_in(request, "page", 0) or None,
        dpi=float(dpi) if dpi.isdigit() else None,
        turned=folder.path_of(turned, *PICTURES) if turned else None,
    )
    printer = text_in(request, "printer", "").strip()
    kept = keep_scanned_printer(report, printer)[0].name if printer else None
    lines = list(report.lines())
    if report.found.scanner is None:  # what is said then names options of the command
        lines.pop()
    return {
        "lines": [wording.text(line) for line in lines],
        "fitted": report.is_fitted,
        "printer": kept,
    }


def scale_sheet(request: Mapping[str, Any], _: Progress) -> dict[str, Any]:
    """Writes the scale sheet, by which a printer is measured."""
    folder = WorkFolder(Path(request[ROOT]))
    units = text_in(request, "units", "")
    path = write_scale_sheet(
        folder.path_of(PACKS),
        paper=given_in(request, "paper"),
        units=printed_units(units, Units.MM).first if units else None,
        printer=given_in(request, "printer"),
        language=str(request["language"]),
    )
    return {"file": path.relative_to(folder.root).as_posix()}
