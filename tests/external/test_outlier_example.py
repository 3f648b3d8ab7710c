"""The modified z-score on the worked example of Iglewicz and Hoaglin (1993), and against scipy."""

import random
from fractions import Fraction
from math import exp

import pytest

from partsdb.rules.outliers import Z_LIMIT, modified_z, spread_of_logs

pytestmark = pytest.mark.external

# The data of the example (from memory; it stands in the NIST e-Handbook 1.3.5.17 as well).
DATA = (2.1, 2.6, 2.4, 2.5, 2.3, 2.1, 2.3, 2.6, 8.2, 8.3)
# By hand: median 2.45; deviations .35 .15 .05 .05 .15 .35 .15 .15 5.75 5.85, their median .15;
# so 0.6745 x -0.35 / 0.15 = -1.5738 and so on.
SCORES = (-1.5738, 0.6745, -0.2248, 0.2248, -0.6745, -1.5738, -0.6745, 0.6745, 25.8558, 26.3055)


def priced(values):
    """Prices whose logarithms are the values: our score is taken on the logarithm."""
    return [Fraction(exp(value)) for value in values]


def test_the_worked_example_comes_out_and_its_two_outliers_are_flagged():
    prices = priced(DATA)
    scores = [modified_z(price, prices) for price in prices]
    assert scores == pytest.approx(SCORES, abs=1e-4)
    assert [value for value, z in zip(DATA, scores, strict=True) if abs(z) > Z_LIMIT] == [8.2, 8.3]


@pytest.mark.parametrize("seed", range(5))
def test_the_spread_agrees_with_scipy(external, seed):
    stats = external("scipy.stats")
    rng = random.Random(seed)
    values = [rng.gauss(3, 0.4) for _ in range(rng.randrange(5, 40))]
    ours = spread_of_logs(priced(values))
    assert ours == pytest.approx(stats.median_abs_deviation(values), abs=1e-12)
