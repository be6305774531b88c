"""Weight logs as CSV: what spreadsheets write is read, what cannot be read is said and kept, and nothing is lost."""

from __future__ import annotations

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.batch.table import ReadWeights, read_weights, write_weights
from kettleglass.batch.weights import Weighing, WeightLog
from kettleglass.errors import BadInput


def pairs(found: ReadWeights) -> list[tuple[float, float]]:
    return [(one.day, one.weight_g) for one in found.weighings]


BARE = [(0.0, 100.0), (3.0, 96.4), (7.0, 93.15)]


@pytest.mark.parametrize(
    "text",
    [
        "day,weight_g\n0,100\n3,96.4\n7,93.15\n",
        "\ufeffday,weight_g\r\n0,100\r\n\r\n3,96.4\r\n7,93.15",
        "weight_g,day\n100,0\n96.4,3\n93.15,7\n",
        "Day ; Weight_g\n0;100,0\n3;96,4\n7;93,15\n",
        "day\tweight\n0\t100\n3\t96,4\n7\t93.15\n",
        'day,weight_g\n0,100\n3,"96,4"\n7,"93,15"\n',
        "day,weight_g\n0,100 g\n3,0.0964 kg\n7,93.15 g\n",
        "0,100\n3,96.4\n7,93.15\n",
        "# a bar of mine\nday,weight_g\n7,93.15\n0,100\n3,96.4\n",
        'day,weight_g,remark\n0,100,poured\n3,96.4,\n7,93.15,"dry, cool"\n',
        "day,weight_g,,\n0,100,,\n3,96.4,,\n7,93.15,,\n",
    ],
)
def test_what_spreadsheets_write_is_read(text: str) -> None:
    for content in (text, text.encode("utf-8"), text.encode("utf-16")):
        found = read_weights(content)
        assert dict(pairs(found)) == pytest.approx(dict(BARE)) and not found.findings and not found.unread


@pytest.mark.parametrize(
    ("cells", "first"),
    [
        (("2026-03-02", "2026-03-05", "2026-03-09"), date(2026, 3, 2)),
        (("02.03.2026", "05.03.2026", "09.03.2026"), date(2026, 3, 2)),
        (("2026/3/2", "2026/3/5", "2026/3/9"), date(2026, 3, 2)),
        (("28/02/2026", "03/03/2026", "07/03/2026"), date(2026, 2, 28)),
        (("02/28/2026", "03/03/2026", "03/07/2026"), date(2026, 2, 28)),
    ],
)
def test_dates_are_read_where_they_mean_one_thing(cells: tuple[str, ...], first: date) -> None:
    text = "date,weight_g\n" + "".join(f"{one},{grams}\n" for one, (_, grams) in zip(cells, BARE, strict=True))
    found = read_weights(text)
    assert found.first_date == first and pairs(found) == BARE and not found.findings


def test_a_time_of_day_is_part_of_a_day() -> None:
    found = read_weights("date,weight_g\n2026-03-02 06:00,100\n2026-03-05T18:00:00,96.4\n")
    assert pairs(found) == [(0.25, 100.0), (3.75, 96.4)] and found.first_date == date(2026, 3, 2)


def test_dates_that_mean_two_things_are_asked() -> None:
    found = read_weights("date,weight_g\n03/04/2026,100\n05/04/2026,96.4\n")
    assert not found.weighings and len(found.unread) == 2
    assert (
        "is not a date that can be read one way" in found.findings[0].text and "2026-03-05" in found.findings[0].advice
    )


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("3,96,4", "3 cells where 2 are meant"), ("3,", "the weight is missing"), (",96.4", "the day is missing"),
        ("3,heavy", "cannot be read as a mass"), ("3,0", "not above zero"), ("3,-4", "not above zero"),
        ("3,nan", "cannot be read as a mass"), ("x,96.4", "the day “x” is not one number"),
        ("3,inf", "cannot be read as a mass"), ("1e9,96.4", "is no day of a weight log"),
        ("3", "the weight is missing"),
        ("3,96..4", "the weight “96..4” is not one number"), ('3,"1,500"', "is not one number"),
    ],
)  # fmt: skip
def test_a_row_that_cannot_be_read_is_said_and_kept(row: str, why: str) -> None:
    found = read_weights(f"day,weight_g\n0,100\n{row}\n7,93.15\n")
    assert pairs(found) == [BARE[0], BARE[2]]
    (finding,) = found.findings
    assert (finding.code, finding.level, finding.where) == ("row-unread", "caution", "line 3") and why in finding.text
    assert finding.advice
    assert row in write_weights(found.log(0.1), found.unread).replace('"96', "96")


def test_broke_is_yes_or_no() -> None:
    found = read_weights("day,weight_g,broke\n0,100,\n3,96.4,yes\n5,95,perhaps\n7,93.15,no\n")
    assert [one.broke for one in found.weighings] == [False, True, False]
    assert "perhaps" in found.findings[0].text and found.unread[0].line == 4


@pytest.mark.parametrize(
    "content", ["", "\n\n", "price,colour\n", "day,colour\n0,red\n", b"PK\x03\x04\0\0", "name\nAda\n"]
)
def test_what_is_no_weight_log_is_refused(content: str | bytes) -> None:
    with pytest.raises(BadInput) as refused:
        read_weights(content)
    assert refused.value.remedy


def test_one_impossible_date_does_not_spoil_the_others() -> None:
    found = read_weights("date,weight_g\n0202-03-02,100\n2026-03-05,96.4\n2026-03-09,93\n")
    assert found.first_date == date(2026, 3, 5) and len(found.weighings) == 2 and len(found.unread) == 1


texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=12).map(str.strip)
logs = st.lists(
    st.builds(Weighing, st.floats(-300.0, 300.0), st.floats(0.001, 1e5), texts, st.booleans()), min_size=1, max_size=12
)


@given(logs)
def test_a_log_comes_back_as_it_was_written(several: list[Weighing]) -> None:
    log = WeightLog(tuple(several), 0.1)
    found = read_weights(write_weights(log))
    assert found.weighings == log.weighings and not found.findings


@given(
    st.lists(st.tuples(st.integers(0, 400), st.floats(0.001, 1e5)), min_size=1, max_size=12),
    st.dates(date(1990, 1, 1), date(2100, 1, 1)),
)
def test_a_log_with_dates_comes_back(several: list[tuple[int, float]], first: date) -> None:
    start = min(day for day, _ in several)
    log = WeightLog(tuple(Weighing(float(day - start), grams) for day, grams in several), 0.1, first_date=first)
    found = read_weights(write_weights(log))
    assert found.weighings == log.weighings and found.first_date == first


@given(
    st.lists(
        st.lists(
            st.text(st.characters(codec="utf-8", exclude_characters="\0\r\n#"), max_size=8), min_size=1, max_size=4
        ),
        max_size=8,
    )
)
def test_no_row_is_ever_lost(rows: list[list[str]]) -> None:
    out = io.StringIO()
    csv.writer(out).writerows([["day", "weight_g"], ["0", "100"], *rows])
    found = read_weights(out.getvalue())
    filled = [row for row in rows if any(cell.strip() for cell in row)]
    assert len(found.weighings) + len(found.unread) == 1 + len(filled)
    assert len(found.findings) == len(found.unread)


@given(st.binary(max_size=200))
def test_whatever_bytes_come_the_answer_is_a_log_or_a_sentence(content: bytes) -> None:
    try:
        found = read_weights(content)
    except BadInput as refused:
        assert refused.remedy
    else:
        assert found.weighings or found.unread or not found.findings
