"""Sampling plans against scipy's binomial and hypergeometric distributions."""

from fractions import Fraction

import pytest

from partsdb.rules.sampling import (
    acceptance,
    clean_sample,
    clean_sample_of_lot,
    lot_acceptance,
    rate_at_acceptance,
)

pytestmark = pytest.mark.external


@pytest.fixture(scope="module")
def stats(external):
    return external("scipy.stats")


@pytest.mark.parametrize(
    ("n", "c"), [(2, 0), (13, 0), (32, 1), (80, 2), (125, 7), (800, 21), (2000, 21)]
)
@pytest.mark.parametrize("rate", [0.0, 0.0001, 0.01, 0.05, 0.3, 1.0])
def test_the_operating_characteristic_agrees_with_the_binomial(stats, n, c, rate):
    assert acceptance(n, c, rate) == pytest.approx(stats.binom.cdf(c, n, rate), abs=1e-11)


@pytest.mark.parametrize(
    ("n", "c", "per_cent"),
    [  # references.md: defect rates at Pa 95, 50 and 10 %
        (20, 0, (0.256, 3.406, 10.875)), (80, 5, (3.317, 7.058, 11.285)), (125, 7, (3.224, 6.119, 9.237)),
    ],
)  # fmt: skip
def test_the_points_of_the_curve_agree_with_the_reference(n, c, per_cent):
    rates = [100 * rate_at_acceptance(n, c, probability) for probability in (0.95, 0.5, 0.1)]
    assert rates == pytest.approx(per_cent, abs=6e-4)


@pytest.mark.parametrize(
    ("lot", "defective", "n", "c"),
    [
        (50, 5, 18, 0),
        (50, 5, 17, 0),
        (1000, 10, 80, 2),
        (1000, 20, 80, 2),
        (1000, 50, 80, 2),
        (10, 10, 3, 2),
    ],
)
def test_the_exact_acceptance_agrees_with_the_hypergeometric(stats, lot, defective, n, c):
    ours = float(lot_acceptance(lot, defective, n=n, c=c))
    assert ours == pytest.approx(stats.hypergeom.cdf(c, lot, defective, n), abs=1e-10)


@pytest.mark.parametrize(
    ("defective", "published"), [(10, 0.960752), (20, 0.789247), (50, 0.218645)]
)
def test_the_exact_acceptance_agrees_with_the_published_figures(defective, published):
    """references.md: N 1000, n 80, c 2."""
    assert float(lot_acceptance(1000, defective, n=80, c=2)) == pytest.approx(published, abs=1e-6)


def test_the_clean_samples_agree_with_the_reference():
    """references.md (lotsampling 0.2): binomial n(20 %, 5 %) = 14, N 100, D 5, 5 % = 45."""
    assert clean_sample(Fraction("0.20"), Fraction("0.05")) == 14
    assert clean_sample_of_lot(100, 5, Fraction("0.05")) == 45
