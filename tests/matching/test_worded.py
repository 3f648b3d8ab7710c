"""Words as they are searched for: every spelling of a word leads to the parts that mean it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.matching import worded
from partsdb.matching.worded import Postings, best_by_words, search_words, spelled_as
from partsdb.rules.descriptions import german_words
from partsdb.rules.pieces import abbreviations

WORDS = sorted({*abbreviations(), *german_words(), "valve", "hose", "q33", "0.015", "größe"})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Valve kit, 1/4 NPT", ("VALVE", "KIT", "1/4", "NPT")),
        ("VLV Kit, VALVE", ("VALVE", "KIT")),
        ("Ventil, Messing", ("VENTIL", "BRASS")),
        ("Schlauch 12,5 mm", ("HOSE", "12.5", "MM")),
        ("", ()),
    ],
)
def test_words_are_plain_once_each_and_in_english_where_we_know_it(text, words):
    assert search_words(text) == words


@given(st.lists(st.sampled_from(WORDS), max_size=6))
def test_a_description_is_found_by_each_of_its_words_in_every_spelling(written):
    text = ", ".join(written)
    for word in search_words(text):
        assert any(word in search_words(spelled) for spelled in spelled_as(word))
        for spelled in spelled_as(word):
            assert word in search_words(spelled)


def test_the_part_that_shares_the_rarest_words_comes_first_and_of_equals_the_lower_id():
    texts = ["ball brass", "ball steel", "ball steel polished", "seat", "ball steel"]
    held = Postings(enumerate(texts, start=1))
    found = best_by_words(("BALL", "STEEL", "POLISHED"), held.holders, parts=5, limit=10)
    assert found == [3, 2, 5, 1]
    assert best_by_words(("BALL",), held.holders, parts=5, limit=2) == [1, 2]
    assert best_by_words(("NOTHING",), held.holders, parts=5, limit=2) == []


def test_words_that_lead_to_too_many_parts_propose_none(monkeypatch):
    monkeypatch.setattr(worded, "ENTRIES_SEEN", 3)
    held = Postings(enumerate(["ball a", "ball b", "ball b", "ball c", "ball c"], start=1))
    assert best_by_words(("BALL",), held.holders, parts=5, limit=9) == []
    assert best_by_words(("BALL", "B"), held.holders, parts=5, limit=9) == [2, 3]
    # Together they lead to more than are looked at: the rarer one alone is.
    assert best_by_words(("A", "B", "C"), held.holders, parts=5, limit=9) == [1, 2, 3]
