"""The shop set: parts that a shop's own cutters and jaws need once, whatever the blank."""

from collections.abc import Sequence

from templategen.errors import InputError
from templategen.messages import Wording, tr
from templategen.nest.plan import Plan
from templategen.parts.drawing import Part
from templategen.parts.labels import shop_label
from templategen.parts.registry import SHOP_KINDS, check_kinds
from templategen.parts.style import PrintStyle
from templategen.trade.records import Blank, Job, Shop


def shop_plan(shop: Shop, *, date: str = "") -> Plan:
    """A plan without cuts and bowls, for the cover and the recipe of a shop set.

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
        nest=shop.rules.nest_of(shop.units),
        tenon=shop.rules.tenon_of(shop.units),
        print=shop.rules.print_of(shop.units),
    )
    return Plan(job=job, shop=shop, cuts=(), bowls=(), sequence=(), findings=(), outside=())


def shop_set_title(shop: str, wording: Wording) -> str:
    """The title of the PDF of a shop's set."""
    return wording.say("{shop}: shop set", shop=shop)


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
    wanted = check_kinds(kinds) or tuple(SHOP_KINDS)
    for kind in wanted:
        if kind not in SHOP_KINDS:
            raise InputError(
                tr("{kind!r} needs a blank", kind=kind.value),
                where="--part",
                mend=tr("print it with templategen pack"),
            )
    label = shop_label(shop, date, style)
    return tuple(
        part
        for kind, make in SHOP_KINDS.items()
        if kind in wanted
        for part in make(shop, label=label, style=style)
    )
