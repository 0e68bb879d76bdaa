"""The job-free set: what a shop's own cutters and jaws need once, whatever the blank."""

from collections.abc import Sequence

from templategen.errors import InputError
from templategen.inputs.job_file import usual_print
from templategen.messages import tr
from templategen.nest.plan import Plan
from templategen.parts.drawing import Part
from templategen.parts.registry import KINDS, make_parts
from templategen.parts.style import PrintStyle
from templategen.trade.records import Blank, Job, Shop

JOB_FREE = (
    "cutter arc",
    "radius finder",
    "tenon ring",
    "tenon profile",
    "height stick",
    "scale sheet",
)  # by their names in the registry; a kind that is not there is left out


def shop_plan(shop: Shop, *, date: str = "") -> Plan:
    """A plan without cuts and pieces, which stands for the shop alone.

    Args:
        shop: checked shop.
        date: ISO date to print, or empty.
    """
    job = Job(
        title=shop.name,
        date=date,
        units=shop.units,
        # Nothing of the set shows a blank; the record needs one that could be read from a file.
        blank=Blank(diameter=400.0, height=180.0),
        nest=shop.rules.nest,
        tenon=shop.rules.tenon,
        print=shop.rules.print or usual_print(shop.units),
    )
    return Plan(job=job, shop=shop, cuts=(), bowls=(), sequence=(), findings=(), outside=())


def shop_parts(
    shop: Shop, *, kinds: Sequence[str] = (), date: str = "", style: PrintStyle
) -> tuple[Part, ...]:
    """The parts of the set, of the named kinds or of all.

    Args:
        shop: checked shop.
        kinds: of parts; all of the set if none is named.
        date: ISO date to print, or empty.
        style: units and language of the print.

    Raises:
        InputError: an unknown kind, or one that needs a job.
    """
    for kind in kinds:
        if kind in KINDS and kind not in JOB_FREE:
            raise InputError(
                tr("{kind!r} needs a blank", kind=kind),
                where="--part",
                mend=tr("print it with templategen pack"),
            )
    wanted = kinds or [k for k in JOB_FREE if k in KINDS]
    return make_parts(shop_plan(shop, date=date), kinds=wanted, style=style)
