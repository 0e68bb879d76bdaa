"""How a pack is worded: lengths in its units."""

import pytest

from templategen.parts.style import PrintStyle
from templategen.units import Units


@pytest.mark.parametrize(
    ("units", "text"),
    [
        (Units.MM, "381 × 12.7 mm"),
        (Units.IN, "15 × 1/2 in"),
        (Units.BOTH, "381 × 12.7 mm (15 × 1/2 in)"),
    ],
)
def test_a_pair_names_its_unit_once(units: Units, text: str) -> None:
    """In both units it is a pair each; worked by hand from 25.4 mm (exact, NIST SP 811)."""
    assert PrintStyle(units=units).lengths((381.0, 12.7)) == text
