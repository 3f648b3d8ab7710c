"""The quick forms of plain figures are those of the rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.matching.engine.hashing import text_hash
from partsdb.matching.engine.sheet_forms import forms_of, spreadsheet_table
from partsdb.rules.spreadsheet import spreadsheet_forms


@given(st.text(alphabet="0123456789", min_size=1, max_size=18))
def test_figures_have_the_forms_of_the_rule(number: str) -> None:
    assert sorted(forms_of(number)) == sorted(spreadsheet_forms(number))


@pytest.mark.parametrize(
    "number", ["999999999999", "125000000000", "135000000000", "100000000000000", "000123456789012"]
)
def test_rounding_up_and_half_ways_are_those_of_the_rule(number: str) -> None:
    assert sorted(forms_of(number)) == sorted(spreadsheet_forms(number))


NUMBERS = ["24-1190", "7E12", "0012", "XR9\n1-2", "3-12", "", "1.50", "MAR-05", "12345", "5-Mar"]


def test_the_table_holds_every_number_at_risk_under_its_row() -> None:
    hashes, rows = spreadsheet_table(NUMBERS)
    held = set(zip(hashes.tolist(), rows.tolist(), strict=True))
    for row in (1, 2, 4, 6, 7, 9):
        forms = spreadsheet_forms(NUMBERS[row])
        assert forms and {(text_hash(form), row) for form in forms} <= held
    assert {row for _, row in held} <= {0, 1, 2, 4, 6, 7, 9}
