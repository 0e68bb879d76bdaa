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
