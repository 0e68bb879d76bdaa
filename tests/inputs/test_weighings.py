"""Weighing records: what reads, what is named, and that nothing else is lost. Data invented."""

from pathlib import Path
from unittest import mock

import pytest
from hypothesis import given
from hypothesis import strategies as st

from templategen.errors import InputError
from templategen.inputs.weighings import Record, mass_in_grams, read_record, with_identity

GOOD = "date,mass\n2026-05-02,4310\n2026-05-30,3020\n2026-06-27,2520\n"


def _read(tmp_path: Path, text: str | bytes) -> Record:
    path = tmp_path / "oak.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return read_record(path)


def _masses(record: Record) -> list[float]:
    return [round(w.mass_g, 6) for w in record.weighings]


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        (GOOD, [4310, 3020, 2520]),
        (GOOD.replace(",", ";"), [4310, 3020, 2520]),
        (GOOD.replace(",", "\t"), [4310, 3020, 2520]),
        ("Date ; MASS_KG\n2026-05-02 ; 4,31\n2026-05-03 ; 4.2\n", [4310, 4200]),
        ('date,mass_kg\n2026-05-02,"4,31"\n', [4310]),
        ("note,mass_lb,date\nwet,2,2026-05-02\n", [907.18474]),
        ("date,mass_oz\n2026-05-02,32\n", [907.18474]),
        ("date,mass\n2026-05-02,4.31 kg\n2026-05-03T18:30,9 lb\n", [4310, 4082.33133]),
        ("# a remark\n\ndate,mass\n\n2026-05-02,4310\n# another\n", [4310]),
        ("\ufeff" + GOOD, [4310, 3020, 2520]),
        (GOOD.replace("\n", "\r\n"), [4310, 3020, 2520]),
        (GOOD.encode("utf-16"), [4310, 3020, 2520]),
    ],
)
def test_records_as_people_keep_them(tmp_path: Path, text: str | bytes, grams: list[float]) -> None:
    """Separators, decimal commas, units (1 lb = 453.59237 g, NIST SP 811), remarks, encodings."""
    record = _read(tmp_path, text)
    assert _masses(record) == grams
    assert record.faults == ()


ROWS = [
    ("2026-02-30,3000", "'2026-02-30' is not a date; write it as 2026-05-02"),
    ("2.5.2026,3000", "'2.5.2026' is not a date; write it as 2026-05-02"),
    ("1026-05-02,3000", "'1026-05-02' is out of bounds; give a year from 1900 to 2200"),
    ("2026-06-02,", "'' is not a mass; write 1234 or 1.234 kg"),
    ("2026-06-02,-3000", "'-3000' is not a mass; write 1234 or 1.234 kg"),
    ("2026-06-02,nan", "'nan' is not a mass; write 1234 or 1.234 kg"),
    ("2026-06-02,3000 stone", "'3000 stone' is not a mass; write 1234 or 1.234 kg"),
    ("2026-06-02,0", "'0' is out of bounds; give 1 g to 2000 kg"),
    ("2026-06-02,999999999 kg", "'999999999 kg' is out of bounds; give 1 g to 2000 kg"),
    ("2026-06-02", "has 1 of the columns; fill in date and mass"),
    ("2026-06-02,3,020", "'3,020' may be one mass; write a decimal point, or put it in quotes"),
    ("2026-06-02,3", "3 g is far from the other weighings; check the unit and the bowl"),
    ('2026-06-02,"3000', None),
    ('"2026-06-02,3000', "has 1 of the columns; fill in date and mass"),
    (
        "x" * 200_000 + ",3",
        "'xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx... is not a date; write it as 2026-05-02",
    ),
]


