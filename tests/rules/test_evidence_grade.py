"""What a record shows: intervals, posteriors, and the grade that it allows."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import UsageError
from partsdb.rules.evidence_grade import (
    Z_95,
    Z_95_ONE_SIDED,
    LotRecord,
    clopper_pearson_interval,
    fittings_needed,
    grade_shown,
    parts_per_million,
    posterior,
    rule_of_three,
    share_of,
    wilson_interval,
)

TODAY = dt.date(2026, 11, 25)
LAST_YEAR = dt.date(2025, 11, 25)


@pytest.mark.parametrize("checks", ["wilson.lower"], indirect=True)
def test_the_wilson_lower_bound_of_good_fittings(checks):
    for check in checks:
        given = check["inputs"]
        z = Z_95 if "two-sided" in given["conf"] else Z_95_ONE_SIDED
        low = wilson_interval(given["good"], given["n"], z).low
        assert low == pytest.approx(check["expected"], abs=1e-6), check["id"]


INTERVALS = {"wilson95": wilson_interval, "clopper_pearson95": clopper_pearson_interval}


@pytest.mark.parametrize("checks", INTERVALS, indirect=True)
def test_an_interval_of_95_per_cent(checks):
    for check in checks:
        interval = INTERVALS[check["topic"]](check["inputs"]["k"], check["inputs"]["n"])
        assert (interval.low, interval.high) == pytest.approx(check["expected"], abs=1e-4), check[
            "id"
        ]


@pytest.mark.parametrize("checks", ["beta.posterior"], indirect=True)
def test_the_posterior_of_a_failure_rate(checks):
    for check in checks:
        given, (a, b) = check["inputs"], check["inputs"]["prior"]
        found = posterior(given["fail"], given["n"], a=a, b=b)
        assert found.mean == pytest.approx(check["expected"]["mean"], abs=1e-6)
        assert found.upper(0.95) == pytest.approx(check["expected"]["upper95"], abs=1e-6)


@pytest.mark.parametrize("checks", ["beta_posterior"], indirect=True)
def test_the_posterior_from_another_prior(checks):
    for check in checks:
        given = check["inputs"]
        found = posterior(given["k"], given["n"], a=given["a"], b=given["b"])
        assert found.mean == pytest.approx(check["expected"]["mean"], abs=1e-4)
        assert found.upper(0.95) == pytest.approx(check["expected"]["q95"], abs=1e-4)


@pytest.mark.parametrize(
    "checks", ["beta.clean_needed", "beta.needed_with_failures"], indirect=True
)
def test_the_fittings_that_a_grade_needs(checks):
    for check in checks:
        given = check["inputs"]
        needed = fittings_needed(
            given.get("failures", 0), given["max_fail_rate"], given["confidence"]
        )
        assert needed == check["expected"], check["id"]


@pytest.mark.parametrize("checks", ["stat.rule_of_three"], indirect=True)
def test_no_failure_in_n_leaves_three_over_n(checks):
    for check in checks:
        assert rule_of_three(check["inputs"]["n"]) == pytest.approx(check["expected"])


@pytest.mark.parametrize("checks", ["score.ppm"], indirect=True)
def test_rejects_are_counted_per_million(checks):
    for check in checks:
        assert parts_per_million(**check["inputs"]) == check["expected"]


@pytest.mark.parametrize(
    "checks", ["score.on_time", "score.fill_rate", "score.comeback"], indirect=True
)
def test_a_score_is_a_share_of_what_was_due(checks):
    for check in checks:
        good, due = check["inputs"].values()
        assert float(share_of(good, due)) == pytest.approx(check["expected"], abs=1e-12)


@pytest.mark.parametrize(
    "work", [wilson_interval, clopper_pearson_interval, share_of, parts_per_million]
)
@pytest.mark.parametrize(("events", "trials"), [(0, 0), (3, 2), (-1, 2)])
def test_an_impossible_record_is_refused(work, events, trials):
    with pytest.raises(UsageError, match="is not a record"):
        work(events, trials)


def lots(count, fitted, failed=0, last=LAST_YEAR):
    return [LotRecord(fitted, failed, last)] * count


@pytest.mark.parametrize(
    ("record", "grade", "counted"),
    [  # handbook 6.4: C needs 21 clean fittings, B 44, A 113; at most 10 of a lot count
        (lots(2, 10), "", 20), (lots(3, 7), "C", 21), (lots(4, 10), "C", 40), (lots(4, 11), "C", 40),
        (lots(5, 9), "B", 45), (lots(11, 10), "B", 110), (lots(12, 10), "A", 120), (lots(1, 500), "", 10),
        (lots(3, 10) + lots(1, 6, 1), "", 36), (lots(3, 10) + lots(1, 7, 1), "C", 37), ([], "", 0),
    ],
)  # fmt: skip
def test_a_grade_rises_with_the_fittings_that_count(record, grade, counted):
    shown = grade_shown(record, TODAY)
    assert (shown.grade, shown.counted) == (grade, counted)


def test_the_record_says_how_many_fittings_are_still_needed():
    assert "21 are needed for a C" in grade_shown(lots(1, 5), TODAY).reason


def test_a_failed_pressure_boundary_bars_whatever_the_count():
    record = [*lots(50, 10), LotRecord(10, 1, LAST_YEAR, boundary_failures=1)]
    assert grade_shown(record, TODAY).grade == "barred"


def test_a_record_expires_after_24_months_without_data():
    old = lots(12, 10, last=dt.date(2024, 11, 20))
    assert grade_shown(old, TODAY).grade == ""
    assert "expired" in grade_shown(old, TODAY).reason
    assert grade_shown([*old, *lots(1, 1)], TODAY).grade == "A"


def test_failures_count_in_full_though_fittings_of_a_lot_do_not():
    assert grade_shown([LotRecord(200, 12, LAST_YEAR)], TODAY).failures == 12


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_an_interval_holds_the_observed_share_and_the_exact_one_is_symmetrical(record):
    events, trials = record
    for interval in (wilson_interval(events, trials), clopper_pearson_interval(events, trials)):
        assert 0 <= interval.low <= events / trials + 1e-12
        assert events / trials - 1e-12 <= interval.high <= 1
    mirrored = wilson_interval(trials - events, trials)
    assert mirrored.low == pytest.approx(1 - wilson_interval(events, trials).high, abs=1e-12)
