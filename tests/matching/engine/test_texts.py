"""Columns of text against the same thing done one by one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.matching.engine.hashing import (
    affix_hash,
    deletion_hashes,
    finish,
    hashes_without_one,
    prefix_sums,
    text_hash,
)
from partsdb.matching.engine.heads import head_bounds, heads
from partsdb.matching.engine.number_tables import fold_hashes
from partsdb.matching.engine.texts import (
    key_texts,
    number_keys,
    plain_words,
    short_key,
    text_words,
)
from partsdb.matching.engine.vocabulary import distinct, hashes_of
from partsdb.rules.numbers import number_fold, number_key

NUMBERS = st.lists(st.text(max_size=30), min_size=1, max_size=8)
TEXTS = st.lists(
    st.text(alphabet='ABab 019./,-"()½²ºßÄé×Ωж\0', max_size=40), min_size=1, max_size=8
)


@given(NUMBERS)
def test_keys_of_a_column_are_the_rules_keys(numbers: list[str]) -> None:
    assert key_texts(numbers) == [number_key(number) for number in numbers]


@given(NUMBERS)
def test_folds_of_a_column_are_the_rules_folds(numbers: list[str]) -> None:
    expected = [text_hash(number_fold(number)) for number in numbers]
    assert fold_hashes(number_keys(numbers)).tolist() == expected


@given(TEXTS)
def test_words_of_a_column_are_those_of_each_text(texts: list[str]) -> None:
    words = text_words(texts)
    expected = [(i, text_hash(word)) for i, text in enumerate(texts) for word in plain_words(text)]
    assert list(zip(words.owner.tolist(), words.hashes.tolist(), strict=True)) == expected


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Packing kit, 3/8 in", ["PACKING", "KIT", "3/8", "IN"]),
        ('hose 3/8" x 15,5m', ["HOSE", "3/8", '"', "X", "15.5M"]),
        ("-5V to +12V (-3)", ["-5V", "TO", "12V", "-3"]),
        ("QM-390 1-1/4", ["QM", "390", "1", "1/4"]),
        ("Dichtung für Düse ½", ["DICHTUNG", "FUR", "DUSE", "1/2"]),
    ],
)
def test_a_description_is_cut_into_words(text: str, words: list[str]) -> None:
    assert plain_words(text) == words


def test_a_number_too_long_to_look_into_keeps_its_own_hash() -> None:
    long, other = "A1" * 40, "A1" * 39 + "A2"
    assert len(short_key(long)) == 48 and short_key(long) != short_key(other)
    assert key_texts([long, "B-7"]) == [short_key(long), "B7"]


@pytest.mark.parametrize("key", ["241190", "AABBA", "7", "0000", "X1Y2Z3X1Y2Z3"])
def test_hashes_without_one_sign_are_the_same_both_ways(key: str) -> None:
    keys = number_keys([key])
    hashes, _, places = hashes_without_one(prefix_sums(keys.rows), keys.rows, keys.lengths)
    assert sorted(zip(hashes.tolist(), places.tolist(), strict=True)) == sorted(
        deletion_hashes(key)
    )


def test_a_prefix_and_a_suffix_of_the_same_signs_are_told_apart() -> None:
    assert affix_hash("XQ", is_suffix=False) == text_hash("XQ") != affix_hash("XQ", is_suffix=True)


def test_hashes_of_many_are_those_of_each() -> None:
    texts = ["n:4711", "d:5.3.", "", "s:7.E12"]
    assert hashes_of(texts).tolist() == [text_hash(text) for text in texts]
    assert finish(np.zeros(1, dtype=np.uint64)).tolist() == [text_hash("")]


def test_heads_sort_as_keys_do_and_bound_what_begins_with_them() -> None:
    keys = sorted(["24", "241", "2411", "2411A", "25", "24119012345678", "Z"])
    values = heads(number_keys(keys)).tolist()
    assert values == sorted(values)
    low, high = head_bounds("241")
    inside = [key for key, value in zip(keys, values, strict=True) if low <= value <= high]
    assert inside == [key for key in keys if key.startswith("241")]


def test_distinct_values_are_sorted_once_each() -> None:
    assert distinct(np.array([3, 1, 3, 2])).tolist() == [1, 2, 3]
    assert distinct(np.zeros(0)).tolist() == []
