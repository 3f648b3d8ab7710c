"""Dates as lists write them: what may be two days is no day."""

from __future__ import annotations

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.days import iso_day_written


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