@pytest.mark.parametrize(("row", "message"), ROWS, ids=[r[0][:24] for r in ROWS])
def test_a_bad_row_is_named_and_the_others_kept(
    tmp_path: Path, row: str, message: str | None
) -> None:
    """The bad row stands in the middle: those before and after it are all read."""
    lines = GOOD.splitlines()
    record = _read(tmp_path, "\n".join([*lines[:2], row, *lines[2:]]) + "\n")
    if message is None:
        assert _masses(record) == [4310, 3000, 3020, 2520]
    else:
        assert _masses(record) == [4310, 3020, 2520]
        assert [str(f) for f in record.faults] == [f"oak.csv: line 3: {message}"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "oak.csv: is empty; begin with the line: date,mass"),
        ("# only a remark\n", "oak.csv: is empty; begin with the line: date,mass"),
        (
            "day,weight\n1,2\n",
            "oak.csv: line 1: the columns 'day, weight' lack a date and one mass; "
            "begin with the line: date,mass_g (or mass_kg, mass_lb, mass_oz)",
        ),
        (
            "date,mass,mass_kg\n",
            "oak.csv: line 1: the columns 'date, mass, mass_kg' lack a date and one mass; "
            "begin with the line: date,mass_g (or mass_kg, mass_lb, mass_oz)",
        ),
        ("date,mass\n" + "x" * 1_000_001, "oak.csv: larger than 1 MB; this is no weighing record"),
    ],
)
def test_a_file_that_is_no_record(tmp_path: Path, text: str, message: str) -> None:
    """One line, with place and mend."""
    with pytest.raises(InputError) as caught:
        _read(tmp_path, text)
    assert str(caught.value) == message


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """Missing, and a folder."""
    with pytest.raises(InputError, match="no such file"):
        read_record(tmp_path / "none.csv")
    with pytest.raises(InputError, match="is a folder"):
        read_record(tmp_path)
    with (
        mock.patch("os.open", side_effect=PermissionError(13, "Permission denied")),
        pytest.raises(InputError, match=r"cannot be read \(Permission denied\)"),
    ):
        read_record(tmp_path / "shut.csv")


def test_pieces_are_kept_apart_and_in_order_of_date(tmp_path: Path) -> None:
    """Rows may come in any order; each bowl has its own."""
    text = (
        "identity,date,mass\nb-1,2026-05-09,90\na-1,2026-05-30,2000\na-1,2026-05-02,3000\n"
        "b-1,2026-05-02,100\nb-1\x07,2026-05-10,85\n"
    )
    record = _read(tmp_path, text)
    assert record.identities() == ("b-1", "a-1")
    assert [w.mass_g for w in record.of("a-1")] == [3000, 2000]
    assert [w.mass_g for w in record.of("b-1")] == [100, 90, 85]
    assert record.faults == ()
    only = with_identity(record, "a-1")
    assert only.identities() == ("a-1",)
    with pytest.raises(InputError, match=r"no bowl 'c' in oak.csv; it has b-1, a-1"):
        with_identity(record, "c")
    nameless = with_identity(_read(tmp_path, GOOD), "c")
    assert nameless.identities() == ("c",)
    assert len(nameless.weighings) == 3


def test_masses_with_and_without_a_unit() -> None:
    """1 oz is a sixteenth of a pound of 453.59237 g (NIST SP 811)."""
    assert mass_in_grams("16 oz", "kg") == pytest.approx(453.59237)
    assert mass_in_grams(" 2,5 ", "kg") == 2500
    assert mass_in_grams("2 stone", "kg") is None
    assert mass_in_grams("", "g") is None


@pytest.mark.property
@given(
    rows=st.lists(
        st.text(
            st.characters(codec="utf-8", exclude_characters="\r\n"),
            max_size=30,
        )
        | st.builds("2026-05-{:02d},{}".format, st.integers(0, 40), st.integers(0, 9000)),
        max_size=12,
    ),
    head=st.sampled_from(["date,mass", "identity,date,mass_kg", "mass;date", "date\tmass_lb"]),
)
def test_every_row_is_read_or_named(
    tmp_path_factory: pytest.TempPathFactory, rows: list[str], head: str
) -> None:
    """Whatever stands in a record, each row is a weighing or a fault with its line, never both."""
    path = tmp_path_factory.mktemp("record") / "r.csv"
    path.write_bytes("\n".join([head, *rows]).encode("utf-8"))
    record = read_record(path)
    asked = [n for n, t in enumerate(rows, start=2) if t.strip() and not t.startswith("#")]
    read = [w.row for w in record.weighings]
    named = [int(str(f.where).rsplit(" ", 1)[-1]) for f in record.faults]
    assert sorted(read + named) == asked
    assert all(f.mend for f in record.faults)
    assert all(1 <= w.mass_g <= 2e6 for w in record.weighings)


@pytest.mark.property
@given(data=st.binary(max_size=400))
def test_no_bytes_break_the_reader(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    """Any bytes give a record or one line that says what is wrong."""
    path = tmp_path_factory.mktemp("record") / "r.csv"
    path.write_bytes(b"date,mass\n" * (len(data) % 2) + data)
    told = "r.csv"
    try:
        told = read_record(path).name
    except InputError as error:
        told = str(error)
    assert told.startswith("r.csv")
