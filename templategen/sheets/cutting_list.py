"""What sheets to cut hold, in words."""

from collections import Counter
from collections.abc import Sequence

from templategen.messages import tr
from templategen.parts.gauge_block import ply_text
from templategen.parts.style import PrintStyle
from templategen.sheets.cutting_sheets import NestedSheet, Nesting, Stock
from templategen.trade.cutting_sheet import MACHINE_CAUTION, HeldPieces
from templategen.trade.part_kinds import Material

_MATERIALS = {
    Material.PAPER: tr("paper"),
    Material.CARD: tr("card"),
    Material.PLY: tr("ply"),
}


def stock_text(stock: Stock, style: PrintStyle) -> str:
    """A material and its thickness, such as ``ply 3 mm``; card has none."""
    name = style.text(_MATERIALS[stock.material])
    return f"{name} {ply_text(stock.thickness, style)}" if stock.thickness else name


def sheet_title(sheet: NestedSheet, style: PrintStyle) -> str:
    """What a sheet is of and which one it is, such as ``ply 3 mm, sheet 1 of 2``."""
    return style.say(
        "{stock}, sheet {number} of {count}",
        stock=stock_text(sheet.stock, style),
        number=sheet.number,
        count=sheet.count,
    )


def held_on(sheet: NestedSheet) -> tuple[HeldPieces, ...]:
    """What a sheet holds, in the order of the work."""
    parts = [laid.piece.part for laid in sheet.pieces]
    titles, counts = {part.key: part.title for part in parts}, Counter(part.key for part in parts)
    return tuple(HeldPieces(titles[key], count) for key, count in counts.items())


def contents_list(
    nesting: Nesting,
    sheets: Sequence[tuple[str, NestedSheet]],
    *,
    title: str,
    notes: Sequence[str],
    style: PrintStyle,
) -> str:
    """The list that lies beside the files.

    Args:
        nesting: at least one sheet.
        sheets: each with the name of its files, without their ending.
        title: of the job.
        notes: what a person should know, one line each.
        style: units and language.
    """
    size = style.lengths((nesting.sheet.width, nesting.sheet.height))
    lines = [style.say("{title}: sheets of {size} to cut", title=title, size=size)]
    gap = style.length(nesting.sheet.gap)
    lines.append(style.say("At least {gap} of material between two cuts.", gap=gap))
    if nesting.beam:
        half = nesting.beam / 2
        lines.append(style.say("Cut lines stand {half:g} mm aside for the beam.", half=half))
    for name, sheet in sheets:
        lines += ["", f"{sheet_title(sheet, style)} ({name})"]
        lines += [f"  {held.text}" for held in held_on(sheet)]
    if notes:
        lines += ["", *notes]
    lines += ["", style.text(MACHINE_CAUTION)]
    return "\n".join(lines) + "\n"
