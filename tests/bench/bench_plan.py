"""How long plans and charts take.

Not part of the tests: `python -m pytest -n0 -s tests/bench/bench_plan.py`. Figures once measured
stand in DEVELOPERS.md.
"""

import dataclasses
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable

import pytest

from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest import chains
from templategen.nest.chart import make_chart
from templategen.nest.planner import make_plan
from templategen.trade.records import Cutter, Job, Shop

JAWS = (70, 100, 130, 200)
RADII = (65, 80, 105, 135, 170, 210)
FLOOR = """
import json, numpy, typer, templategen.cli.main, templategen.nest.planner
import templategen.inputs.starters, templategen.trade.wood, templategen.parts.cautions
app = typer.Typer()
@app.command()
def nothing() -> None: pass
app(args=[], standalone_mode=False)
"""  # what `plan` imports, and what typer itself imports when a command runs


def six_cutters() -> tuple[Job, Shop]:
    """The 400 × 180 demo blank and an invented shop of six cutters and four sets of jaws."""
    shop = demo_shop()
    cutters = tuple(Cutter(id=f"R{r}", radius=r, kerf=9) for r in RADII)
    jaws = tuple(j for j in shop.jaws if j.true_circle in JAWS)
    return demo_job(), dataclasses.replace(shop, cutters=cutters, jaws=jaws)


def _median(task: Callable[[], object], rounds: int) -> float:
    """Median processor time of a task in this process, s."""
    taken = []
    for _ in range(rounds):
        start = time.process_time()
        task()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


@pytest.mark.parametrize("with_suggestions", [False, True])
def test_plan(with_suggestions: bool) -> None:
    """A plan for six cutters on a 400 × 180 blank."""
    job, shop = six_cutters()

    def plan() -> int:
        chains._cut_table.cache_clear()
        chains._coarse_grid.cache_clear()
        return len(make_plan(job, shop, with_suggestions=with_suggestions).bowls)

    assert plan() == 4
    took = _median(plan, 21)
    wording = "with" if with_suggestions else "without"
    sys.stdout.write(f"plan {wording} suggestions and other sets {took * 1e3:.1f} ms\n")


def test_chart() -> None:
    """A chart of 300 blanks for six cutters."""
    job, shop = six_cutters()
    diameters = [220.0 + 15 * n for n in range(20)]
    heights = [80.0 + 9 * n for n in range(15)]
    took = _median(lambda: make_chart(job, shop, diameters=diameters, heights=heights), 3)
    sys.stdout.write(f"chart of 300 blanks {took:.2f} s\n")


def _whole(*words: str) -> float:
    """Median of seven whole processes, s."""
    taken = []
    for _ in range(7):
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, capture_output=True, env=os.environ)
        taken.append(time.perf_counter() - start)
    return sorted(taken)[3]


def test_whole_process() -> None:
    """`plan` as a process against one that only imports what it needs."""
    floor = _whole("-c", FLOOR)
    plan = _whole("-m", "templategen", "plan")
    sys.stdout.write(
        f"imports {floor * 1e3:.0f} ms, plan {plan * 1e3:.0f} ms: {plan / floor:.2f} x\n"
    )
    assert plan < 5 * floor
