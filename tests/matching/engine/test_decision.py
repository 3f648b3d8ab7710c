"""The rule, fact by fact: each veto, margin and tie alone keeps a line from settling."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from partsdb.matching.engine.decision import (
    AGREED_APART,
    AGREED_BY_KEY,
    AGREED_OTHERWISE,
    FIT_STEP,
    MARGIN,
    Claim,
    Way,
    settles,
)

FIT = 80 * 100 * FIT_STEP
SURE = Claim(
    way=int(Way.KEY),
    length=7,
    said=True,
    explained=AGREED_APART,
    fit=FIT,
    rival=FIT - 1,
    letter_rival=FIT - 1,
    contradicted=False,
    other_maker=False,
    alone=True,
    learned=True,
    apart=False,
)


def test_a_sure_claim_settles() -> None:
    assert settles(SURE)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"contradicted": True}, "the veto"),
        ({"other_maker": True}, "the maker's veto"),
        ({"apart": True, "explained": AGREED_APART - 1}, "another noun"),
        ({"rival": FIT}, "a tie with a neighbour"),
        ({"rival": FIT + 1}, "a better neighbour"),
        ({"letter_rival": FIT + 1}, "a better neighbour one letter away"),
        ({"alone": False}, "another part is claimed as well"),
        ({"said": False}, "nothing said"),
        ({"explained": AGREED_BY_KEY - 1}, "too little explained"),
        ({"length": 3}, "a key too short"),
    ],
)
def test_each_doubt_alone_keeps_a_line_open(change: dict[str, int], why: str) -> None:
    assert not settles(replace(SURE, **change)), why


def test_another_noun_is_outweighed_by_nearly_all_other_words() -> None:
    assert settles(replace(SURE, apart=True))


@pytest.mark.parametrize("way", [0, Way.EDIT, Way.LETTER, Way.BEGINS, Way.WORDS])
def test_one_edit_a_beginning_or_words_never_settle(way: int) -> None:
    assert not settles(replace(SURE, way=int(way), explained=100, rival=-FIT, letter_rival=-FIT))


@pytest.mark.parametrize("way", [Way.ZEROS, Way.PREFIX, Way.SUFFIX])
def test_zeros_and_affixes_settle_only_when_the_list_teaches_them(way: Way) -> None:
    assert settles(replace(SURE, way=int(way), rival=-FIT, letter_rival=-FIT))
    assert not settles(replace(SURE, way=int(way), rival=-FIT, letter_rival=-FIT, learned=False))


def test_a_tie_one_letter_away_leaves_an_equal_number_standing() -> None:
    assert settles(replace(SURE, letter_rival=FIT))


@pytest.mark.parametrize("way", [Way.LOOKALIKE, Way.ZEROS])
def test_a_repaired_number_must_beat_its_neighbours_by_a_margin(way: Way) -> None:
    close = FIT - MARGIN * 100 * FIT_STEP
    assert not settles(replace(SURE, way=int(way), rival=close))
    assert settles(replace(SURE, way=int(way), rival=close - 1, letter_rival=close - 1))


def test_a_repaired_number_needs_more_agreement_than_an_equal_one() -> None:
    repaired = replace(SURE, way=int(Way.DATE), explained=AGREED_OTHERWISE - 1)
    assert not settles(repaired)
    assert settles(replace(repaired, way=int(Way.KEY)))


def test_columns_are_decided_as_single_values_are() -> None:
    rng = np.random.default_rng(5)
    count = 4000
    columns = {
        "way": rng.integers(0, 13, count),
        "length": rng.integers(2, 9, count),
        "explained": rng.integers(30, 101, count),
        "fit": FIT + rng.integers(-3, 3, count) * MARGIN * 50 * FIT_STEP,
        "rival": FIT + rng.integers(-3, 3, count) * MARGIN * 50 * FIT_STEP,
        "letter_rival": FIT + rng.integers(-3, 3, count) * MARGIN * 50 * FIT_STEP,
        **{name: rng.random(count) < 0.85 for name in ("said", "alone", "learned")},
        **{name: rng.random(count) < 0.15 for name in ("contradicted", "other_maker", "apart")},
    }
    together = settles(Claim(**columns))
    assert set(columns) == {each.name for each in fields(Claim)}
    for line in range(count):
        one = Claim(**{name: column[line].item() for name, column in columns.items()})
        assert bool(settles(one)) == bool(together[line])
    assert 0 < together.sum() < count
