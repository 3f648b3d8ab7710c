"""Inch marks and other quotation marks in delimited text (RFC 4180 section 2: marks are doubled)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from importers import read_price_list
from importers.rows import RowKind
from importers.stray_quotes import with_marks_doubled

HEAD = "Part no.;Description;Price EUR\n"


@pytest.mark.parametrize(
    ("cell", "read"),
    [
        ('"1/4" NPT nipple"', '1/4" NPT nipple'),
        ('"1/4" x 3/8" hose"', '1/4" x 3/8" hose'),
        ('"hose 3/8"" blue"', 'hose 3/8" blue'),
        ('"1/4" x 3/8""', '1/4" x 3/8"'),
        ('3/8" hose', '3/8" hose'),
        ('5" gauge, 2" dial', '5" gauge, 2" dial'),
        ('"Gasket; set of 4"', "Gasket; set of 4"),
        ("'single'", "'single'"),
        ("“curly”", "“curly”"),
    ],
)
def test_a_mark_stays_where_it_stood(csv_file, cell, read):
    text = read_price_list(csv_file(f"{HEAD}A-1;{cell};12,50\nA-2;Ball;1,50\n"))
    row = text.rows[1]
    assert (row.fields["description"], row.amounts) == (read, {"price": "12.50"})
    said = [each for each in text.assumptions if "not doubled, line 2 first" in each]
    assert bool(said) is (cell.startswith('"1/4" '))


def test_a_cell_of_several_lines_is_read_as_before(csv_file):
    text = read_price_list(csv_file(f'{HEAD}A-1;"Gasket ""big""\nset of 4";5,00\n'))
    assert text.rows[1].fields["description"] == 'Gasket "big" set of 4'


def test_a_mark_at_the_end_of_a_cell_ends_no_text(csv_file):
    head = '"Part no.";"Description";"Price EUR"'
    rows = '"A-1";"Nipple 1/4"";"1,50"\n"A-2";"";"1,60"\n"A-3";"Elbow 3/8"";"1,70"\n'
    text = read_price_list(csv_file(f"{head}\n{rows}"))
    assert [(row.fields["code"], row.amounts["price"]) for row in text.rows[1:]] == [
        ("A-1", "1.50"), ("A-2", "1.60"), ("A-3", "1.70"),
    ]  # fmt: skip
    assert text.rows[1].fields["description"] == 'Nipple 1/4"'
    assert any("not doubled, line 2 first" in each for each in text.assumptions)


def test_rows_that_a_mark_has_swallowed_give_their_price_to_no_other_article(csv_file):
    rows = 'A-1;"Nipple 1/4"";1,50\nA-2;Hose;1,60\nA-3;Elbow 3/8";1,70\nA-4;Ball;1,80\n'
    refused, last = read_price_list(csv_file(HEAD + rows)).rows[1:]
    assert refused.kind is RowKind.REFUSED
    assert refused.notes[0].startswith("a cell holds lines 2 to 4 with separators in them")
    assert (last.fields["code"], last.amounts["price"]) == ("A-4", "1.80")


@given(
    st.lists(
        st.lists(st.text(alphabet='ab";, \n', max_size=8), min_size=2, max_size=3),
        min_size=1, max_size=4,
    )
)  # fmt: skip
def test_text_that_keeps_the_rule_is_never_touched(rows):
    quoted = ["".join(('"', cell.replace('"', '""'), '"')) for row in rows for cell in row]
    text = ";".join(quoted) + "\n"
    assert with_marks_doubled(text, ";") == (text, 0)


@pytest.mark.parametrize(
    ("tail", "said"),
    [
        ("A-4;Seal", "the file stops within row 5, at 2 of 3 cells"),
        ("A-4;Seal kit;12,5", ""),
        ("A-4;Seal\n", ""),
    ],
)
def test_a_file_that_stops_within_a_line_is_told(csv_file, tail, said):
    text = read_price_list(csv_file(f"{HEAD}A-1;Kit;1,50\nA-2;Ball;2,50\nA-3;Seat;3,50\n{tail}"))
    assert [each[: len(said)] for each in text.skipped] == ([said] if said else [])
