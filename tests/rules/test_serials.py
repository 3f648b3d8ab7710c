"""Serial ranges decide conditions where they can, and leave them open where they cannot.

Examples are of common practice, no source.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.serials import decide, within


@pytest.mark.parametrize(
    ("condition", "limits"),
    [
        ("from serial 4000", ("4000", "")),
        ("only for serials up to 3999", ("", "3999")),
        ("up to serial 3999", ("", "3999")),
        ("only for serials 4000 to 5000", ("4000", "5000")),
        ("only for serials from Q33-0900", ("Q33-0900", "")),
        ("only for serial range 100 to 200", ("100", "200")),
        ("From serial number A100.", ("A100", "")),
        ("needs adapter AQF-14-18S", None),
        ("serial number on the plate", None),
        ("old-style block", None),
    ],
)
def test_a_condition_that_names_serials_says_from_where_to_where(condition, limits) -> None:
    """A limit is where the condition holds and the number beside it, outside, does not."""
    if limits is None:
        assert decide([condition], "4000").open == (condition,)
        return
    first, last = limits
    for limit, outside in ((first, -1), (last, 1)):
        if limit:
            assert decide([condition], limit).met == (condition,)
            assert decide([condition], beside(limit, outside)).broken == (condition,)
        else:
            # An open end: far beyond the other limit it still holds.
            far = beside(first or last, -1_000_000 if outside < 0 else 1_000_000)
            assert decide([condition], far).met == (condition,)


def beside(serial: str, step: int) -> str:
    """Return the serial so many numbers on, never below zero: Q33-0900 and -1 give Q33-899."""
    head, number = re.fullmatch(r"(.*?)(\d+)", serial).groups()
    return f"{head}{max(int(number) + step, 0)}"


@pytest.mark.parametrize(
    ("serial", "first", "last", "expected"),
    [
        ("4000", "4000", "", True),
        ("3999", "4000", "", False),
        ("10000", "4000", "", True),
        ("3999", "", "3999", True),
        ("4000", "", "3999", False),
        ("Q33-1000", "Q33-0900", "", True),
        ("Q33-100", "Q33-0900", "", False),
        ("A-4100", "4000", "", None),
        ("Q36-1000", "Q33-0900", "", None),
        ("2024-001", "2023-100", "", None),
        ("Q33", "Q33-0900", "", None),
        ("", "4000", "", None),
    ],
)
def test_digits_compare_as_numbers_and_other_shapes_are_not_compared(
    serial, first, last, expected
) -> None:
    assert within(serial, first, last) is expected


def test_without_a_serial_every_condition_stays_open() -> None:
    conditions = ("from serial 4000", "needs adapter A1")
    assert decide(conditions, "").open == conditions
    assert decide(conditions, " ").open == conditions


def test_a_serial_settles_only_what_is_about_serials() -> None:
    found = decide(("from serial 4000", "up to serial 5000", "needs adapter A1"), "5500")
    assert found.open == ("needs adapter A1",)
    assert found.met == ("from serial 4000",)
    assert found.broken == ("up to serial 5000",)


@pytest.mark.parametrize(
    ("condition", "serial", "where"),
    [
        ("only for machines from serial 4000", "4100", "met"),
        ("from serial 4000 and later", "4100", "met"),
        # More than a range: a serial alone does not meet it, and can break it.
        ("from serial 4000, with the long pin", "4100", "open"),
        ("from serial 4000, with the long pin", "3999", "broken"),
        ("from serial 4000 needs adapter AQF-14", "4100", "open"),
        ("from serial 4000 up to 5000", "5500", "open"),
        ("up to serial 3999; from serial 5000 with adapter AQF-14", "5100", "open"),
        # What excludes is read by a person.
        ("not from serial 4000", "4100", "open"),
        ("not from serial 4000", "3999", "open"),
        ("except serials 4000 to 4100", "4050", "open"),
        ("except serials 4000 to 4100", "5000", "open"),
    ],
)
def test_a_serial_settles_a_condition_only_where_nothing_else_is_in_it(condition, serial, where):
    found = decide((condition,), serial)
    assert getattr(found, where) == (condition,)
    assert len(found.open) + len(found.met) + len(found.broken) == 1


@given(st.integers(0, 10**6), st.integers(0, 10**6), st.integers(0, 10**6))
def test_a_serial_is_in_just_the_ranges_that_its_number_is_in(serial, first, last) -> None:
    assert within(str(serial), str(first), str(last)) is (first <= serial <= last)
    text = f"only for serials {first} to {last}"
    found = decide((text,), str(serial))
    assert (found.met == (text,)) is (first <= serial <= last)
    assert not found.open
