"""The commands. Only this layer prints and sets exit codes."""

import math
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from templategen.cli import chart, club, printing, speech
from templategen.cli import cutting as cutting_files
from templategen.cli import shop_set as shopset
from templategen.cli import wood as wood_commands
from templategen.cli.usage import INTERRUPTED, Command, Group, call, show_json
from templategen.errors import (
    GeometryError,
    InputError,
    OutputError,
    TemplategenError,
    machine_reason,
)
from templategen.messages import mark, say, say_count, wording_in_use

if TYPE_CHECKING:
    from templategen.nest.plan import Plan
    from templategen.trade.records import Job, Shop
    from templategen.units import Units

app = typer.Typer(
    name="templategen",
    cls=Group,
    help=say(
        "Plans how to core nested bowls from a green blank and prints the templates full size."
    ),
    epilog=say(
        "Face shield on. Power off and locked before you touch belts or tools. Sound wood only; "
        "stand clear; the makers' limits come first."
    ),
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)

LanguageOpt = Annotated[
    str | None,
    typer.Option(help=say("Language of all that is printed and said: a code such as en or de.")),
]


@app.callback()
def language(*, language: LanguageOpt = None) -> None:
    """Plans how to core nested bowls from a green blank and prints the templates full size."""
    speech.begin(language)


JobArg = Annotated[
    Path | None,
    typer.Argument(metavar=say("job"), help=say("Job file; leave out for the built-in demo.")),
]
BlankOpt = Annotated[
    str | None, typer.Option("--blank", help=say("Diameter x height, as 400x180."))
]
WoodOpt = Annotated[str | None, typer.Option("--wood", help=say("Name of the wood."))]
ShopOpt = Annotated[Path | None, typer.Option("--shop", help=say("Shop file."))]
JsonOpt = Annotated[bool, typer.Option("--json", help=say("Print the plan as JSON."))]
PictureOpt = Annotated[Path | None, typer.Option(help=say("Write the section as SVG."))]


@app.command(cls=Command, help=say("Shows how many bowls the blank gives and how to set each cut."))
def plan(
    job: JobArg = None,
    *,
    as_json: JsonOpt = False,
    picture: PictureOpt = None,
    blank: BlankOpt = None,
    wood: WoodOpt = None,
    shop: ShopOpt = None,
) -> None:
    """Shows how many bowls the blank gives and how to set each cut."""
    made = _plan(job, blank, wood, shop)
    if picture is not None:
        from templategen.output.files import clear_leftovers, write_atomically
        from templategen.output.picture import section_svg

        clear_leftovers(picture.parent)
        write_atomically(picture, section_svg(made).encode("utf-8"))
    if as_json:
        from templategen.nest.plan_json import plan_to_json

        show_json(plan_to_json(made))
    else:
        _show(made)
    if made.has_stop:
        raise typer.Exit(1)


