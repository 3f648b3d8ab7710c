"""Dates as lists write them: what may be two days is no day."""

from __future__ import annotations

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.days import iso_day_written, typed_iso_day


@pytest.mark.parametrize(
    ("written", "day", "source"),
    [
        ("2026-10-01", "2026-10-01", "ISO 8601"),
        ("2026-10-01T00:00:00", "2026-10-01", "ISO 8601, a workbook's date"),
        ("01.10.2026", "2026-10-01", "German lists: day first, common practice"),
        ("1. 10. 2026", "2026-10-01", "German lists: day first, common practice"),
        ("1.10.26", "2026-10-01", "German lists: day first, common practice"),
        ("31/12/2026", "2026-12-31", "31 is no month"),
        ("12/31/2026", "2026-12-31", "31 is no month"),
        ("05/05/2026", "2026-05-05", "the same day both ways"),
        ("29/02/2028", "2028-02-29", "Gregorian calendar: 2028 is a leap year"),
        ("1 Oct 2026", "2026-10-01", "English"),
        ("31. Dez 2026", "2026-12-31", "German"),
        ("3 März 2026", "2026-03-03", "German"),
        (" 2026-10-01 ", "2026-10-01", "blanks around it"),
    ],
)
def test_a_date_that_can_be_read_one_way_is_read(written: str, day: str, source: str) -> None:
    assert iso_day_written(written) == day, source


@pytest.mark.parametrize("written", ["03/04/2026", "1/12/2026", "12-01-2026"])
def test_a_date_that_may_be_two_days_is_refused_with_both(written: str) -> None:
    with pytest.raises(
        InputRefusedError, match=r"may be 2026-\d\d-\d\d or 2026-\d\d-\d\d"
    ) as refused:
        iso_day_written(written)
    assert "YYYY-MM-DD" in refused.value.hint


@pytest.mark.parametrize(
    "written", ["", "soon", "31.02.2026", "2026-13-01", "32/13/2026", "10/26", "29.02.2026", "1 Foo 2026"]
)  # fmt: skip
def test_what_is_no_day_of_the_calendar_is_refused(written: str) -> None:
    with pytest.raises(InputRefusedError, match="is no date"):
        iso_day_written(written)


@pytest.mark.parametrize(
    ("typed", "day", "source"),
    [
        ("2026-10-01", "2026-10-01", "ISO 8601"),
        ("01.10.2026", "2026-10-01", "points put the day first: common practice, no source"),
        ("31.12.2026", "2026-12-31", "points put the day first: common practice, no source"),
        (" 29.02.2028 ", "2028-02-29", "Gregorian calendar: 2028 is a leap year"),
    ],
)
def test_a_typed_date_is_iso_or_with_points(typed: str, day: str, source: str) -> None:
    assert typed_iso_day(typed) == day, source


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("03/04/2026", "with strokes some put the day first and others the month"),
        ("31/12/2026", "with strokes some put the day first and others the month"),
        ("3/4/26", "with strokes some put the day first and others the month"),
        ("2026/04/03", "with strokes some put the day first and others the month"),
        ("01.10.26", "the day and the month have two figures and the year four"),
        ("1.10.2026", "the day and the month have two figures and the year four"),
        ("31.02.2026", "'31.02.2026' is no date"),
        ("12.31.2026", "'12.31.2026' is no date"),
        ("soon", "'soon' is no date"),
        ("", "'' is no date"),
    ],
)
def test_a_typed_date_that_may_be_mistaken_is_refused_and_says_why(typed: str, why: str) -> None:
    with pytest.raises(InputRefusedError, match=why) as refused:
        typed_iso_day(typed)
    assert "YYYY-MM-DD" in refused.value.hint
    assert "DD.MM.YYYY" in refused.value.hint
