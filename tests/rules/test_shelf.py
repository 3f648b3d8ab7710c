"""What a lot leaves on hand: received = fitted + scrapped + returned + on hand (handbook 7)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.shelf import STATES, Balance, gap_of, offered

FEW = st.integers(0, 50)


@given(FEW, FEW, FEW, FEW, st.integers(-5, 5))
def test_every_unit_received_is_accounted_for(fitted, returned, scrapped, left, gap):
    received = fitted + returned + scrapped + left + gap
    balance = Balance(received, fitted, returned, scrapped, gap)
    assert balance.on_hand == left
    assert balance.balances is (gap == 0)


def test_more_gone_than_came_does_not_balance():
    assert not Balance(2, fitted=3).balances
    assert Balance(2, fitted=3).on_hand == -1


@pytest.mark.parametrize("state", STATES)
def test_only_an_accepted_lot_is_offered(state):
    wanted = 4 if state == "accepted" else 0
    assert offered(state, Balance(5, fitted=1)) == wanted


def test_barred_anywhere_counts_most():
    assert offered("accepted", Balance(5), "A", "barred") == 0
    assert offered("accepted", Balance(5), "A", "D") == 5


def test_a_lot_overdrawn_offers_nothing():
    assert offered("accepted", Balance(1, fitted=2)) == 0


@pytest.mark.parametrize(("counted", "gap"), [(5, 0), (3, 2), (6, -1), (0, 5)])
def test_a_count_short_of_the_books_is_a_gap(counted, gap):
    assert gap_of(Balance(7, fitted=2), counted) == gap


def test_the_sentence_reports_the_gap():
    assert str(Balance(12, 1, 2, 3, 2)) == (
        "12 received = 1 fitted + 3 written off + 2 returned + 4 on hand, gap 2 missing"
    )
    assert "gap 1 more than booked" in str(Balance(12, gap=-1))


def test_kits_that_were_taken_apart_are_gone_and_said():
    balance = Balance(4, taken_apart=4)
    assert (balance.on_hand, balance.balances) == (0, True)
    assert str(balance).startswith("4 received = 0 fitted + 4 taken apart + 0 written off")
    assert offered("accepted", balance) == 0
