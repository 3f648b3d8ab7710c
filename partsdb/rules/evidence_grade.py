"""What a record of fittings and comebacks shows: intervals, posteriors, and the grade they allow.

Rates are floats here, for they are estimates and never money or pressure. Sources: Wilson (1927)
and Clopper-Pearson (1934) intervals; Beta-binomial posterior; grades of the trade handbook 6.4.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import exp, lgamma, log, log1p, sqrt

from partsdb.errors import UsageError

Z_95 = 1.959963984540054
Z_95_ONE_SIDED = 1.6448536269514722
# Trade handbook 6.4, common practice: grade, the failure rate that must be under, how surely.
GRADE_LIMITS = (("A", 0.02), ("B", 0.05), ("C", 0.10))
GRADE_CONFIDENCE = 0.90
MAX_PER_LOT = 10
EXPIRES_AFTER = dt.timedelta(days=731)
_STEPS = 200


@dataclass(frozen=True, slots=True)
class Interval:
    """A rate is between `low` and `high` (shares of one)."""

    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.low:.1%} to {self.high:.1%}"


def _counted(events: int, trials: int) -> None:
    if trials < 1 or not 0 <= events <= trials:
        raise UsageError(
            f"{events} of {trials} is not a record", hint="give counts with 0 <= events <= trials"
        )


def wilson_interval(events: int, trials: int, z: float = Z_95) -> Interval:
    """Return Wilson's score interval of a rate, 95 % two-sided unless `z` says otherwise."""
    _counted(events, trials)
    share, z2 = events / trials, z * z
    middle = share + z2 / (2 * trials)
    half = z * sqrt(share * (1 - share) / trials + z2 / (4 * trials * trials))
    scale = 1 + z2 / trials
    low = 0.0 if events == 0 else (middle - half) / scale
    high = 1.0 if events == trials else (middle + half) / scale
    return Interval(low, high)


def clopper_pearson_interval(events: int, trials: int, confidence: float = 0.95) -> Interval:
    """Return the exact interval of a rate, two-sided."""
    _counted(events, trials)
    tail = (1 - confidence) / 2
    low = 0.0 if events == 0 else beta_quantile(tail, events, trials - events + 1)
    high = 1.0 if events == trials else beta_quantile(1 - tail, events + 1, trials - events)
    return Interval(low, high)


def rule_of_three(trials: int) -> float:
    """Return the rough 95 % upper bound of a failure rate after no failure in `trials`: 3/n."""
    _counted(0, trials)
    return 3 / trials


@dataclass(frozen=True, slots=True)
class Posterior:
    """A failure rate after a record, as Beta(a, b)."""

    a: float
    b: float

    @property
    def mean(self) -> float:
        """The expected failure rate."""
        return self.a / (self.a + self.b)

    def upper(self, confidence: float = 0.95) -> float:
        """Return the rate that is not exceeded with this confidence."""
        return beta_quantile(confidence, self.a, self.b)

    def chance_below(self, rate: float) -> float:
        """Return the probability that the failure rate is below `rate`."""
        return beta_cdf(rate, self.a, self.b)


def posterior(failures: int, trials: int, *, a: float = 1.0, b: float = 1.0) -> Posterior:
    """Return the failure rate's posterior from the prior Beta(a, b), uniform by default."""
    if trials:
        _counted(failures, trials)
    return Posterior(a + failures, b + trials - failures)


def fittings_needed(failures: int, max_rate: float, confidence: float = GRADE_CONFIDENCE) -> int:
    """Return the fewest fittings, failures included, that show a rate below `max_rate`.

    From the prior Beta(1, 1): the smallest n with P(p <= max_rate) >= confidence.
    """
    low, high = failures, failures + 1
    while posterior(failures, high).chance_below(max_rate) < confidence:
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        shown = posterior(failures, middle).chance_below(max_rate) >= confidence
        low, high = (low, middle) if shown else (middle, high)
    return high


def beta_cdf(x: float, a: float, b: float) -> float:
    """Return the regularised incomplete beta function I_x(a, b)."""
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x))
    # The fraction converges fast only below the mean; above it the mirrored one does.
    if x < (a + 1) / (a + b + 2):
        return front * _beta_fraction(x, a, b) / a
    return 1 - front * _beta_fraction(1 - x, b, a) / b


def _beta_fraction(x: float, a: float, b: float) -> float:
    """Return the continued fraction of I_x(a, b) by Lentz's method (DLMF 8.17.22)."""
    tiny = 1e-300
    c, d = 1.0, 1 / (1 - (a + b) * x / (a + 1) or tiny)
    value = d
    for m in range(1, 10_000):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for term in (even, odd):
            d = 1 / (1 + term * d or tiny)
            c = 1 + term / c or tiny
            value *= c * d
        if abs(c * d - 1) < 1e-15:
            break
    return value


def beta_quantile(probability: float, a: float, b: float) -> float:
    """Return the x with I_x(a, b) = probability."""
    return rising_root(lambda x: beta_cdf(x, a, b) - probability)


def rising_root(function: Callable[[float], float]) -> float:
    """Return where a function that rises over 0 to 1 crosses zero, by halving."""
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return (low + high) / 2


@dataclass(frozen=True, slots=True)
class LotRecord:
    """Fittings of one lot whose warranty window has passed; the last of them on `last`."""

    fitted: int
    failed: int
    last: dt.date
    boundary_failures: int = 0


@dataclass(frozen=True, slots=True)
class GradeShown:
    """The best grade that the record allows: "A", "B", "C", "" (none yet) or "barred"."""

    grade: str
    counted: int
    failures: int
    reason: str


def grade_shown(lots: Sequence[LotRecord], today: dt.date) -> GradeShown:
    """Return the grade that the record allows; 24 months before `today` without data end it.

    At most 10 fittings count per lot, for one good lot is one piece of evidence; every failure
    counts; a failure of a pressure boundary bars until it is explained (handbook 6.4).
    """
    if any(lot.boundary_failures for lot in lots):
        return GradeShown("barred", 0, 0, "a pressure boundary failed: barred until explained")
    if lots and today - max(lot.last for lot in lots) > EXPIRES_AFTER:
        return GradeShown("", 0, 0, "no fitting within 24 months: the record has expired")
    failures = sum(lot.failed for lot in lots)
    counted = sum(max(min(lot.fitted, MAX_PER_LOT), lot.failed) for lot in lots)
    record = posterior(failures, counted)
    for grade, limit in GRADE_LIMITS:
        if record.chance_below(limit) >= GRADE_CONFIDENCE:
            reason = f"{failures} failures in {counted} counted fittings show less than {limit:.0%}"
            return GradeShown(grade, counted, failures, reason)
    needed = fittings_needed(failures, GRADE_LIMITS[-1][1])
    reason = f"{failures} failures in {counted} counted fittings: {needed} are needed for a C"
    return GradeShown("", counted, failures, reason)


def parts_per_million(rejects: int, received: int) -> Fraction:
    """Return rejects per million received, exactly."""
    _counted(rejects, received)
    return Fraction(rejects * 1_000_000, received)


def share_of(good: int, due: int) -> Fraction:
    """Return a score (lines on time, units filled, comebacks, lots with documents), exactly."""
    _counted(good, due)
    return Fraction(good, due)
