"""Tables, cards, JSON and CSV: whatever the width, nothing is cut and nothing runs."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.render.output import csv_text, envelope, failure, plain
from partsdb.render.tables import bullets, card, listing, section

words = st.text(alphabet="ABCabc019-./=+@ ", min_size=1, max_size=30)
numbers = st.from_regex(r"[A-Z0-9][A-Z0-9./-]{0,24}", fullmatch=True)


@given(
    rows=st.lists(st.tuples(numbers, words), min_size=1, max_size=5),
    width=st.integers(min_value=1, max_value=250),
)
def test_every_number_stands_whole_at_any_width(rows, width):
    told = [{"number": number, "description": text} for number, text in rows]
    shown = listing(told, width, wrap=("description",))
    for number, _ in rows:
        assert number in shown


@given(text=st.text(alphabet="abc -", min_size=1, max_size=200), width=st.integers(20, 200))
def test_a_wrapped_text_keeps_every_word(text, width):
    shown = card({"description": text}, width)
    assert shown.split()[1:] == text.split() or not text.split()


def test_a_table_that_has_no_room_becomes_cards():
    rows = [{"number": "N" * 60, "maker": "M" * 60}]
    assert listing(rows, 200).startswith("number")
    assert listing(rows, 110) == f"number  {'N' * 60}\nmaker   {'M' * 60}"


def test_a_column_without_any_value_is_left_out():
    rows = [{"number": "1", "stock": ""}, {"number": "2", "stock": None}]
    assert "stock" not in listing(rows, 120)


def test_numbers_stand_to_the_right_and_text_to_the_left():
    rows = [{"part": "a", "units": 5}, {"part": "bcd", "units": 1200}]
    assert listing(rows, 120).splitlines()[2:] == ["a             5", "bcd        1200"]


def test_a_number_with_leading_zeros_is_not_reformatted():
    assert "0029.2130" in listing([{"number": "0029.2130"}], 120)
    assert "1e5" in listing([{"number": "1e5"}], 120)


def test_nothing_is_said_in_words():
    assert listing([], 120) == "nothing found"


def test_a_section_is_underlined_to_its_length():
    assert section("Claims", "x") == "Claims\n------\nx"


def test_bullets_keep_long_numbers_whole():
    long = "0061.2850-" * 8
    assert long in bullets([f"order {long} today"], 30)


class Colour(StrEnum):
    RED = "red"


@dataclass(frozen=True)
class Thing:
    colour: Colour
    parts: tuple[int, ...]
    share: Fraction
    where: Path
    inner: dict[str, object]


def test_every_value_has_a_form_in_json():
    thing = Thing(
        Colour.RED, (1, 2), Fraction(1, 3), Path("a"), {"x": None, "y": frozenset({"b", "a"})}
    )
    assert plain(thing) == {
        "colour": "red", "parts": [1, 2], "share": "1/3", "where": "a",
        "inner": {"x": None, "y": ["a", "b"]},
    }  # fmt: skip


class Row(NamedTuple):
    """A row as the store gives it."""

    number: str
    items: tuple[Row, ...] = ()


def test_a_row_of_the_store_is_an_object_in_json_and_a_tuple_a_list():
    row = Row("24-1180", (Row("26-1213"),))
    assert plain({"rows": (row,), "size": (1, 2)}) == {
        "rows": [{"number": "24-1180", "items": [{"number": "26-1213", "items": []}]}],
        "size": [1, 2],
    }


def test_the_envelopes_are_those_of_the_contract():
    assert json.loads(envelope({"a": 1}, ("mind",))) == {
        "schema": 1, "ok": True, "data": {"a": 1}, "cautions": ["mind"],
    }  # fmt: skip
    assert json.loads(failure("store", "gone", "init")) == {
        "schema": 1, "ok": False, "error": {"code": "store", "message": "gone", "hint": "init"},
    }  # fmt: skip


def test_what_is_no_number_is_never_written_as_one():
    with pytest.raises(ValueError, match="not JSON compliant"):
        envelope({"share": float("nan")})


@given(st.lists(st.text(max_size=20), min_size=1, max_size=4))
def test_no_cell_of_csv_runs_as_a_formula_and_none_is_lost(cells):
    row = {f"c{n}": cell for n, cell in enumerate(cells)}
    text = csv_text([row])
    (read,) = csv.DictReader(io.StringIO(text, newline=""))
    for name, cell in row.items():
        whole = cell.replace("\r\n", "\n").replace("\r", "\n")
        assert read[name] in (whole, f"'{whole}")
        runs = read[name].startswith(("=", "+", "-", "@", "\t", "\r"))
        assert not runs or read[name].lstrip("+-").replace(",", ".").replace(".", "", 1).isdigit()


def test_rows_of_different_keys_share_one_header():
    assert csv_text([{"a": 1}, {"b": 2}]) == "a,b\n1,\n,2"
    assert csv_text([]) == ""


PLAIN_DATA = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner, max_size=4),
    max_leaves=20,
)  # fmt: skip


@given(data=PLAIN_DATA)
def test_an_envelope_is_written_as_the_standard_library_writes_it(data):
    whole = {"schema": 1, "ok": True, "data": data, "cautions": []}
    assert envelope(data) == json.dumps(whole, ensure_ascii=False, indent=2)
