"""How many cases the fuzzing tests try, and the bounds that hold for each."""

import os

from hypothesis import HealthCheck, settings

DEEP = os.environ.get("HYPOTHESIS_PROFILE") == "deep"
MOST_SECONDS = 10.0
MOST_MB = 500


def cases(few: int, many: int = 20_000) -> settings:
    """`few` cases, the same ones every time, or with `HYPOTHESIS_PROFILE=deep` `many` others."""
    return settings(
        max_examples=many if DEEP else few,
        derandomize=not DEEP,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


CASES = cases(60)
