"""The commands. Only this layer prints and sets exit codes."""

import json
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templategen.cli import chart, club, printing, shopset, speech
from templategen.cli import wood as wood_commands
from templategen.cli.usage import INTERRUPTED, Commands, call
from templategen.errors import GeometryError, InputError, OutputError, TemplategenError

if TYPE_CHECKING:
    from templategen.inputs.records import Job, Shop
    from templategen.nest.plan import Plan
    from templategen.units import Units

app = typer.Typer(
    name="templategen",
    cls=Commands,
    help="Plans how to core nested bowls from a green blank and prints the templates full size.",
    epilog="Face shield on. Power off and locked before you touch belts or tools. Sound wood only; "
    "stand clear; the makers' limits come first.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

LanguageOpt = Annotated[
    str | None,
    typer.Option(help="Language of all that is printed and said: a code such as en or de."),
]


@app.callback()
def language(*, language: LanguageOpt = None) -> None:
    """Plans how to core nested bowls from a green blank and prints the templates full size."""
    speech.begin(language)


JobArg = Annotated[Path | None, typer.Argument(help="Job file; leave out for the built-in demo.")]
BlankOpt = Annotated[str | None, typer.Option("--blank", help="Diameter x height, as 400x180.")]
WoodOpt = Annotated[str | None, typer.Option("--wood", help="Name of the wood.")]
ShopOpt = Annotated[Path | None, typer.Option("--shop", help="Shop file.")]
FormatOpt = Annotated[
    str, typer.Option("--format", help="pdf, svg, dxf, or several with commas: pdf,svg.")
]
BeamOpt = Annotated[
    str | None, typer.Option("--beam", help="Width of the beam or bit, as 0.2: SVG and DXF only.")
]
OutlinesOpt = Annotated[bool, typer.Option("--outlines", help="Letters as outlines, SVG and DXF.")]


@app.command()
def plan(
    job: JobArg = None,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Print the plan as JSON.")] = False,
    picture: Annotated[Path | None, typer.Option(help="Write the section as SVG.")] = None,
    blank: BlankOpt = None,
    wood: WoodOpt = None,
    shop: ShopOpt = None,
) -> None:
    """Shows how many bowls the blank gives and how to set each cut."""
    made = _plan(job, blank, wood, shop)
    if picture is not None:
        from templategen.output.files import write_atomically
        from templategen.output.picture import section_svg

        write_atomically(picture, section_svg(made).encode("utf-8"))
    if as_json:
        from templategen.nest.export import plan_to_json

        typer.echo(json.dumps(plan_to_json(made), indent=1, ensure_ascii=False, allow_nan=False))
    else:
        _show(made)
    if made.has_stop:
        raise typer.Exit(1)


@app.command()
def pack(
    job: JobArg = None,
    *,
    out: Annotated[Path, typer.Option(help="Folder for the pack.")] = Path("templategen-pack"),
    paper: Annotated[str | None, typer.Option(help="a4, letter, a3 or a size as 210x330.")] = None,
    part: Annotated[list[str] | None, typer.Option(help="Only this kind; may repeat.")] = None,
    units: Annotated[str | None, typer.Option(help="mm, in or both.")] = None,
    formats: FormatOpt = "pdf",
    beam: BeamOpt = None,
    outlines: OutlinesOpt = False,
    printer: printing.PrinterOpt = None,
    blank: BlankOpt = None,
    wood: WoodOpt = None,
    shop: ShopOpt = None,
) -> None:
    """Prints the templates full size into one PDF, or into cutting files, one a part."""
    from templategen.cli.cutting import cutting_from, write_cutting_files
    from templategen.nest.check import check_plan
    from templategen.output.files import make_folder, write_atomically
    from templategen.output.names import safe_name
    from templategen.output.pdf import write_pdf
    from templategen.output.recipe import NAME, recipe_bytes
    from templategen.parts.lettering import missing_letters
    from templategen.parts.registry import make_parts
    from templategen.sheets.cover import make_pack
    from templategen.sheets.paper import paper_named
    from templategen.units import printed_units

    cutting = cutting_from(formats, beam=beam, outlines=outlines)
    profile = printing.profile_named(printer)
    made = _plan(job, blank, wood, shop)
    sheet = paper_named(paper or made.job.print.paper)
    unit = printed_units(units, made.job.units)
    parts = make_parts(made, kinds=part or made.job.print.parts, units=unit)
    if made.has_stop:
        _show_findings(made, err=True)
        typer.echo("No pack written: the plan has a stop.", err=True)
        raise typer.Exit(1)
    check_plan(made)
    if not parts:
        raise InputError("nothing to print", where="--part", mend="name another kind of part")
    name, done = safe_name(made.job.title, fallback="pack"), list[str]()
    if "pdf" in cutting.formats:
        laid = make_pack(made, parts, paper=sheet, units=unit, profile=profile)
        data = write_pdf(laid, title=made.job.title, attachments={NAME: recipe_bytes(made, laid)})
        make_folder(out)
        target = out / f"{name}.pdf"
        write_atomically(target, data)
        done.append(f"{target}: {len(laid.pages)} sheets of {sheet.name}, {len(parts)} parts")
        done.append("Print at 100 % and measure both bars on every sheet before you cut.")
    done += write_cutting_files(parts, cutting, out=out, name=name)
    _show_findings(made, err=False)
    words = "".join(t.text for p in parts for t in p.drawing.texts())
    lost = missing_letters(words)
    if lost:
        typer.echo(
            f"caution: print: the font has no {' '.join(lost[:20])}: an empty box is printed"
        )
    for text in done:
        typer.echo(text)


shopset.register(app)
club.register(app)
chart.register(app)
printing.register(app)
wood_commands.register(app)


@app.command()
def start(folder: Annotated[Path, typer.Argument(help="Folder for the new files.")]) -> None:
    """Writes a commented shop file and job file to begin with."""
    from templategen.inputs.starters import starter_files
    from templategen.output.files import make_folder, write_atomically

    files = starter_files()
    for name in files:
        if (folder / name).exists():
            raise InputError(
                "is there already", where=str(folder / name), mend="name another folder"
            )
    make_folder(folder)
    for name, text in files.items():
        write_atomically(folder / name, text.encode("utf-8"))
        typer.echo(f"{folder / name} written")


@app.command()
def measure(
    chord: Annotated[str, typer.Option(help="Straight distance between two points of the edge.")],
    rise: Annotated[str, typer.Option(help="Height of the edge over the middle of the chord.")],
) -> None:
    """Finds a cutter's radius from a chord and its rise."""
    from templategen.geometry.cuts import radius_from_chord
    from templategen.units import Units, parse_length, printed_length

    sizes = []
    for name, text in (("--chord", chord), ("--rise", rise)):
        try:
            size = parse_length(text, Units.MM)
        except ValueError as error:
            raise InputError(
                f"{text!r} is not a length", where=name, mend='write 120 or "4 3/4 in"'
            ) from error
        if not 0 < size <= 4000:
            raise InputError(
                f"{text} is out of bounds", where=name, mend="give more than 0, up to 4000 mm"
            )
        sizes.append(size)
    if sizes[1] > sizes[0]:
        raise InputError(
            "is more than the chord", where="--rise", mend="measure the rise square to the chord"
        )
    radius = radius_from_chord(chord=sizes[0], rise=sizes[1])
    inches = printed_length(radius, Units.IN)
    typer.echo(f"radius {radius:.2f} mm ({inches})")


def _plan(job: Path | None, blank: str | None, wood: str | None, shop: Path | None) -> "Plan":
    from templategen.inputs.job import check_cutters, job_from_table
    from templategen.inputs.reader import read_toml
    from templategen.inputs.shop import read_shop
    from templategen.inputs.starters import demo_job, demo_shop
    from templategen.nest.planner import make_plan
    from templategen.trade.wood import nearest_wood

    wanted: Job
    owned: Shop
    if job is not None:
        if blank is not None or wood is not None:
            given = "--blank" if blank is not None else "--wood"
            raise InputError("not with a job file", where=given, mend="change the job file")
        stated = read_toml(job)
        wanted = job_from_table(stated, where=job.name, known_wood=nearest_wood)
        if shop is None and not wanted.shop:
            raise InputError("names no shop", where=job.name, mend='add shop = "shop.toml"')
        owned = read_shop(shop if shop is not None else job.parent / wanted.shop)
        wanted = job_from_table(stated, where=job.name, known_wood=nearest_wood, usual=owned.rules)
    elif blank is not None:
        owned = read_shop(shop) if shop is not None else demo_shop()
        table: dict[str, Any] = {
            "title": f"Blank {blank}"[:100],
            "units": owned.units.value,
            "blank": {**_size(blank), "wood": wood or ""},
        }
        wanted = job_from_table(
            table, where="command line", known_wood=nearest_wood, usual=owned.rules
        )
    else:
        if wood is not None:
            raise InputError("needs --blank", where="--wood", mend="give --blank 400x180 too")
        wanted = demo_job()
        owned = read_shop(shop) if shop is not None else demo_shop()
    wanted = speech.settle(wanted)
    check_cutters(wanted, owned)
    return make_plan(wanted, owned)


def _size(text: str) -> dict[str, str]:
    match = re.fullmatch(r"\s*(.{1,30}?)\s*[x×]\s*(.{1,30}?)\s*", text)
    if match is None:
        raise InputError(
            f"{text!r} is not diameter x height", where="--blank", mend="write it as 400x180"
        )
    return {"diameter": match[1], "height": match[2]}


def _show(made: "Plan") -> None:
    units: Units = made.job.units
    shown = _lengths(units)
    blank = made.job.blank
    typer.echo(f"{made.job.title}  {made.job.date}".rstrip())
    wood = f", {blank.wood}" if blank.wood else ""
    count = "1 piece" if len(made.pieces) == 1 else f"{len(made.pieces)} pieces"
    typer.echo(f"Blank {shown(blank.diameter)} × {shown(blank.height)}{wood}: {count}")
    if made.cuts:
        order = ", ".join(str(n) for n in made.sequence)
        typer.echo(f"\nCuts from the rim inward; working order {order}")
        rows = [["cut", "cutter", "from rim", "depth", "deepest", "standoff", "offset", "swing"]]
        for c in made.cuts:
            rows.append(
                [
                    str(c.number),
                    c.cutter.id,
                    shown(c.entry_from_rim),
                    shown(c.depth_at_axis),
                    shown(c.deepest),
                    shown(c.pivot_standoff),
                    shown(c.pivot_offset),
                    f"{c.swing * 57.29577951:.0f}°",
                ]
            )
        _table(rows)
    typer.echo("\nPieces from the outside inward")
    rows = [["piece", "rim Ø", "depth", "wall", "worst", "floor", "tenon", "jaws"]]
    for p in made.pieces:
        rows.append(
            [
                str(p.number),
                shown(p.rim_diameter),
                shown(p.depth),
                "solid" if p.wall is None else shown(p.wall),
                "" if p.wall_worst is None else shown(p.wall_worst),
                "" if p.floor is None else shown(p.floor),
                f"{shown(p.tenon_diameter)} × {shown(p.tenon_length)}",
                p.jaws.id if p.jaws else "none",
            ]
        )
    _table(rows)
    wood_commands.show_holding(made)
    if made.findings:
        typer.echo("\nFindings")
    _show_findings(made, err=False)
    from templategen.parts.cautions import cautions_for

    typer.echo("\nCautions")
    for caution in cautions_for(made.shop):
        typer.echo(f"- {caution}")


def _show_findings(made: "Plan", *, err: bool) -> None:
    """The findings, gravest first."""
    from templategen.nest.plan import Level

    gravest = list(Level)
    for finding in sorted(made.findings, key=lambda f: gravest.index(f.level)):
        typer.echo(f"{finding.level.value}: {finding.rule}: {finding.text}", err=err)


def _lengths(units: "Units") -> Any:  # noqa: ANN401 - a small formatter
    from templategen.units import printed_length

    return lambda value: printed_length(value, units)


def _table(rows: list[list[str]]) -> None:
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    for row in rows:
        cells = [cell.rjust(width) for cell, width in zip(row, widths, strict=True)]
        typer.echo("  ".join(cells).rstrip())


def run() -> None:
    """Runs a command; a fault is one line and an exit code, never a traceback."""
    try:
        code = call(app)
    except GeometryError as error:
        _fail(InputError(error.what, where=error.where, mend=error.mend))
    except TemplategenError as error:
        _fail(error)
    except OSError as error:
        _fail(OutputError(error.strerror or "the machine failed", where=str(error.filename or "")))
    except MemoryError:
        _fail(OutputError("out of memory"))
    except RecursionError:
        _fail(InputError("nested too deeply"))
    except Exception as error:
        what = f"the program failed ({type(error).__name__}: {error})"
        _fail(OutputError(what, mend="please report this line with the input files"))
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
    else:
        sys.exit(code)


def _fail(error: TemplategenError) -> None:
    for text in error.lines():
        typer.echo(text, err=True)
    sys.exit(error.exit_code)
