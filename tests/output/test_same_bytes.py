"""The same input gives the same bytes, whatever the process printed before."""

import hashlib
import subprocess
import sys

from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.lib.rl_accel import fp_str

from templategen.output.pdf import number

PACKS = """
import dataclasses, hashlib, sys
from templategen.inputs.starters import demo_job, demo_shop
from templategen.nest.planner import make_plan
from templategen.output.pdf import write_pdf
from templategen.proof.recipe import recipe_bytes
from templategen.parts.registry import make_parts
from templategen.parts.style import PrintStyle
from templategen.sheets.cover import make_pack
from templategen.trade.paper import paper_named
from templategen.messages import speak

JOBS = {
    "a": (250.0, 100.0, "a4", "Ørsted’s cherry, 3½ in"),
    "b": (330.0, 150.0, "letter", "Žluťoučký ash ² ø"),
    "c": (250.0, 100.0, "a3", "Ørsted’s cherry, 3½ in"),
}
JOBS["d"] = JOBS["a"]
for key in sys.argv[1]:
    diameter, height, paper, title = JOBS[key]
    speak("de" if key == "d" else "en")
    job = demo_job()
    blank = dataclasses.replace(job.blank, diameter=diameter, height=height)
    job = dataclasses.replace(job, title=title, blank=blank)
    plan = make_plan(job, demo_shop())
    parts = make_parts(plan, kinds=(), style=PrintStyle(units=job.units))
    laid = make_pack(plan, parts, paper=paper_named(paper), units=job.units)
    data = write_pdf(laid, title=title, attachments={"recipe": recipe_bytes(plan, laid)})
    print(hashlib.sha256(data).hexdigest())
"""  # invented jobs


def _made(order: str) -> list[str]:
    ran = subprocess.run(
        [sys.executable, "-c", PACKS, order], check=True, capture_output=True, text=True
    )
    return ran.stdout.split()


def test_a_pack_is_the_same_whatever_was_printed_before() -> None:
    """Packs made first, after others of other letters, papers and languages, and again: alike."""
    a, b, german = _made("a"), _made("b"), _made("d")
    assert len(a[0]) == hashlib.sha256().digest_size * 2
    mixed = _made("bcdaabd")
    assert len({a[0], b[0], german[0]}) == 3
    assert mixed[3:5] == [a[0], a[0]]
    assert [mixed[0], mixed[5]] == [b[0], b[0]]
    assert [mixed[2], mixed[6]] == [german[0], german[0]]


@settings(deadline=None)
@given(st.one_of(st.floats(-2e4, 2e4), st.floats(-12, 12), st.floats(-1e-5, 1e-5)))
def test_numbers_are_written_as_reportlab_writes_them(value: float) -> None:
    """Against reportlab's own writer of numbers."""
    assert number(value) == fp_str(value)
