"""The switching of ISO 2859-1: handbook 6.2; the switching score and reduced plans from memory."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.inspection import InspectionPolicy, inspection_plan
from partsdb.rules.sampling import AQLS, LETTERS, REDUCED_SIZES, plan
from partsdb.rules.switching import REDUCED_FROM, LotResult, Severity, switching

GOOD, BAD = LotResult(True), LotResult(False, 1)


def after(*results: LotResult, reduces: bool = True, start: Severity = Severity.NORMAL):
    return switching(results, reduces=reduces, start=start)


@pytest.mark.parametrize(
    ("result", "points", "source"),
    [
        (LotResult(True, 0, 0), 2, "Ac 0, accepted: 2"),
        (LotResult(True, 1, 1), 2, "Ac 1, accepted: 2, whatever was found"),
        (LotResult(True, 1, 2), 3, "Ac 2: one step tighter is Ac 1, which accepts it too: 3"),
        (LotResult(True, 2, 2), 0, "Ac 2 with 2 found: one step tighter refuses it: back to 0"),
        (LotResult(True, 3, 5), 3, "Ac 5: one step tighter is Ac 3"),
        (LotResult(True, 4, 5), 0, "Ac 5 with 4 found"),
        (LotResult(False, 3, 2), 0, "not accepted: back to 0"),
    ],
)
def test_the_switching_score_counts_a_lot(result, points, source):
    """ISO 2859-1:1999, 9.3.3.2, from memory."""
    assert after(result).score == points, source
    assert after(GOOD, GOOD, result).score == (4 + points if points else 0), source


def test_fifteen_clean_lots_of_small_plans_reduce_and_ten_of_larger_ones():
    """By hand: 15 x 2 and 10 x 3 make 30."""
    assert REDUCED_FROM == 30
    assert after(*[GOOD] * 14).severity is Severity.NORMAL
    assert after(*[GOOD] * 15).severity is Severity.REDUCED
    assert after(*[LotResult(True, 0, 2)] * 9).severity is Severity.NORMAL
    assert after(*[LotResult(True, 0, 2)] * 10).severity is Severity.REDUCED


def test_a_shop_that_does_not_reduce_keeps_counting_and_stays_on_normal():
    found = after(*[GOOD] * 20, reduces=False)
    assert (found.severity, found.score) == (Severity.NORMAL, 40)


def test_one_lot_refused_on_reduced_leads_back_to_normal_and_starts_anew():
    found = after(*[GOOD] * 15, BAD)
    assert (found.severity, found.score) == (Severity.NORMAL, 0)
    assert after(*[GOOD] * 15, BAD, BAD).severity is Severity.NORMAL  # one of the last five there
    assert after(*[GOOD] * 15, BAD, BAD, BAD).severity is Severity.TIGHTENED


def test_a_score_is_lost_when_the_inspection_is_tightened():
    assert after(*[GOOD] * 10, BAD, BAD, *[GOOD] * 5).score == 0
    assert after(*[GOOD] * 10, BAD, BAD, *[GOOD] * 6).score == 2


def test_a_source_taken_up_again_begins_on_tightened():
    """Handbook 6.2, ISO 2859-1, 9.4: after it was given up, tightened first."""
    assert after(start=Severity.TIGHTENED).severity is Severity.TIGHTENED
    assert after(*[GOOD] * 4, start=Severity.TIGHTENED).severity is Severity.TIGHTENED
    assert after(*[GOOD] * 5, start=Severity.TIGHTENED).severity is Severity.NORMAL
    assert after(*[BAD] * 5, start=Severity.TIGHTENED).severity is Severity.DISCONTINUED


# Reduced plans: MIL-STD-105E, table II-C, from memory.


@pytest.mark.parametrize(
    ("letter", "aql", "n", "ac", "source"),
    [
        ("J", "0.15", 32, 0, "J 32: 0/1"),
        ("J", "1.0", 32, 1, "J 32: 1/3"),
        ("J", "2.5", 32, 2, "J 32: 2/5"),
        ("J", "6.5", 32, 5, "J 32: 5/8"),
        ("J", "0.65", 32, 0, "J 32: 0/2, which accepts one only to go back: refused here"),
        ("J", "0.25", 20, 0, "J: arrow up to H, n 20"),
        ("J", "0.40", 50, 0, "J: arrow down to K, n 50, 0/2"),
        ("A", "6.5", 2, 0, "A 2: 0/1"),
        ("A", "4.0", 2, 0, "A: arrow down to B, n 2, 0/1"),
        ("D", "1.5", 3, 0, "D 3: 0/1"),
        ("R", "6.5", 80, 10, "R: arrows up to L, n 80, 10/13"),
    ],
)
def test_a_reduced_plan(letter, aql, n, ac, source):
    found = plan(letter, aql, Severity.REDUCED)
    assert (found.n, found.ac) == (n, ac), source


@given(st.sampled_from(LETTERS), st.sampled_from(AQLS))
def test_a_reduced_plan_takes_fewer_and_never_permits_more(letter, aql):
    normal, reduced = plan(letter, aql), plan(letter, aql, Severity.REDUCED)
    assert reduced.n <= normal.n
    assert reduced.ac <= normal.ac


def test_reduced_samples_are_those_of_two_letters_earlier():
    """Table II-C, from memory: 2, 2, 2, 3, 5, 8, 13 and so on to 800."""
    assert REDUCED_SIZES == (2, 2, 2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800)


# The plan of a lot


def test_inspection_is_reduced_only_where_the_shop_says_so_and_never_of_pressure_parts():
    """Handbook 6.2 calls it unsuitable here: off unless the shop turns it on."""
    record = [GOOD] * 15
    assert inspection_plan(200, "packing", record).severity is Severity.NORMAL
    policy = InspectionPolicy(reduces=True)
    found = inspection_plan(200, "packing", record, policy=policy)
    assert (found.severity, found.n, found.c) == (Severity.REDUCED, 20, 0)
    assert inspection_plan(200, "hose", record, policy=policy).scheme == "zero acceptance"


def test_a_plan_on_normal_tells_the_score():
    assert "switching score 28 of 30" in inspection_plan(200, "packing", [GOOD] * 14).why


def test_the_shops_own_level_and_aql_count():
    """Handbook 6.1, 6.2: 200 at III is H; AQL 4.0 at H is n 50, Ac 5."""
    policy = InspectionPolicy(plans=(("wear item", "III", "4.0"),))
    found = inspection_plan(200, "packing", [GOOD], policy=policy)
    assert (found.n, found.c) == (50, 5)
    assert inspection_plan(200, "hose", [GOOD], policy=policy).scheme == "zero acceptance"
