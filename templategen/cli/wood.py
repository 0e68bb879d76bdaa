"""The commands about wood: what the table knows, and how far a rough-out has dried."""

from typing import TYPE_CHECKING, Annotated

import typer

from templategen.errors import InputError

if TYPE_CHECKING:
    from templategen.nest.plan import Plan
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


def show_holding(made: "Plan") -> None:
    """Prints what wood, jaws and lathe make of the plan: two small tables of estimates."""
    from templategen.nest.holding import figures_of, force_text, mass_number, mass_text, torque_text
    from templategen.units import Units, format_length

    units = made.job.units
    inch = units is Units.IN
    figures = figures_of(made)

    def shown(value: float | None) -> str:
        return "-" if value is None else format_length(value, units)

    typer.echo(f"\nPieces dried to {made.job.nest.final_moisture:g} %")
    rows = [["piece", "tag", "dried Ø", "true Ø", "wall left", "tenth rule", "green", "dried"]]
    for p in figures.pieces:
        dried = p.dried
        rows.append(
            [
                str(p.number),
                p.identity,
                f"{shown(dried.across)} × {shown(dried.along)}" if dried else "-",
                shown(dried.circle if dried else None),
                shown(dried.wall_left if dried else None),
                shown(p.thumb_wall),
                mass_text(p.wet, inch=inch) if p.wet else "-",
                "-" if p.target_mass is None else mass_number(p.target_mass, inch=inch),
            ]
        )
    show_table(rows)
    typer.echo("\nHow each piece is held")
    rows = [["piece", "jaws", "ring closed", "ring widest", "grip", "share", "d³", "breaks at"]]
    for p in figures.pieces:
        held = p.hold
        rows.append(
            [
                str(p.number),
                held.jaws.id if held else "none",
                shown(held.closed if held else None),
                shown(held.widest if held else None),
                held.grip.value if held else "-",
                f"{held.share:.0%}" if held else "-",
                f"{p.strength:.2f}",
                force_text(p.break_force, inch=inch) if p.break_force is not None else "-",
            ]
        )
    show_table(rows)
    mass = mass_text(figures.mass, inch=inch) if figures.mass else "not known"
    typer.echo(f"\nLathe: green blank {mass}; core at {figures.coring_speed:.0f} rpm or slower")
    typer.echo(
        f"(start at {figures.start_speed:.0f}; rim {figures.rim_speed:.1f} m/s; 6000 to 9000 over "
        f"the inches: {figures.rough_speed:.0f} to {figures.rule_speed:.0f} rpm, common practice)"
    )
    rows = [["cut", "force at the tip", "droop"]]
    for c in figures.cuts:
        force = "-" if c.tip_force is None else force_text(c.tip_force, inch=inch)
        rows.append([str(c.number), force, shown(c.droop)])
    if figures.torque is not None and figures.cuts:
        typer.echo(f"Motor at that speed: {torque_text(figures.torque, inch=inch)}")
        show_table(rows)
    if figures.least_height is not None:
        typer.echo(f"Least height above centre against droop: {shown(figures.least_height)}")
    typer.echo("Estimates, never ratings; the makers' limits come first.")


def show_table(rows: list[list[str]]) -> None:
    """Prints rows of equal length, each column set right."""
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=True)]
        typer.echo("  ".join(cells).rstrip())
