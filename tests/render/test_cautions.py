"""Cautions where there is little room: one line, and none of them gone."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from partsdb.render.cautions import brief
from partsdb.rules.cautions import cautions_for, hearts

TEXTS = sorted(hearts())
OTHERS = [
    "contents of 24-9000 are not stated",
    "the columns of this list are not those of the last",
]


@given(st.lists(st.sampled_from([*TEXTS, *OTHERS]), unique=True))
def test_every_caution_is_in_it_and_all_safety_texts_in_one_line(cautions):
    said = brief(cautions)
    safety = [each for each in cautions if each in TEXTS]
    assert len(said) == bool(safety) + len(cautions) - len(safety)
    assert all(hearts()[each] in said[0] for each in safety)
    assert said[bool(safety) :] == [each for each in cautions if each in OTHERS]


def test_it_says_where_the_whole_texts_are():
    [line] = brief(cautions_for(["injection"]))
    assert line.endswith("(in full without --quiet)")
    assert "hospital at once" in line
