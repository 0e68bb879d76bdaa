"""The cautions of a pack."""

import dataclasses

from templategen.messages import ENGLISH_WORDING
from templategen.parts.cautions import CAUTIONS, cautions_for
from templategen.trade.records import Rules
from tests.builders import make_shop


def test_a_shop_faster_than_the_usual_is_cautioned() -> None:
    """Over 500 rpm while coring (common practice, no source) one more caution comes first."""
    usual = make_shop()
    assert cautions_for(usual) == CAUTIONS
    fast = dataclasses.replace(usual, rules=Rules(max_coring_speed=800))
    first, *others = cautions_for(fast)
    assert tuple(others) == CAUTIONS
    text = ENGLISH_WORDING.text(first)
    assert "800 rpm" in text
    assert "500 rpm" in text
