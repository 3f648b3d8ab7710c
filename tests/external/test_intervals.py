"""Intervals, posteriors and sampling plans against scipy and Newcombe (1998), table I."""

import pytest

from partsdb.rules.evidence_grade import (
    beta_cdf,
    beta_quantile,
    clopper_pearson_interval,
    posterior,
    wilson_interval,
)

pytestmark = pytest.mark.external

RECORDS = [(0, 1), (1, 1), (0, 20), (1, 29), (2, 20), (15, 148), (81, 263), (148, 148), (3, 5000)]
SHAPES = [
    (1, 1),
    (0.5, 0.5),
    (1, 31),
    (0.5, 30.5),
    (3, 2),
    (40, 60),
    (1, 5000),
    (250, 3),
    (0.5, 49.5),
]


@pytest.fixture(scope="module")
def stats(external):
    return external("scipy.stats")


@pytest.mark.parametrize(("events", "trials"), RECORDS)
@pytest.mark.parametrize("method", ["wilson", "exact"])
def test_an_interval_agrees_with_scipy(stats, events, trials, method):
    ours = {"wilson": wilson_interval, "exact": clopper_pearson_interval}[method](events, trials)
    theirs = stats.binomtest(events, trials).proportion_ci(0.95, method=method)
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-10)


@pytest.mark.parametrize(
    ("events", "trials", "wilson", "exact"),
    [  # Newcombe 1998 table I (from memory, agreed with scipy and statsmodels), references.md
        (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
        (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
        (0, 20, (0.0, 0.1611), (0.0, 0.1684)),
        (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
    ],
)
def test_an_interval_agrees_with_the_published_table(events, trials, wilson, exact):
    ours = wilson_interval(events, trials)
    assert (ours.low, ours.high) == pytest.approx(wilson, abs=5e-5)
    ours = clopper_pearson_interval(events, trials)
    assert (ours.low, ours.high) == pytest.approx(exact, abs=5e-5)


@pytest.mark.parametrize(("a", "b"), SHAPES)
@pytest.mark.parametrize("x", [0.0, 0.001, 0.02, 0.1, 0.5, 0.9, 0.999, 1.0])
def test_the_incomplete_beta_function_agrees_with_scipy(stats, a, b, x):
    assert beta_cdf(x, a, b) == pytest.approx(stats.beta.cdf(x, a, b), abs=1e-12)


@pytest.mark.parametrize(("a", "b"), SHAPES)
@pytest.mark.parametrize("probability", [0.025, 0.5, 0.9, 0.95])
def test_the_beta_quantile_agrees_with_scipy(stats, a, b, probability):
    assert beta_quantile(probability, a, b) == pytest.approx(
        stats.beta.ppf(probability, a, b), abs=1e-10
    )


def test_a_posterior_agrees_with_scipy(stats):
    ours = posterior(1, 30, a=0.5, b=49.5)
    assert ours.upper(0.9) == pytest.approx(stats.beta(1.5, 78.5).ppf(0.9), abs=1e-10)
    assert ours.mean == pytest.approx(stats.beta(1.5, 78.5).mean(), abs=1e-12)
