"""Keys one edit away: the tables find what trying every edit finds."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.matching import near as near_module
from partsdb.matching.near import _ASKED_OFTEN, NearKeys

KEYS = st.text(alphabet="012ABZ", min_size=1, max_size=6)


@settings(max_examples=200)
@given(known=st.sets(KEYS, max_size=40), asked=KEYS)
def test_the_tables_find_what_trying_every_edit_finds(known, asked):
    near = NearKeys(sorted(known))
    assert near.by_rests(asked) == near.by_table(asked) == near.by_edits(asked)


def test_each_family_of_slip_is_found_and_two_slips_are_not():
    near = NearKeys(["241180", "241181", "214180", "24118", "2411800", "251181", "421810"])
    slips = {"241181", "214180", "24118", "2411800"}
    assert near.by_table("241180") == near.by_rests("241180") == slips


def test_without_keys_nothing_is_near_by_any_way():
    near = NearKeys([])
    assert near.by_edits("24") == near.by_rests("24") == near.by_table("24") == set()


@pytest.mark.parametrize("few", [0, 20_000])
def test_asking_often_changes_no_answer(few, monkeypatch):
    monkeypatch.setattr(near_module, "_FEW_KEYS", few)
    rng = random.Random(7)
    keys = [f"{rng.randrange(10_000):04}" for _ in range(300)]
    near = NearKeys(dict.fromkeys(keys))
    first = [near.near(key) for key in keys]
    for _ in range(_ASKED_OFTEN // len(keys) + 1):
        assert [near.near(key) for key in keys] == first
