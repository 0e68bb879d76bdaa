"""How long a club's hand-outs take.

Not part of the tests: `python -m pytest -n0 -s tests/bench/bench_club.py` runs it. The figure once
measured stands in DEVELOPERS.md. It is processor time of one process, start and shop set left out,
the least of several rounds, so that a busy machine does not count.
"""

import time
from pathlib import Path

import pytest
from builders import EXAMPLES

from templategen.app.clubs import ClubWishes, open_club, run_club

ROUNDS = 3
COUNT = 100
MOST = 0.050  # s each: 40 a second on two cores


def test_hand_outs_of_a_hundred_benches(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At most 50 ms each: plan, second look, two pages, picture, record; blanks of all sizes."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    rows = "".join(f"T{n},{260 + 2 * n},{130 + n % 60}\n" for n in range(COUNT))
    (tmp_path / "list.csv").write_text(f"name,diameter,height\n{rows}")
    wishes = ClubWishes(shop=EXAMPLES / "lakeside-shop.toml", processes=1)
    spent = []
    for n in range(ROUNDS):
        done: list[float] = []

        def note(_: int, faults: tuple[str, ...], __: tuple[str, ...]) -> None:
            assert not faults
            done.append(time.process_time())  # noqa: B023 - called before the next round

        run_club(open_club(tmp_path / "list.csv", wishes), tmp_path / f"o{n}", note)
        spent.append((done[-1] - done[0]) / (COUNT - 1))
    print(f"\nhand-outs: {min(spent) * 1000:.1f} ms each of {COUNT}")
    assert min(spent) <= MOST
