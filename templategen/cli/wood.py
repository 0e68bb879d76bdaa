"""The command ``wood``: what the table knows of woods."""

from typing import Annotated

import typer

from templategen.app.woods import PROPERTIES, Wood, names_by_language, woods_named
from templategen.cli.screen import Screen, screen_of
from templategen.messages import tr_noop

FINE_PRINT = (
    tr_noop("Averages of clear wood, estimates, never ratings; one tree differs from the next."),
    tr_noop("m = from memory, not read in the source; a dash = no figure."),
    tr_noop("Names in brackets are shared with other woods."),
    tr_noop("A job may give its own figures in a [wood] table."),
)
WIDEST_LABEL = 31  # letters
COLUMNS = {  # of the list of woods, by the field of the table
    "radial": tr_noop("radial %"),
    "tangential": tr_noop("tangential %"),
    "specific_gravity": tr_noop("sp. gravity"),
    "mc_heart": tr_noop("heart %"),
    "mc_sap": tr_noop("sap %"),
    "tension_perp_kpa": tr_noop("tension kPa"),
}


def wood(
    ctx: typer.Context,
    name: Annotated[
        list[str] | None,
        typer.Argument(
            metavar=tr_noop("name"), help=tr_noop("Name or part of it; leave out to list all.")
        ),
    ] = None,
) -> None:
    """Lists the woods of the table, or shows one with the source of each figure."""
    screen = screen_of(ctx)
    found = woods_named(" ".join(name or []))
    if len(found) == 1:
        _show_one(found[0], screen)
        _show_names(found[0], screen)
    else:
        _show_many(found, screen)
    if name and len(found) > 1:
        for each in found:
            screen.show(f"{screen.wording.text(each.shown_name)} ({each.botanical})")
            _show_names(each, screen)
    for text in FINE_PRINT:
        screen.tell(text)


def _show_one(wood: Wood, screen: Screen) -> None:
    say, text = screen.wording.say, screen.wording.text
    screen.show(f"{text(wood.shown_name)} ({wood.botanical})")
    rows = []
    for known in PROPERTIES:
        value = text(known.shown(wood.figure(known.field)))
        shown = f"{value} {known.unit}".rstrip() if value else say("no figure")
        memory = say("m") + " " if wood.is_from_memory(known.field) else ""
        rows.append((say(known.label), shown, memory + text(wood.source_of(known.field))))
    wide = max(WIDEST_LABEL, *[len(label) for label, _, _ in rows])
    for label, shown, source in rows:
        screen.show(f"  {label:<{wide}} {shown:>9}  {source}".rstrip())
    if wood.rests_on_one_page:
        screen.tell("Its shrinkage rests on one secondary page.")


def _show_names(wood: Wood, screen: Screen) -> None:
    for language, names in names_by_language(wood.botanical):
        screen.show(f"  {screen.wording.text(language)}: {names}")


def _show_many(found: tuple[Wood, ...], screen: Screen) -> None:
    say, text = screen.wording.say, screen.wording.text
    shown = {known.field: known for known in PROPERTIES}
    heads = {field: say(head) for field, head in COLUMNS.items()}
    names = [text(wood.shown_name) for wood in found]
    wide = max(len(name) for name in names)
    screen.show("  ".join((" " * wide, *heads.values())))
    for name, wood in zip(names, found, strict=True):
        cells = [name.ljust(wide)]
        for field, head in heads.items():
            value = text(shown[field].shown(wood.figure(field))) or "-"
            memory = say("m") if wood.is_from_memory(field) else " "
            cells.append(f"{value}{memory}".rjust(len(head)))
        screen.show("  ".join(cells).rstrip())
    screen.tell("{count} woods; name one to see its figures with their sources.", count=len(found))