@app.command(
    cls=Command,
    help=say("Prints the templates full size into one PDF, or into cutting files, one a part."),
)
def pack(
    job: JobArg = None,
    *,
    out: Annotated[Path, typer.Option(help=say("Folder for the pack."))] = printing.FOLDER,
    paper: printing.PaperOpt = None,
    part: printing.PartOpt = None,
    units: printing.UnitsOpt = None,
    formats: cutting_files.FormatOpt = "pdf",
    beam: cutting_files.BeamOpt = None,
    outlines: cutting_files.OutlinesOpt = False,
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
    from templategen.parts.lettering import missing_letters
    from templategen.parts.registry import make_parts
    from templategen.parts.style import PrintStyle
    from templategen.proof.recipe import NAME, recipe_bytes
    from templategen.sheets.cover import make_pack
    from templategen.trade.paper import paper_named
    from templategen.units import printed_units

    cutting = cutting_from(formats, beam=beam, outlines=outlines)
    profile = printing.profile_named(printer)
    made = _plan(job, blank, wood, shop)
    sheet = paper_named(paper or made.job.print.paper)
    unit = printed_units(units, made.job.units)
    style = PrintStyle(units=unit, wording=wording_in_use())
    parts = make_parts(made, kinds=part or made.job.print.parts, style=style)
    if made.has_stop:
        _show_findings(made, err=True)
        typer.echo(say("No pack written: the plan has a stop."), err=True)
        raise typer.Exit(1)
    check_plan(made)
    if not parts:
        raise printing.nothing_to_print("--part")
    name, done = safe_name(made.job.title, fallback="pack"), list[str]()
    if "pdf" in cutting.formats:
        laid = make_pack(made, parts, paper=sheet, units=unit, profile=profile)
        data = write_pdf(laid, title=made.job.title, attachments={NAME: recipe_bytes(made, laid)})
        make_folder(out)
        target = out / f"{name}.pdf"
        write_atomically(target, data)
        done += printing.written(target, laid, len(parts))
    done += write_cutting_files(parts, cutting, out=out, name=name)
    _show_findings(made, err=False)
    words = "".join(t.text for p in parts for t in p.drawing.texts())
    lost = missing_letters(words)
    if lost:
        text = say(
            "the font has no {letters}: an empty box is printed", letters=" ".join(lost[:20])
        )
        typer.echo(_finding(mark("caution"), mark("print"), text))
    for text in done:
        typer.echo(text)


shopset.register(app)
club.register(app)
chart.register(app)
printing.register(app)
wood_commands.register(app)


@app.command(cls=Command, help=say("Writes a commented shop file and job file to begin with."))
def start(
    folder: Annotated[
        Path, typer.Argument(metavar=say("folder"), help=say("Folder for the new files."))
    ],
) -> None:
    """Writes a commented shop file and job file to begin with."""
    from templategen.inputs.starters import starter_files
    from templategen.output.files import make_folder, write_atomically

    files = starter_files()
    for name in files:
        if (folder / name).exists():
            raise InputError(
                say("is there already"), where=str(folder / name), mend=say("name another folder")
            )
    make_folder(folder)
    for name, text in files.items():
        write_atomically(folder / name, text.encode("utf-8"))
        typer.echo(say("{file} written", file=folder / name))


@app.command(cls=Command, help=say("Finds a cutter's radius from a chord and its rise."))
def measure(
    chord: Annotated[
        str, typer.Option(help=say("Straight distance between two points of the edge."))
    ],
    rise: Annotated[
        str, typer.Option(help=say("Height of the edge over the middle of the chord."))
    ],
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
                say("{text!r} is not a length", text=text),
                where=name,
                mend=say('write 120 or "4 3/4 in"'),
            ) from error
        if not 0 < size <= 4000:
            raise InputError(
                say("{text} is out of bounds", text=text),
                where=name,
                mend=say("give more than 0, up to 4000 mm"),
            )
        sizes.append(size)
    if sizes[1] > sizes[0]:
        raise InputError(
            say("is more than the chord"),
            where="--rise",
            mend=say("measure the rise square to the chord"),
        )
    radius = radius_from_chord(chord=sizes[0], rise=sizes[1])
    inches = printed_length(radius, Units.IN)
    typer.echo(say("radius {radius:.2f} mm ({inches})", radius=radius, inches=inches))


def _plan(job: Path | None, blank: str | None, wood: str | None, shop: Path | None) -> "Plan":
    from templategen.inputs.job_file import check_cutters, job_from_table
    from templategen.inputs.shop_file import read_shop
    from templategen.inputs.starters import demo_job, demo_shop
    from templategen.inputs.toml_table import read_toml
    from templategen.nest.planner import make_plan
    from templategen.trade.wood import nearest_wood

    wanted: Job
    owned: Shop
    if job is not None:
        if blank is not None or wood is not None:
            given = "--blank" if blank is not None else "--wood"
            raise InputError(
                say("not with a job file"), where=given, mend=say("change the job file")
            )
        stated = read_toml(job)
        wanted = job_from_table(stated, where=job.name, known_wood=nearest_wood)
        if shop is None and not wanted.shop:
            raise InputError(
                say("names no shop"), where=job.name, mend=say('add shop = "shop.toml"')
            )
        owned = read_shop(shop if shop is not None else job.parent / wanted.shop)
        wanted = job_from_table(stated, where=job.name, known_wood=nearest_wood, usual=owned.rules)
    elif blank is not None:
        owned = read_shop(shop) if shop is not None else demo_shop()
        table: dict[str, Any] = {
            "title": say("Blank {size}", size=blank)[:100],
            "units": owned.units.value,
            "blank": {**_size(blank), "wood": wood or ""},
        }
        wanted = job_from_table(
            table, where=say("command line"), known_wood=nearest_wood, usual=owned.rules
        )
    else:
        if wood is not None:
            raise InputError(
                say("needs {option}", option="--blank"),
                where="--wood",
                mend=say("give --blank 400x180 too"),
            )
        wanted = demo_job()
        owned = read_shop(shop) if shop is not None else demo_shop()
    wanted = speech.settle(wanted)
    check_cutters(wanted, owned)
    return make_plan(wanted, owned)


def _size(text: str) -> dict[str, str]:
    match = re.fullmatch(r"\s*(.{1,30}?)\s*[x×]\s*(.{1,30}?)\s*", text)
    if match is None:
        raise InputError(
            say("{text!r} is not diameter x height", text=text),
            where="--blank",
            mend=say("write it as {example}", example="400x180"),
        )
    return {"diameter": match[1], "height": match[2]}


def _show(made: "Plan") -> None:
    units: Units = made.job.units
    shown = _lengths(units)
    blank = made.job.blank
    typer.echo(f"{made.job.title}  {made.job.date}".rstrip())
    size = f"{shown(blank.diameter)} × {shown(blank.height)}"
    size = f"{size}, {blank.wood}" if blank.wood else size
    typer.echo(
        say_count(
            "Blank {size}: {count} piece",
            "Blank {size}: {count} pieces",
            len(made.bowls),
            size=size,
        )
    )
    if made.cuts:
        order = ", ".join(str(n) for n in made.sequence)
        typer.echo("\n" + say("Cuts from the rim inward; working order {order}", order=order))
        rows = [
            [
                say("cut"),
                say("cutter"),
                say("from rim"),
                say("depth"),
                say("deepest"),
                say("standoff"),
                say("offset"),
                say("swing"),
            ]
        ]
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
                    f"{math.degrees(c.swing):.0f}°",
                ]
            )
        wood_commands.show_table(rows)
    typer.echo("\n" + say("Pieces from the outside inward"))
    rows = [
        [
            say("piece"),
            say("rim Ø"),
            say("depth"),
            say("wall"),
            say("worst"),
            say("floor"),
            say("tenon"),
            say("jaws"),
        ]
    ]
    for p in made.bowls:
        rows.append(
            [
                str(p.number),
                shown(p.rim_diameter),
                shown(p.depth),
                say("solid") if p.wall is None else shown(p.wall),
                "" if p.wall_worst is None else shown(p.wall_worst),
                "" if p.floor is None else shown(p.floor),
                f"{shown(p.tenon_diameter)} × {shown(p.tenon_length)}",
                p.jaws.id if p.jaws else say("none"),
            ]
        )
    wood_commands.show_table(rows)
    wood_commands.show_holding(made)
    if made.findings:
        typer.echo("\n" + say("Findings"))
    _show_findings(made, err=False)
    from templategen.parts.cautions import cautions_for

    typer.echo("\n" + say("Cautions"))
    for caution in cautions_for(made.shop):
        typer.echo(f"- {caution}")


