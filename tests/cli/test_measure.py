"""The command ``measure``: radius and how far it may be out, by another route."""

import re

import pytest
from commands import Run
from scipy.optimize import brentq  # type: ignore[import-untyped]


@pytest.mark.parametrize(("chord", "rise"), [(120, 20), (90, 14.5), (200, 16)])
def test_radius_and_uncertainty(run: Run, chord: float, rise: float) -> None:
    """The circle through the three measured points, and the two for a rise 0.25 mm out.

    scipy solves ``R - sqrt(R² - (c/2)²) = s`` for R: the definition of the rise of an arc.
    """

    def radius(s: float) -> float:
        half = chord / 2
        return float(brentq(lambda r: r - (r * r - half * half) ** 0.5 - s, half, 1e4))

    code, out, _ = run("measure", "--chord", str(chord), "--rise", str(rise))
    assert code == 0
    found = re.match(r"radius ([\d.]+) mm \(.*\), ± ([\d.]+) mm", out)
    assert found is not None
    assert float(found[1]) == pytest.approx(radius(rise), abs=0.006)
    spread = (radius(rise - 0.25) - radius(rise + 0.25)) / 2
    assert float(found[2]) == pytest.approx(spread, abs=0.06)
    assert "outermost corner of the tip" in out


def test_what_is_typed_in_inches_is_answered_in_inches(run: Run) -> None:
    """A chord of 12 in with a rise of 1.5 in, by hand: c²/(8s) + s/2 = 12.75 in.

    A rise 0.25 mm out: 0.25 (c²/(8s²) - 1/2) = 1.875 mm, 0.07 in.
    """
    out = run("measure", "--chord", "12in", "--rise", "1.5in")[1]
    assert out.startswith("radius 12 3/4 in (323.85 mm), ± 0.07 in if the rise is read to 0.01 in")
