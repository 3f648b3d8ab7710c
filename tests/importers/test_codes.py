"""Article numbers that a spreadsheet has damaged."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from importers.codes import PLAIN_CODE, Code, read_code
from importers.raw import DATE, LOST_DIGITS, NUMBER

CHECKS = {
    check["topic"]: check
    for check in json.loads(
        (Path(__file__).parents[2] / "fixtures" / "check_values.json").read_text(encoding="utf-8")
    )
    if check["topic"].startswith("import.sku")
}


def test_the_handbooks_scientific_code_is_refused():
    check = CHECKS["import.sku_sci"]
    assert check["expected"] == "REJECT_LOST_DIGITS"
    assert "digits lost" in read_code(check["inputs"]["text"]).refused


def test_the_handbooks_date_code_asks_which_of_two_it_was():
    check = CHECKS["import.sku_date"]
    code = read_code("5-Mar", DATE, check["inputs"]["cell_value"])
    assert check["expected"].removeprefix("REVIEW: ") in code.notes[0]
    assert "code shows as a date" in code.notes[0]


@pytest.mark.parametrize("text", ["1.23E+11", "1,23E+11", "1E+05", "4.0E12", "1.2e+9"])
def test_scientific_notation_refuses_the_code(text):
    assert "digits lost" in read_code(text).refused


@pytest.mark.parametrize("text", ["1E5", "2E10", "E-11", "AE+11", "1.2-2.0", "3E-5X", "12E"])
def test_a_number_that_only_resembles_it_is_left_alone(text):
    code = read_code(text)
    assert (code.text, code.refused) == (text, "")


@pytest.mark.parametrize(
    "text",
    ["5-Mar", "5. Mrz", "Mar-05", "05-Mär", "2025-03-05", "05.03.2025", "3/5/2025", "2025-03-05 00:00:00",
     "1-Mai", "Dez 24"],
)  # fmt: skip
def test_a_code_that_shows_as_a_date_is_noted(text):
    code = read_code(text)
    assert code.text == text
    assert code.notes[0].startswith("code shows as a date")


@pytest.mark.parametrize(
    "text",
    [
        "3-5",
        "12-05",
        "2025-33-05",
        "45.13.2025",
        "MAR05",
        "1.2.3",
        "A5-Mar",
        "05-Marx",
        "3/5",
        "MARS-12",
    ],
)
def test_a_code_that_is_no_date_is_not_noted(text):
    assert read_code(text).notes == ()


def test_a_code_stored_as_a_number_is_noted():
    assert read_code("123", NUMBER).notes == ("code stored as a number: leading zeros may be gone",)


def test_a_code_padded_by_its_number_format_lost_no_zero():
    assert read_code("00123", NUMBER).notes == ("code stored as a number",)


def test_more_than_fifteen_digits_are_lost_in_a_number_cell():
    assert "digits lost" in read_code("1.234568E+15", LOST_DIGITS).refused


def test_a_formula_text_gives_the_code_inside():
    code = read_code('="00123"')
    assert code.text == "00123"
    assert code.notes


@pytest.mark.parametrize(
    "text",
    ["24-120100", "S-100001", "AB1234", "1E5", "JAN2026", "5-12345", "2026", "MAR-12345", "0012"],
)
def test_what_is_taken_for_a_plain_code_at_once_would_be_found_plain_the_long_way_too(text):
    assert PLAIN_CODE.fullmatch(text)
    assert read_code(text) == Code(text)


@pytest.mark.parametrize("text", ["5-Mar", "MAR-2026", "1.23E+11", "1.10.2026", '="0012"', "3-5"])
def test_what_may_be_damaged_is_never_taken_for_plain_at_once(text):
    assert not PLAIN_CODE.fullmatch(text)
