"""Which jaws may hold a bowl (design.md §4, rules 3 and 4): all within the limits of the shop.

The search settles which of them do. Lengths mm, shares 0..1.
"""

import dataclasses
import functools
from collections.abc import Callable
from dataclasses import dataclass

from templategen.errors import InputError
from templategen.geometry.curves import Span
from templategen.geometry.solids import volume_of_revolution
from templategen.nest.outside import blank_outside
from templategen.nest.plan import BowlShape, CutSetting, Points
from templategen.nest.rules import (
    SAME,
    TenonSize,
    core_curves,
    core_size,
    least_shoulder,
    tenon_end,
    tenon_for,
)
from templategen.trade.choices import Order, OutsideShape
from templategen.trade.jaws import GREATEST_SHARE
from templategen.trade.records import Jaws, Job, Shop

NEAR_SHARE = 0.02  # a share this much under the wish, or less, counts as the wish


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A bowl in certain jaws, and whether its tenon is under the wished share of its rim.

    Args:
        shape: the bowl; where its outside follows its first cut, as it is without cuts.
        under: whether its tenon is under the wished share, by more than `NEAR_SHARE`.
        around: gives the bowl around its first cut, where its outside follows that.
        widest: what encloses all of these.
    """

    shape: BowlShape
    under: bool
    around: Callable[[CutSetting], BowlShape] | None = None
    widest: BowlShape | None = None

    def shape_around(self, first_cut: CutSetting) -> BowlShape:
        """The bowl when a cut is the first that is made in it."""
        return self.shape if self.around is None else self.around(first_cut)

    @property
    def room(self) -> BowlShape:
        """What any first cut must at least be valid in."""
        return self.widest or self.shape


def wished_shares(job: Job) -> tuple[float, float]:
    """Wished tenon over rim of a core that is cored again, and of one that is finished."""
    again = job.tenon.share if job.nest.order == Order.OUTER_FIRST else job.tenon.core_share
    return again, job.tenon.core_share


def rim_limits(neck: float, shop: Shop) -> tuple[float, float]:
    """Least and greatest rim radius of a bowl that a tenon may hold (rule 4), mm."""
    return neck / (2 * GREATEST_SHARE), neck / (2 * shop.rules.refuse_share)


def under_from(neck: float, share: float) -> float:
    """The rim radius over which a tenon is under its wished share, mm."""
    return neck / (2 * max(share - NEAR_SHARE, SAME))


def _nearest_first(
    job: Job, shop: Shop, *, rim: float, share: float
) -> list[tuple[Jaws, TenonSize]]:
    """The jaws that may hold a bowl with a rim radius, nearest the wished share first."""
    found = []
    for jaws in shop.jaws:
        tenon = tenon_for(jaws, job)
        assert tenon is not None  # only without jaws
        low, high = rim_limits(tenon.neck, shop)
        if low <= rim <= high:
            found.append((jaws, tenon))
    return sorted(found, key=lambda pair: abs(pair[1].neck - 2 * rim * share))


def core_options(setting: CutSetting, job: Job, shop: Shop, *, recored: bool) -> tuple[Held, ...]:
    """Rules 3, 4 and 6: the core a cut frees, in each of the jaws that may hold it.

    Args:
        setting: the cut.
        job: the wishes.
        shop: the jaws and the limits.
        recored: whether it is cored again.

    Returns: nearest the wished share first; none where it is too small or no jaws hold it.
    """
    curves = core_curves(setting, height=job.nest.height_above_centre, relief=job.nest.relief)
    if curves is None:
        return ()
    rim = curves[0].at(curves[0].start)[0]
    if 2 * rim < job.nest.min_bowl - SAME:
        return ()
    again, leaf = wished_shares(job)
    share, size = again if recored else leaf, core_size(curves)
    found = []
    for jaws, tenon in _nearest_first(job, shop, rim=rim, share=share):
        end = tenon_end(curves, tenon.end)
        if end is None or end - tenon.length < least_shoulder(job, rim) - SAME:
            continue
        shape = _core(curves, jaws, tenon, end, size)
        found.append(Held(shape=shape, under=rim > under_from(tenon.neck, share)))
    return tuple(found)


def core_as_held_best(setting: CutSetting, job: Job, shop: Shop) -> BowlShape | None:
    """The core a pinned cut frees, as best it can be held, whichever of rules 3 to 6 it breaks.

    Args:
        setting: the cut.
        job: the wishes.
        shop: the jaws and the limits.

    Returns: in the jaws nearest the wished share; without jaws, on a tenon of the wished share,
        where none may hold it; None where the cut frees no core.
    """
    height = job.nest.height_above_centre
    curves = core_curves(setting, height=height, relief=job.nest.relief)
    curves = curves or core_curves(setting, height=height, relief=None)
    if curves is None:
        return None
    rim, share = curves[0].at(curves[0].start)[0], job.tenon.core_share
    wished = TenonSize(neck=2 * rim * share, end=2 * rim * share, length=job.tenon.length)
    options: list[tuple[Jaws | None, TenonSize]] = [
        *_nearest_first(job, shop, rim=rim, share=share)
    ]
    jaws, tenon = options[0] if options else (None, wished)
    end = tenon_end(curves, tenon.end)
    bottom = curves[-1].at(curves[-1].end)[1]
    return _core(curves, jaws, tenon, bottom if end is None else end, core_size(curves))


def _core(
    curves: tuple[Span, ...], jaws: Jaws | None, tenon: TenonSize, end: float, size: float
) -> BowlShape:
    """A core whose tenon has its end face at a depth, mm."""
    return BowlShape(
        curves=curves,
        rim_radius=curves[0].at(curves[0].start)[0],
        shoulder=end - tenon.length,
        jaws=jaws,
        tenon_diameter=tenon.neck,
        tenon_end_diameter=tenon.end,
        tenon_length=tenon.length,
        size=size,
    )


def blank_options(job: Job, shop: Shop) -> tuple[Held, ...]:
    """The turned blank in each of the jaws that may hold it, nearest the wished share first.

    Args:
        job: the wishes.
        shop: the jaws and the limits.

    Returns: at least one; without jaws where none may hold it.

    Raises:
        InputError: the tenon with its shoulder does not fit the blank, whatever the jaws.
    """
    diameter, share = job.blank.diameter, job.tenon.share
    options: list[tuple[Jaws | None, TenonSize]] = [
        *_nearest_first(job, shop, rim=diameter / 2, share=share)
    ]
    if not options:
        wished = share * diameter
        options = [(None, TenonSize(neck=wished, end=wished, length=job.tenon.length))]
    found: list[Held] = []
    fault: InputError | None = None
    for jaws, tenon in options:
        try:
            shape = _blank_in(jaws, tenon, job)
        except InputError as stopped:
            fault = fault or stopped
            continue
        under = jaws is not None and diameter / 2 > under_from(tenon.neck, share)
        held = Held(shape=shape, under=under)
        if job.blank.outside == OutsideShape.EVEN:
            around = functools.partial(_blank_in, jaws, tenon, job)
            blank = dataclasses.replace(job.blank, outside=OutsideShape.CYLINDER)
            widest = _blank_in(jaws, tenon, dataclasses.replace(job, blank=blank))
            held = dataclasses.replace(held, around=around, widest=widest)
        found.append(held)
    if not found:
        assert fault is not None  # there was an option
        raise fault
    return tuple(found)


def _blank_in(
    jaws: Jaws | None, tenon: TenonSize, job: Job, first_cut: CutSetting | None = None
) -> BowlShape:
    shoulder = job.blank.height - tenon.length
    curves = blank_outside(
        job.blank,
        shoulder_depth=shoulder,
        tenon_radii=(tenon.neck / 2, tenon.end / 2),
        flat=job.tenon.shoulder,
        first_cut=first_cut,
        cutter_height=job.nest.height_above_centre,
    )
    shape = BowlShape(
        curves=curves,
        rim_radius=curves[0].at(curves[0].start)[0],
        shoulder=shoulder,
        jaws=jaws,
        tenon_diameter=tenon.neck,
        tenon_end_diameter=tenon.end,
        tenon_length=tenon.length,
        size=0.0,
    )
    # closed along the face
    size = volume_of_revolution([(0.0, 0.0), *outside_with_tenon(shape, job)])
    return dataclasses.replace(shape, size=size)


def outside_with_tenon(blank: BowlShape, job: Job) -> Points:
    """The turned outside of the blank from the rim to the middle of its tenon's end face."""
    end, back = blank.tenon_end_diameter / 2, job.blank.height
    return (*blank.outside, (end, back), (0.0, back))
