"""Grades from the bench's record: the table of handbook 6.4 and its rules."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.evidence_grade import LotRecord, Posterior, posterior
from partsdb.rules.proposal import GradePolicy, Score, Standing, clean_needed, is_aged, propose

TODAY = dt.date(2026, 11, 20)
LAST = dt.date(2026, 6, 1)


def clean(fittings: int, *, failed: int = 0, per_lot: int = 10, open_ones: int = 0):
    """So many fittings in lots of ten; the failures all in the first."""
    full, rest = divmod(fittings, per_lot)
    sizes = [per_lot] * full + ([rest] if rest else [])
    return [
        LotRecord(n, failed if i == 0 else 0, LAST, open_ones if i == 0 else 0)
        for i, n in enumerate(sizes)
    ]


@pytest.mark.parametrize(
    ("grade", "limit", "none_failed", "one_failed"),
    [("C", 0.10, 21, 37), ("B", 0.05, 44, 76), ("A", 0.02, 113, 193)],
)
def test_so_many_clean_fittings_as_the_handbook_says(grade, limit, none_failed, one_failed):
    """Handbook 6.4: clean fittings needed, and with one failure (itself among them)."""
    assert clean_needed(posterior(0, 0), limit) == none_failed
    assert clean_needed(posterior(1, 1), limit) == one_failed - 1


@pytest.mark.parametrize(
    ("fittings", "grade"), [(20, ""), (21, "C"), (43, "C"), (44, "B"), (112, "B"), (113, "A")]
)
def test_a_grade_is_proposed_from_its_count_on(fittings, grade):
    assert propose(clean(fittings), Standing(), TODAY).proposed == grade


def test_the_numbers_are_those_of_the_handbook():
    """Handbook 6.4: 0/30 mean .0313, 95 % upper .0921; Wilson lower 20/20 .8389."""
    found = propose(clean(30), Standing(), TODAY)
    assert found.mean == pytest.approx(1 / 32)  # .0313
    assert found.upper_95 == pytest.approx(0.0921, abs=5e-5)
    assert propose(clean(20), Standing(), TODAY).wilson_low == pytest.approx(0.8389, abs=5e-5)


def test_one_good_lot_is_one_piece_of_evidence():
    found = propose([LotRecord(500, 0, LAST)], Standing(), TODAY)
    assert (found.fitted, found.counted, found.proposed) == (500, 10, "")


def test_every_failure_of_a_lot_counts_beyond_the_cap():
    found = propose([LotRecord(500, 30, LAST)], Standing(), TODAY)
    assert (found.counted, found.failures) == (30, 30)


def test_what_a_rise_still_takes_is_told():
    found = propose(clean(20), Standing("C", TODAY), TODAY)
    assert (found.proposed, found.next_grade, found.clean_needed) == ("C", "B", 24)
    assert propose(clean(10), Standing(), TODAY).clean_needed == 11
    assert propose(clean(200), Standing("A", TODAY), TODAY).clean_needed is None


@pytest.mark.parametrize("grade", ["", "A", "B", "D", "barred"])
def test_a_failed_pressure_boundary_blocks_until_explained(grade):
    found = propose(clean(1000, open_ones=1), Standing(grade, TODAY), TODAY)
    assert found.proposed == "barred"
    assert "not explained" in found.reasons[0]


def test_nothing_lifts_a_bar_but_a_person():
    assert propose(clean(1000), Standing("barred", TODAY), TODAY).proposed == "barred"


def test_a_grade_falls_at_once():
    """One failure in ten: Beta(2, 10) is below 2 % with 2 %, below 10 % with 30 % (binomial sums)."""
    found = propose(clean(10, failed=1), Standing("A", TODAY), TODAY)
    assert found.proposed == "C"
    assert propose(clean(10, failed=8), Standing("A", TODAY), TODAY).proposed == "D"


def test_one_failure_among_very_many_moves_nothing():
    """1 of 200: Beta(2, 200) is below 2 % with about 91 % (1 - .98^201 - 201(.02).98^200)."""
    found = propose(clean(200, failed=1), Standing("A", TODAY), TODAY)
    assert dict(found.chances)["A"] == pytest.approx(1 - 0.98**201 - 201 * 0.02 * 0.98**200)
    assert found.proposed == "A"


def test_no_failure_moves_no_grade_down_however_short_the_record():
    for grade in ("A", "B", "C", "D"):
        assert propose(clean(3), Standing(grade, TODAY), TODAY).proposed == grade


def test_a_gate_stops_a_rise_and_is_told():
    gate = "the certificate of lot B7 has expired"
    found = propose(clean(50), Standing("C", TODAY, (gate,)), TODAY)
    assert found.proposed == "C"
    assert gate in found.reasons[0]
    assert propose(clean(50), Standing("C", TODAY), TODAY).proposed == "B"


def test_a_better_grade_by_hand_is_not_taken_down_by_a_short_record():
    assert propose(clean(25), Standing("A", TODAY), TODAY).proposed == "A"


@pytest.mark.parametrize(("days", "aged"), [(730, False), (731, True), (732, True)])
def test_a_grade_ages_after_24_months_without_data(days, aged):
    """Handbook 6.4: 24 months; 24 x 30.44 = 730.6 days."""
    given_on = TODAY - dt.timedelta(days=days)
    assert is_aged(given_on, TODAY, 24) is (days > 731)
    assert propose([], Standing("B", given_on), TODAY).is_aged is (days > 731)


def test_a_fitting_keeps_a_grade_young_and_d_never_ages():
    long_ago = TODAY - dt.timedelta(days=2000)
    assert not propose([LotRecord(1, 0, LAST)], Standing("B", long_ago), TODAY).is_aged
    assert not propose([], Standing("D", long_ago), TODAY).is_aged


def test_the_shops_own_figures_are_used():
    strict = GradePolicy(confidence=0.99)
    assert propose(clean(21), Standing(), TODAY, strict).proposed == ""
    narrow = GradePolicy(lot_cap=5)
    assert propose(clean(40), Standing(), TODAY, narrow).counted == 20
    trusting = GradePolicy(prior=(0.5, 49.5))
    assert propose(clean(10), Standing(), TODAY, trusting).proposed == "B"


@given(st.integers(0, 60), st.integers(0, 5), st.sampled_from([0.02, 0.05, 0.1]))
def test_one_clean_fitting_fewer_is_not_enough(fitted, failed, limit):
    record = posterior(min(failed, fitted), fitted)
    needed = clean_needed(record, limit)
    assert Posterior(record.a, record.b + needed).chance_below(limit) >= 0.90
    assert needed == 0 or Posterior(record.a, record.b + needed - 1).chance_below(limit) < 0.90


@given(st.integers(0, 80), st.integers(0, 4))
def test_a_clean_fitting_more_never_lowers_a_proposal(fittings, failed):
    order = ["A", "B", "C", "D", "barred", ""]
    failed = min(failed, fittings, 10)
    before = propose(clean(fittings, failed=failed), Standing(), TODAY).proposed
    after = propose(clean(fittings + 10, failed=failed), Standing(), TODAY).proposed
    assert order.index(after) <= order.index(before)


def test_few_good_ones_do_not_outrank_many():
    """Handbook 6.4: Wilson lower 3/3 .4385, 48/50 .8654."""
    assert Score(3, 3).low == pytest.approx(0.4385, abs=5e-5)
    assert Score(48, 50).low == pytest.approx(0.8654, abs=5e-5)
    assert Score(0, 0).low == 0
    assert str(Score(0, 0)) == "none recorded"
    assert str(Score(3, 3)).startswith("3/3 (43.9% to 100")  # .43850, rounded up
