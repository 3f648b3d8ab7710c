"""Cells on one line: what is not seen goes, what was lost on the way is told with its cell."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from importers.cell_text import tidied


@pytest.mark.parametrize(
    ("cell", "text", "said"),
    [
        ("Ventil\u00a0\u00fcber\nzwei  Zeilen", "Ventil \u00fcber zwei Zeilen", ""),
        ("KV\u00ad-24\u200b12", "KV-2412", ""),
        ("Schl\ufffduche", "Schl\ufffduche", "B7 holds a character that was lost"),
        # U+00E4 is C3 A4 in UTF-8, and those are "\u00c3\u00a4" in cp1252 (by hand)
        ("Schl\u00c3\u00a4uche", "Schl\u00c3\u00a4uche", "was perhaps 'Schl\u00e4uche'"),
        ("24\x1b[2J-1180", "24[2J-1180", "B7 holds signs that steer a terminal"),
        ("24\u202e-1180", "24-1180", "B7 holds signs that steer a terminal"),
    ],
)
def test_a_cell_is_one_line_of_what_is_seen(cell, text, said):
    found, odd = tidied(cell, place="B7")
    assert found == text
    assert bool(odd) is bool(said)
    assert all(said in each for each in odd)


@given(st.text(max_size=30))
def test_what_was_made_tidy_stays_as_it_is(text):
    once, _ = tidied(text, place="A1")
    assert tidied(once, place="A1")[0] == once


@pytest.mark.parametrize("text", ["Hose Ø½ in", "Nipple 2×¼", "»MENÜ« O-Ring", "Öl für Größe"])
def test_a_text_that_is_right_is_not_said_to_be_misread(text):
    assert tidied(text, place="B2") == (text, [])
