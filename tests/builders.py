"""Shops, jobs and plans that tests share. All of them are invented; lengths in millimetres."""

import dataclasses
import functools
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from templategen.inputs.job_file import job_from_table
from templategen.inputs.shop_file import read_shop
from templategen.inputs.starters import demo_job, demo_shop
from templategen.inputs.toml_table import read_toml
from templategen.nest.plan import CutSetting, Plan
from templategen.nest.planner import make_plan
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.page import Pack, PageFrame
from templategen.sheets.work_order import make_pack
from templategen.trade.paper import paper_named
from templategen.trade.printer import PrinterProfile
from templategen.trade.records import (
    Blank,
    Cutter,
    Jaws,
    Job,
    LengthWall,
    Nest,
    PinnedCut,
    Relief,
    Shop,
    Tenon,
)
from templategen.trade.wood import Wood, wood_of
from templategen.units import Units

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = ROOT / "examples"
DATE = "2026-05-02"


def make_cutters(*radii: float, kerf: float = 9.0) -> tuple[Cutter, ...]:
    """Invented cutters, one for each radius, named ``R80`` and so on."""
    return tuple(Cutter(id=f"R{radius:g}", radius=radius, kerf=kerf) for radius in radii)


def make_jaws(*circles: float, depth: float = 14.0, **changes: Any) -> tuple[Jaws, ...]:  # noqa: ANN401 - any field
    """Invented jaws, one set for each true circle, named by its diameter."""
    return tuple(Jaws(id=f"{d:g}", true_circle=d, depth=depth, **changes) for d in circles)


def make_shop(**changes: Any) -> Shop:  # noqa: ANN401 - any field
    """An invented shop of four cutters and six sets of jaws; `changes` are fields of `Shop`."""
    shop = Shop(
        name="Invented shop",
        units=Units.MM,
        cutters=make_cutters(80, 105, 135, 170),
        jaws=make_jaws(50, 70, 100, 130, 160, 200),
    )
    return dataclasses.replace(shop, **changes)


def make_job(
    diameter: float = 400.0,
    height: float = 180.0,
    *,
    wood: str = "",
    units: Units = Units.MM,
    **nest: Any,  # noqa: ANN401 - any field
) -> Job:
    """An invented job with walls of 22 mm; `nest` are fields of `Nest`."""
    return Job(
        title="Invented blank",
        date=DATE,
        units=units,
        blank=Blank(diameter=diameter, height=height, wood=wood),
        nest=Nest(**{"wall": LengthWall(22.0), **nest}),
    )


def changed_job(job: Job | None = None, **changes: Any) -> Job:  # noqa: ANN401 - any field
    """A job, the built-in demo job if none is given, with fields changed.

    Each name is looked for in `Nest`, then in `Blank`, `Tenon`, `Print` and `Job`.

    Raises:
        TypeError: none of these records has a field of that name.
    """
    job = job or demo_job()
    for table in ("nest", "blank", "tenon", "print"):
        record = getattr(job, table)
        names = {field.name for field in dataclasses.fields(record)}
        inner = {name: changes.pop(name) for name in names & changes.keys()}
        job = dataclasses.replace(job, **{table: dataclasses.replace(record, **inner)})
    return dataclasses.replace(job, **changes)


def plan_of(job: Job | None = None, shop: Shop | None = None, **changes: Any) -> Plan:  # noqa: ANN401 - any field
    """The plan of `changed_job` in a shop, the built-in demo shop if none is given.

    Without suggestions and other sets.
    """
    return make_plan(changed_job(job, **changes), shop or demo_shop(), with_suggestions=False)


def pin_of(cut: CutSetting) -> PinnedCut:
    """A cut fixed where it is, by its marks."""
    return PinnedCut(
        cutter=cut.cutter.id, entry_radius=cut.entry_radius, depth_at_axis=cut.depth_at_axis
    )


def changed_shop(shop: Shop | None = None, **changes: Any) -> Shop:  # noqa: ANN401 - any field
    """A shop, the built-in demo shop if none is given, with fields of `Shop` changed."""
    return dataclasses.replace(shop or demo_shop(), **changes)


def wood_named(name: str) -> Wood:
    """The wood of a blank whose job names it so."""
    wood = wood_of(changed_job(wood=name) if name else demo_job())
    assert wood is not None
    return wood


@functools.cache
def demo_plan() -> Plan:
    """The plan of the built-in demo job, without suggestions."""
    return make_plan(demo_job(), demo_shop(), with_suggestions=False)


@functools.cache
def invented_plan(diameter: float = 400.0, height: float = 180.0) -> Plan:
    """The plan of `make_job` and `make_shop`, without suggestions: no part prints them."""
    return make_plan(make_job(diameter, height), make_shop(), with_suggestions=False)


def read_job(path: Path) -> Job:
    """The job that a file states, without the rules of its shop."""
    return job_from_table(read_toml(path), where=path.name)


def example_job(name: str) -> Job:
    """The job in a file of `examples/`, such as ``lakeside-400.toml``."""
    return read_job(EXAMPLES / name)


def example_shop(name: str) -> Shop:
    """The shop that a job in `examples/` names."""
    return read_shop(EXAMPLES / example_job(name).shop)


@functools.cache
def example_plan(name: str, *, with_suggestions: bool = False) -> Plan:
    """The plan of a job in `examples/`; packs are made with suggestions."""
    job, shop = example_job(name), example_shop(name)
    return make_plan(job, shop, with_suggestions=with_suggestions)


@functools.cache
def tiny_plan() -> Plan:
    """A plan of two bowls or more from a blank of the smallest kind, with cutters to match."""
    shop = make_shop(
        name="Invented toy shop",
        cutters=make_cutters(24, 44, kerf=3),
        jaws=make_jaws(10, 12, 15, 20, 27, 35, 50, depth=6),
    )
    job = make_job(
        100,
        56,
        wall=LengthWall(5.0),
        min_bowl=24.0,
        min_depth=5.0,
        min_ratio=0.05,
        height_above_centre=1.0,
        max_slope=40.0,
        relief=Relief(shift=1.0, depth=5.0),
    )
    job = dataclasses.replace(job, tenon=Tenon(length=4.0, shoulder=1.0))
    plan = make_plan(job, shop, with_suggestions=False)
    assert len(plan.cuts) >= 2
    return plan


def with_post(plan: Plan, *, pin: float | None, body: float | None) -> Plan:
    """The same plan in a shop whose post states its pin and its body, mm, or does not."""
    post = dataclasses.replace(plan.shop.post, pin=pin, body=body)
    return dataclasses.replace(plan, shop=dataclasses.replace(plan.shop, post=post))


def laid_pack(
    plan: Plan,
    *,
    kinds: Sequence[str] = (),
    paper: str = "a4",
    style: PrintStyle | None = None,
    profile: PrinterProfile | None = None,
    head: float = 0.0,
) -> Pack:
    """The pack of a plan: all kinds of parts unless some are named, in the job's units.

    It is made once for the same arguments, so a test of the making itself calls `make_pack`.
    """
    style = style or PrintStyle(units=plan.job.units)
    frame = PageFrame(paper=paper_named(paper), profile=profile)
    return _laid_pack(plan, tuple(kinds), frame, style, head)


@functools.lru_cache(maxsize=64)
def _laid_pack(
    plan: Plan, kinds: tuple[str, ...], frame: PageFrame, style: PrintStyle, head: float
) -> Pack:
    parts = make_parts(plan, kinds=kinds, style=style)
    return make_pack(plan, parts, frame=frame, style=style, head=head)
