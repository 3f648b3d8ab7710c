"""How much words tell in a catalogue, and what a sample of a large one leaves as it was."""

from __future__ import annotations

from math import log

import pytest

from partsdb.matching import sense
from partsdb.matching.sense import Sense, sample_step


def test_a_word_tells_the_more_the_fewer_parts_have_it():
    found = Sense([("Ball, brass", "ball"), ("Ball, steel", "ball"), ("Seat, brass, Q33", "seat")])
    assert found.weight("q33") == log(4 / 1.5)
    assert found.weight("ball") == found.weight("brass") == log(4 / 2.5)
    assert found.weight("unheard") == log(4 / 0.5)


def test_words_count_as_they_are_read_abbreviated_or_in_german():
    found = Sense([("VLV kit", ""), ("Valve kit", ""), ("Ventil, Messing", "")])
    assert found.weight("valve") < found.weight("brass")


def test_first_words_mean_a_role_while_only_one_role_bears_them():
    found = Sense(
        [("Filter, manifold, 60 mesh", "filter"), ("Filter, manifold, 100 mesh", "filter"),
         ("Kit, upper, A", "packing kit"), ("Kit, upper, B", "valve kit"), ("Ball", "ball")]
    )  # fmt: skip
    assert found.leading_role("FILTER MANIFOLD 200 MESH") == "filter"
    assert found.leading_role("KIT UPPER") == found.leading_role("BALL") == ""


@pytest.mark.parametrize(
    ("parts", "step"), [(0, 1), (1, 1), (20_000, 1), (20_001, 2), (1_000_000, 50)]
)
def test_no_more_than_so_many_parts_are_sampled(parts: int, step: int):
    assert sample_step(parts) == step
    assert parts / step <= sense.SAMPLED