def _show_findings(made: "Plan", *, err: bool) -> None:
    """The findings, gravest first."""
    from templategen.nest.plan import Level

    gravest = list(Level)
    for finding in sorted(made.findings, key=lambda f: gravest.index(f.level)):
        typer.echo(_finding(finding.level.value, finding.rule, finding.text), err=err)


def _finding(level: str, rule: str, text: str) -> str:
    """A finding as a line; level and rule are ids, and wording here."""
    return f"{say(level)}: {say(rule)}: {text}"


def _lengths(units: "Units") -> Any:  # noqa: ANN401 - a small formatter
    from templategen.units import printed_length

    return lambda value: printed_length(value, units)


def run() -> None:
    """Runs a command; a fault is one line and an exit code, never a traceback."""
    try:
        code = call(app)
    except GeometryError as error:
        _fail(InputError(error.what, where=error.where, mend=error.mend))
    except TemplategenError as error:
        _fail(error)
    except OSError as error:
        what = machine_reason(error, say("the machine failed"))
        _fail(OutputError(what, where=str(error.filename or "")))
    except MemoryError:
        _fail(OutputError(say("out of memory")))
    except RecursionError:
        _fail(InputError(say("nested too deeply")))
    except Exception as error:
        what = say("the program failed ({reason})", reason=f"{type(error).__name__}: {error}")
        _fail(OutputError(what, mend=say("please report this line with the input files")))
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
    else:
        sys.exit(code)


def _fail(error: TemplategenError) -> None:
    for text in error.lines():
        typer.echo(text, err=True)
    sys.exit(error.exit_code)
