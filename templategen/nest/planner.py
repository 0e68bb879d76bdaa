"""From a job and a shop to a finished plan: the best chain, what else there is, what would help."""

import dataclasses

from templategen.nest.chains import find_chain
from templategen.nest.findings import many_settings
from templategen.nest.other_sets import other_sets
from templategen.nest.plan import Finding, Plan
from templategen.nest.plan_building import build_plan
from templategen.nest.search import Chain
from templategen.nest.suggestions import suggestions
from templategen.nest.tenon_choice import blank_options
from templategen.nest.wished import even_on_marks, with_wanted
from templategen.trade.records import Job, Shop


def make_plan(job: Job, shop: Shop, *, with_suggestions: bool = True) -> Plan:
    """The best plan the shop's cutters and jaws allow for the job.

    Args:
        job: checked job.
        shop: checked shop with at least one cutter.
        with_suggestions: whether changes that would give more bowls are tried and listed.

    Returns: the plan; a rule that cannot be met is a finding, never silently bent.

    Raises:
        InputError: the blank, the tenon, the wood or a pinned cut cannot be.
    """
    starts, own = blank_options(job, shop), job.units.grid
    found = find_chain(job, shop, starts, grid=own)
    findings: list[Finding] = []
    if job.nest.wanted:
        found, findings = with_wanted(job, shop, starts, found, grid=own)
    chain = found.chain or Chain(shapes=(starts[0].shape,))
    plan = build_plan(job, shop, chain)
    findings += plan.findings
    if found.marks > own or not found.is_whole:
        findings.append(many_settings(job, found.marks, is_whole=found.is_whole))
    if found.even_marks is not None and found.even_marks != own:
        findings.append(even_on_marks(job, found.even_marks))
    plan = dataclasses.replace(plan, findings=tuple(findings), marks=found.marks)
    if with_suggestions:
        findings += suggestions(plan, grid=found.marks)
        sets = other_sets(plan, starts, found)
        plan = dataclasses.replace(plan, findings=tuple(findings), sets=sets)
    return plan
