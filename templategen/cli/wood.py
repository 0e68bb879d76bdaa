"""The commands about wood: what the table knows, and how far a rough-out has dried."""

from typing import TYPE_CHECKING, Annotated

import typer

from templategen.errors import InputError

if TYPE_CHECKING:
    from templategen.trade.wood import Wood

FINE_PRINT = (
    "Averages of clear wood, estimates, never ratings; one tree differs from the next.",
    "m = from memory, not read in the source; a dash = no figure.",
    "A job may give its own figures in a [wood] table.",
)


def register(app: typer.Typer) -> None:
    """Enters the commands of this module."""
    app.command()(wood)


def wood(
    name: Annotated[
        list[str] | None, typer.Argument(help="Name or part of it; leave out to list all.")
    ] = None,
) -> None:
    """Lists the woods of the table, or shows one with the source of each figure."""
    from templategen.trade.wood import near_names, search_woods, woods

    words = " ".join(name or [])
    found = search_woods(words) if words.strip() else woods()
    if not found:
        near = near_names(words)
        mend = f"near it: {', '.join(near)}" if near else "'templategen wood' lists them all"
        raise InputError(f"no wood {words!r} in the table", where="wood", mend=mend)
    if len(found) == 1:
        _show_one(found[0])
    else:
        _show_many(found)


def _show_one(wood: "Wood") -> None:
    from templategen.trade.wood import FIGURES

    typer.echo(f"{wood.name} ({wood.botanical})")
    for figure in FIGURES:
        value = figure.shown(wood.figure(figure.field))
        shown = f"{value} {figure.unit}".rstrip() if value else "no figure"
        mark = "m " if wood.is_from_memory(figure.field) else ""
        row = f"  {figure.label:<31} {shown:>9}  {mark}{wood.source_of(figure.field)}"
        typer.echo(row.rstrip())
    for text in FINE_PRINT:
        typer.echo(text)


def _show_many(found: "tuple[Wood, ...]") -> None:
    from templategen.trade.wood import FIGURES

    shown = {figure.field: figure for figure in FIGURES}
    fields = ("radial", "tangential", "specific_gravity", "mc_heart", "mc_sap", "tension_perp_kpa")
    heads = ("radial %", "tangential %", "sp. gravity", "heart %", "sap %", "tension kPa")
    wide = max(len(wood.name) for wood in found)
    typer.echo("  ".join((" " * wide, *heads)))
    for wood in found:
        cells = [wood.name.ljust(wide)]
        for field, head in zip(fields, heads, strict=True):
            text = shown[field].shown(wood.figure(field)) or "-"
            mark = "m" if wood.is_from_memory(field) else " "
            cells.append(f"{text}{mark}".rjust(len(head)))
        typer.echo("  ".join(cells).rstrip())
    typer.echo(f"{len(found)} woods; name one to see its figures with their sources.")
    for text in FINE_PRINT:
        typer.echo(text)
