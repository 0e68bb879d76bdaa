"""Other sets of bowls from the same blank that a turner would weigh against the best plan.

Most bowls, fewest cautions, most even walls, deepest shapes, fewest changes of cutter: each with
one line on what it gives and what it gives up. They are found on the marks of the plan by short
searches, so each is a plan that can be made, but not always the very best of its kind.
"""

import dataclasses
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from templategen.messages import Figure, Joined, Text, tr, tr_count
from templategen.nest.chains import Found
from templategen.nest.cut_table import CutTable
from templategen.nest.even_search import most_even_chain, unevenness_of
from templategen.nest.findings import lengths_of
from templategen.nest.plan import Level, OtherSet, Plan
from templategen.nest.plan_building import build_plan
from templategen.nest.rules import SAME
from templategen.nest.search import ANY, Aim, Chain, TooLong, best_chain
from templategen.nest.tenon_choice import Held
from templategen.trade.choices import Objective
from templategen.trade.records import Job, Shop

MOST_SETS = 5
SET_WORK = 400  # of one search
MARKS = 4  # every so many of the plan's are tried
CLEARLY = 0.8  # a set is more even when its walls differ by this share of the plan's, or less
DEEPER = 1.1  # a set is deeper when its flattest core is by this share deeper, or more
HALVINGS = 4  # of the range of depths that are tried


Cuts = tuple[tuple[str, float, float], ...]  # cutter, entry and depth of each


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """A chain and its plan, with what it gives."""

    chain: Chain
    plan: Plan
    gives: Text


def other_sets(plan: Plan, starts: Sequence[Held], found: Found) -> tuple[OtherSet, ...]:
    """Up to five other sets of bowls, the equal ones once; none where cuts are pinned.

    Args:
        plan: the best plan.
        starts: the turned blank in each of its jaws.
        found: how the plan's chain was found.
    """
    if plan.job.nest.pinned or found.table is None or found.chain is None or not plan.cuts:
        return ()
    search = _Sets(plan=plan, starts=starts, table=found.table.on_every(MARKS), chain=found.chain)
    sets: dict[Cuts, _Made] = {}
    for made in search.all_made():
        key = _key(made.chain)
        if key in sets:  # one set for two reasons
            both = Joined((sets[key].gives, made.gives), ", ")
            sets[key] = dataclasses.replace(sets[key], gives=both)
        elif key != _key(found.chain) and not made.plan.has_stop:
            sets[key] = made
    return tuple(
        OtherSet(
            label=_label(made, plan),
            rims=tuple(bowl.rim_diameter for bowl in made.plan.bowls),
            cutters=tuple(cut.cutter.id for cut in made.plan.cuts),
            cautions=cautions_of(made.plan),
            settings=made.chain.settings,
        )
        for made in itertools.islice(sets.values(), MOST_SETS)
    )


def cautions_of(plan: Plan) -> int:
    """Number of a plan's cautions."""
    return sum(finding.level is Level.CAUTION for finding in plan.findings)


def changes_of(chain: Chain) -> int:
    """How often the cutter is changed between the cuts of a chain."""
    return sum(a.cutter != b.cutter for a, b in itertools.pairwise(chain.settings))


def _key(chain: Chain) -> Cuts:
    return tuple((s.cutter.id, s.entry_radius, s.depth_at_axis) for s in chain.settings)


