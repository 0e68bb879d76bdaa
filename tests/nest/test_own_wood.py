"""A drying wall from a job's own figures of its wood."""

import dataclasses

import pytest

from templategen.errors import InputError
from templategen.nest.rules import required
from templategen.trade.choices import Grain
from templategen.trade.records import DryingWall, OwnWood
from tests.builders import make_job


def test_a_drying_wall_uses_the_own_figures() -> None:
    """The wall of design §5 by hand, with the job's own shrinkage across and along."""
    own = OwnWood(tangential=9.0, along=0.3)
    job = dataclasses.replace(make_job(wood="Field maple", wall=DryingWall()), wood=own)
    across, along = 0.09 * 20 / 30, 0.003 * 20 / 30
    inner = (200 * (1 - across) - 8 - 3) / (1 - along)
    assert required(job, rim_radius=200)[0] == pytest.approx(200 - inner)


@pytest.mark.parametrize("across", Grain)
def test_a_drying_wall_without_shrinkage_says_which_figure_is_missing(across: Grain) -> None:
    """Own figures that lack the shrinkage of the chosen direction."""
    job = make_job(wall=DryingWall(), across=across)
    lacking = dataclasses.replace(job, wood=OwnWood(specific_gravity=0.5))
    with pytest.raises(InputError, match=f"no {across} shrinkage for own wood"):
        required(lacking, rim_radius=200)[0]
