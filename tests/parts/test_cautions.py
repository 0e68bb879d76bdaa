"""The cautions of a pack."""

import dataclasses

from builders import make_shop

from templategen.messages import ENGLISH_WORDING
from templategen.parts.cautions import CAUTIONS, cautions_for
from templategen.trade.records import Rules


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


def test_cautions_are_sentences_that_cover_the_trade() -> None:
    """The usual cautions of coring (common practice, no source)."""
    texts = [ENGLISH_WORDING.text(caution) for caution in CAUTIONS]
    assert all(text[0].isupper() and text.endswith(".") for text in texts)
    together = " ".join(texts).lower()
    for needed in (
        "face shield",
        "lock",
        "speed",
        "mass",
        "sound wood",
        "out of the line of the rim",
        "makers' limits",
        "never ratings",
        "local codes",
        "qualified",
    ):
        assert needed in together