def _label(made: _Made, plan: Plan) -> Text:
    """One line: what a set gives, and what it costs."""
    lost: list[Text] = []
    fewer = len(plan.bowls) - len(made.plan.bowls)
    if fewer > 0:
        lost.append(tr_count("one bowl", "{count} bowls", fewer))
    near = plan.job.nest.wanted_tolerance + SAME
    rims = [bowl.rim_diameter for bowl in made.plan.bowls]
    if not all(any(abs(rim - w) <= near for rim in rims) for w in plan.job.nest.wanted):
        lost.append(tr("wanted rims"))
    more = cautions_of(made.plan) - cautions_of(plan)
    if more > 0:
        lost.append(tr_count("one more caution", "{count} more cautions", more))
    sizes = [sum(bowl.size for bowl in one.bowls) for one in (made.plan, plan)]
    smaller = 1 - sizes[0] / sizes[1]
    if smaller > 0.005 and fewer <= 0:
        lost.append(tr("{share:.0%} of size", share=smaller))
    if not lost:
        return made.gives
    return tr("{gain}; costs {loss}", gain=made.gives, loss=Joined(tuple(lost), ", "))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sets:
    """The searches for other sets of one plan, and the chains and plans made so far."""

    plan: Plan
    starts: Sequence[Held]
    table: CutTable
    chain: Chain
    of_count: dict[int, Chain | None] = field(default_factory=dict)
    of_key: dict[Cuts, _Made] = field(default_factory=dict)

    @property
    def job(self) -> Job:
        return self.plan.job

    @property
    def shop(self) -> Shop:
        return self.plan.shop

    def all_made(self) -> Iterator[_Made]:
        """The sets, those that a turner asks for first before the others."""
        most = self.most_bowls()
        others = [self.most_even(), self.deepest(), self.fewest_changes()]
        for one in (most, self.fewest_cautions(), *others):  # fewest of all that were made
            if one is not None:
                yield one

    def best(self, table: CutTable, *, least: int, most: int, aim: Aim = ANY) -> Chain | None:
        """The best chain with a number of cuts from `least` to `most`; None for none in time."""
        try:
            counts = range(least, most + 1)
            return best_chain(self.starts, table, aim=aim, counts=counts, most_work=SET_WORK)
        except TooLong as stopped:
            chain = stopped.chain
            return chain if chain is not None and len(chain.settings) >= least else None

    def made(self, chain: Chain, gives: Text) -> _Made:
        """A chain with its plan."""
        key = _key(chain)
        if key not in self.of_key:
            made = build_plan(self.job, self.shop, chain)
            self.of_key[key] = _Made(chain=chain, plan=made, gives=gives)
        return dataclasses.replace(self.of_key[key], gives=gives)

    def best_of(self, count: int) -> Chain | None:
        """The best chain with a number of cuts; None for none."""
        if count not in self.of_count:
            chain = self.best(self.table, least=count, most=count) if count else None
            self.of_count[count] = chain
        return self.of_count[count]

    def most_bowls(self) -> _Made | None:
        """More bowls than the plan has, without its wishes."""
        have = len(self.chain.settings)
        if not self.job.nest.wanted and self.job.nest.objective != Objective.LARGEST:
            return None
        chain = self.best(self.table, least=have + 1, most=len(self.table))
        if chain is None:
            return None
        more = len(chain.settings) - have
        gives = tr_count("most bowls: one more", "most bowls: {count} more", more)
        return self.made(chain, gives)

    def fewest_cautions(self) -> _Made | None:
        """The set with the fewest cautions of all that were made, where the plan has more."""
        have = len(self.chain.settings)
        for count in range(have, max(0, have - 2), -1):
            chain = self.best_of(count)
            if chain is not None:
                self.made(chain, "")
        sets = [made for made in self.of_key.values() if not made.plan.has_stop]

        def rank(made: _Made) -> tuple[float, ...]:
            return -cautions_of(made.plan), len(made.chain.settings), made.chain.sizes

        best = max(sets, key=rank, default=None)
        if best is None or cautions_of(best.plan) >= cautions_of(self.plan):
            return None
        gives = tr("no caution")
        if number := cautions_of(best.plan):
            gives = tr_count("fewest cautions: one", "fewest cautions: {count}", number)
        return dataclasses.replace(best, gives=gives)

    def most_even(self) -> _Made | None:
        """Walls that differ clearly less, with as many bowls or one fewer."""
        height, have = self.job.nest.height_above_centre, len(self.chain.settings)
        uneven = unevenness_of(self.chain, height)
        for count in (have, have - 1):
            base = self.best_of(count)
            if base is None:
                continue
            table = self.table.on_every(2 * MARKS)
            try:
                chain = most_even_chain(self.starts, table, base, most_work=SET_WORK)
            except TooLong as stopped:
                chain = stopped.chain or base
            now = unevenness_of(chain, height)
            if now / count <= CLEARLY * uneven / have:
                show = lengths_of(self.job)
                gives = tr(
                    "most even walls: thickest less thinnest {now} a bowl, not {uneven}",
                    now=show(now / count),
                    uneven=show(uneven / have),
                )
                return self.made(chain, gives)
        return None

    def deepest(self) -> _Made | None:
        """Cores that are deeper for their rims, with as many bowls or one fewer."""
        have = len(self.chain.settings)
        shapes = self.chain.shapes[1:]
        flattest = min(shape.shoulder / (2 * shape.rim_radius) for shape in shapes)
        ratio = self.table.shoulder / (2 * self.table.rim)
        for count in (have, have - 1):
            low, high, best = flattest * DEEPER, 1.0, None
            for _ in range(HALVINGS):
                tried = low if best is None else (low + high) / 2
                order = self.table.order[ratio[self.table.order] >= tried]
                table = dataclasses.replace(self.table, order=order)
                chain = self.best(table, least=count, most=count) if count else None
                if chain is not None:
                    low, best = tried, chain
                elif best is None:
                    break
                else:
                    high = tried
            if best is not None:
                deep = min(s.shoulder / (2 * s.rim_radius) for s in best.shapes[1:])
                if deep >= flattest * DEEPER:
                    gives = tr(
                        "deepest shapes: every core at least {deep:.0%} of its rim deep, "
                        "not {flat:.0%}",
                        deep=deep,
                        flat=flattest,
                    )
                    return self.made(best, gives)
        return None

    def fewest_changes(self) -> _Made | None:
        """Fewer changes of cutter, with as many bowls or one fewer."""
        have, changes = len(self.chain.settings), changes_of(self.chain)
        if not changes:
            return None
        numbers = [int(n) for n in np.unique(self.table.cutter[self.table.order])]
        used = [
            n for n in numbers if self.shop.cutters[n] in {s.cutter for s in self.chain.settings}
        ]
        groups: list[tuple[int, ...]] = [(n,) for n in numbers]
        best: Chain | None = None
        pairs = list(itertools.combinations(used, 2)) if changes > 1 else []
        for group in [*pairs, *groups]:
            order = self.table.order[np.isin(self.table.cutter[self.table.order], group)]
            table = dataclasses.replace(self.table, order=order)
            least = have if len(group) > 1 else max(have - 1, 1)
            least = least if best is None else max(least, len(best.settings))
            chain = self.best(table, least=least, most=have)
            if chain is not None and changes_of(chain) < changes and self._ranks(chain, best):
                best = chain
        if best is None:
            return None
        gives = tr_count(
            "fewest changes of cutter: one, not {had}",
            "fewest changes of cutter: {count}, not {had}",
            changes_of(best),
            had=Figure(changes, "d", ""),
        )
        return self.made(best, gives)

    def _ranks(self, chain: Chain, best: Chain | None) -> bool:
        """Whether a chain ranks before the best of few cutters so far."""

        def rank(one: Chain) -> tuple[float, ...]:
            return len(one.settings), -one.unders, -changes_of(one), one.sizes

        return best is None or rank(chain) > rank(best)
