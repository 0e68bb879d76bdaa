"""What a person states of a log: from words and from a job file."""

from pathlib import Path

import pytest
from builders import EXAMPLES

from templategen.app.logs import LogWishes, make_log_chart, open_log
from templategen.errors import InputError
from templategen.messages import Wording
from templategen.trade.choices import LogRim


def test_words_go_before_the_job_file(tmp_path: Path) -> None:
    """A log is the job's own, as far as the words of this run say nothing else."""
    job = tmp_path / "job.toml"
    job.write_text(
        f'shop = "{EXAMPLES / "lakeside-shop.toml"}"\n'
        "[blank]\ndiameter = 400\nheight = 180\n[log]\ndiameter = 500\nlength = 1000\npith = 25\n"
    )
    log = open_log(LogWishes(job=job)).job.log
    assert log is not None
    assert (log.diameter, log.length, log.pith, log.rim) == (500, 1000, 25, LogRim.PITH)
    log = open_log(LogWishes(job=job, size="18 x 30 in", rim="bark")).job.log
    assert log is not None
    assert (log.diameter, log.length, log.pith, log.rim) == (457.2, 762, 25, LogRim.BARK)


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        (LogWishes(), "log: no log is named; write it as 460x900"),
        (LogWishes(size="460"), "log: '460' is not diameter x length; write it as 460x900"),
        (LogWishes(size="460x900", pith="deep"), "command line: log.pith: "),
        (LogWishes(size="460x900", rim="up"), "command line: log.rim: "),
        (LogWishes(size="460x90"), "command line: log.end_trim: leaves nothing of the log"),
    ],
)
def test_faults_name_their_place(wishes: LogWishes, said: str) -> None:
    """A slip in the words is one line with its place."""
    with pytest.raises(InputError) as raised:
        open_log(wishes)
    (line,) = raised.value.lines(Wording("en"))
    assert line.startswith(said)


def test_a_log_without_a_bowl_says_so() -> None:
    """A log too thin for the least bowl is a fault with its mend, not an empty table."""
    with pytest.raises(InputError, match="gives no blank"):
        make_log_chart(open_log(LogWishes(size="90x900")))
