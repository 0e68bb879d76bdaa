"""How dry a rough-out is: the same figures that its plan and tag state."""

from pathlib import Path

import pytest

from templategen.app.drying import DryingWishes, open_weighings
from templategen.app.jobs import open_job
from templategen.app.plans import figures_of, make_plan

CUTTERS = "".join(
    f'[[cutters]]\nid = "R{r}"\nradius = {r}\nkerf = 9\n' for r in (80, 105, 135, 170)
)
JAWS = "".join(
    f'[[jaws]]\nid = "{d}"\ntrue_circle = {d}\ndepth = 14\n' for d in (50, 70, 100, 130, 160, 200)
)
JOB = (
    'title = "Shed"\ndate = 2026-05-02\nshop = "{shop}"\n'
    '[blank]\ndiameter = 400\nheight = 180\nwood = "American sycamore"\n'
)
WISHES = 'wall = "drying"\nfinal_moisture = 7\n'


def _files(folder: Path) -> dict[str, Path]:
    """The same wishes, stated by the shop for all its jobs, or by the job itself (invented)."""
    (folder / "ruled.toml").write_text(f"{CUTTERS}{JAWS}[rules.nest]\n{WISHES}")
    (folder / "plain.toml").write_text(CUTTERS + JAWS)
    jobs = {"by the shop": JOB.format(shop="ruled.toml")}
    jobs["by the job"] = JOB.format(shop="plain.toml") + f"[nest]\n{WISHES}"
    for name, text in jobs.items():
        (folder / f"{name}.toml").write_text(text)
    return {name: folder / f"{name}.toml" for name in jobs}


def test_the_shops_rules_count_as_the_jobs_own(tmp_path: Path) -> None:
    """Both give one plan, and a weighed bowl the target and the dry mass of the plan of its tag."""
    outlines = []
    for job in _files(tmp_path).values():
        plan = make_plan(open_job(job))
        outlines.append([bowl.outline for bowl in plan.bowls])
        planned = figures_of(plan).bowls[1]
        assert planned.dry_mass is not None
        record = tmp_path / "r.csv"
        record.write_text(f"identity,date,mass_g\n{planned.identity},2026-05-02,4310\n")
        (bowl,) = open_weighings(record, DryingWishes(job=job, draw=False)).bowls
        assert bowl.target == 7
        volume = next(g for g in bowl.progress.grounds if "volume" in str(g.ground))
        assert volume.mass_g == pytest.approx(planned.dry_mass * 1000)
    assert outlines[0] == outlines[1]
