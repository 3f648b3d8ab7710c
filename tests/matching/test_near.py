"""Keys one edit away: the table finds what trying every edit finds."""

import random

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.matching.near import _ASKED_OFTEN, NearKeys

KEYS = st.text(alphabet="012ABZ", min_size=1, max_size=6)


@settings(max_examples=200)
@given(known=st.sets(KEYS, max_size=40), asked=KEYS)
def test_the_table_finds_what_trying_every_edit_finds(known, asked):
    near = NearKeys(sorted(known))
    assert near.by_table(asked) == near.by_edits(asked)


def test_each_family_of_slip_is_found_and_two_slips_are_not():
    near = NearKeys(["241180", "241181", "214180", "24118", "2411800", "251181", "421810"])
    assert near.by_table("241180") == {"241181", "214180", "24118", "2411800"}


def test_asking_often_changes_no_answer():
    rng = random.Random(7)
    keys = [f"{rng.randrange(10_000):04}" for _ in range(300)]
    near = NearKeys(dict.fromkeys(keys))
    first = [near.near(key) for key in keys]
    for _ in range(_ASKED_OFTEN // len(keys) + 1):
        assert [near.near(key) for key in keys] == first
