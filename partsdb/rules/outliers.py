"""Prices that stand apart from those of other suppliers for the same part, unit and pack.

M = 0.6745 (ln x - median) / MAD, flagged beyond 3.5: Iglewicz and Hoaglin (1993), on the logarithm
because prices differ by factors. Estimates are floats; no price is computed from them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import exp, log
from statistics import median

from partsdb.errors import UsageError

Z_LIMIT = 3.5
_NORMAL_QUARTILE = 0.6745
# Common practice, no source (trade handbook 6.5).
MIN_QUOTES = 5
CHEAP_RATIO = 0.5
DEAR_RATIO = 2.0
# Common practice, no source: with too few quotes for a spread, less than half of the cheapest of
# two others is no bargain but a question. Articles that only read alike may differ more.
_FEWEST_OTHERS = 2
_HALF, _THIRD, _QUARTER = Fraction(1, 2), Fraction(1, 3), Fraction(1, 4)
# A price this near to a tenth, hundredth or thousandth of the others has slipped.
_SLIP_BAND = 0.15
_SLIPS = (10, 100, 1000)


class PriceSign(StrEnum):
    """What a price shows. Too cheap asks for a rating certificate; it never is picked alone."""

    USUAL = "usual"
    TOO_CHEAP = "too cheap"
    TOO_DEAR = "too dear"
    TOO_FEW = "too few quotes"


@dataclass(frozen=True, slots=True)
class PriceFinding:
    """One price among its peers. `z` is None when more than half of them are equal, or too few."""

    sign: PriceSign
    z: float | None
    ratio: float
    text: str


def median_price(prices: Sequence[Fraction]) -> float:
    """Return the price whose logarithm is the median."""
    return exp(median(_logs(prices)))


def spread_of_logs(prices: Sequence[Fraction]) -> float:
    """Return the median absolute deviation of the logarithms."""
    logs = _logs(prices)
    middle = median(logs)
    return median(abs(value - middle) for value in logs)


def modified_z(price: Fraction, prices: Sequence[Fraction]) -> float | None:
    """Return M of `price` among `prices`; None when the deviation is zero (use the ratio)."""
    spread = spread_of_logs(prices)
    if spread == 0:
        return None
    [value] = _logs([price])
    return _NORMAL_QUARTILE * (value - median(_logs(prices))) / spread


def judge_price(price: Fraction, prices: Sequence[Fraction]) -> PriceFinding:
    """Judge one price among all quotes for the part, itself included.

    `prices` are for the same unit and pack in one currency; fewer than 5 are not judged.
    """
    ratio = float(price) / median_price(prices)
    against = f"{ratio:.2f} times the median of {len(prices)} quotes"
    if len(prices) < MIN_QUOTES:
        return PriceFinding(PriceSign.TOO_FEW, None, ratio, f"{against}, too few to judge")
    z = modified_z(price, prices)
    sign = _sign(z, ratio)
    measure = "most are equal" if z is None else f"modified z {z:.1f}"
    return PriceFinding(sign, z, ratio, f"{sign}: {against}, {measure}")


def _sign(z: float | None, ratio: float) -> PriceSign:
    if ratio < CHEAP_RATIO or (z is not None and z < -Z_LIMIT):
        return PriceSign.TOO_CHEAP
    is_dear = ratio > DEAR_RATIO if z is None else z > Z_LIMIT
    return PriceSign.TOO_DEAR if is_dear else PriceSign.USUAL


def _logs(prices: Sequence[Fraction]) -> list[float]:
    if not prices or min(prices) <= 0:
        raise UsageError("prices to compare are above zero", hint="leave out lines without a price")
    return [log(price) for price in prices]


@dataclass(frozen=True, slots=True)
class Level:
    """How many prices lie how: measured once, for as many prices as are held against it."""

    count: int
    middle: float
    spread: float

    def ratio(self, price: Fraction) -> float:
        """Return the price against the median."""
        return exp(log(price) - self.middle)

    def z(self, price: Fraction) -> float | None:
        """Return the modified z of the price; None where more than half are equal."""
        if self.spread == 0:
            return None
        return _NORMAL_QUARTILE * (log(price) - self.middle) / self.spread


def level_of(prices: Sequence[Fraction]) -> Level | None:
    """Return the level of the prices, None of none."""
    if not prices:
        return None
    return Level(len(prices), median(_logs(prices)), spread_of_logs(prices))


def far_below(price: Fraction, others: Sequence[Fraction]) -> str:
    """Return in words that the price lies far below the few other quotes, "" when it does not."""
    if len(others) < _FEWEST_OTHERS or price >= min(others) * _HALF:
        return ""
    return f"{float(price / min(others)):.2f} times the cheapest of {len(others)} other quotes"


class Alike:
    """The prices of articles that read alike: of one kind, size, thread and material.

    Five or more are judged by their spread and a quarter of the median, fewer by a third of the
    cheapest other, one other alone by a quarter of it.
    """

    def __init__(self, prices: Sequence[Fraction]) -> None:
        self._prices = sorted(prices)
        self._level = level_of(self._prices) if len(prices) >= MIN_QUOTES else None

    def others(self) -> int:
        """Return how many each of them is held against."""
        return len(self._prices) - 1

    def far_below(self, price: Fraction) -> str:
        """Return in words that `price`, one of them, lies far below the others, "" when not."""
        if self.others() < 1:
            return ""
        one, more = "1 article in the list that reads alike", "articles in the list that read alike"
        alike = one if self.others() == 1 else f"{self.others()} {more}"
        if self._level is not None:
            z, ratio = self._level.z(price), self._level.ratio(price)
            is_low = z is not None and z < -Z_LIMIT and ratio < _QUARTER
            said = f"{ratio:.2f} times the median of {alike}, modified z {z or 0:.1f}"
            return said if is_low else ""
        # The cheapest of the others; of two that share the least price each has the other.
        cheapest = self._prices[1] if price == self._prices[0] else self._prices[0]
        share = _THIRD if self.others() >= _FEWEST_OTHERS else _QUARTER
        if price >= cheapest * share:
            return ""
        return f"{float(price / cheapest):.2f} times the cheapest of {alike}"


def slip_of(ratio: float) -> str:
    """Return in words that a price is a tenth, hundredth or thousandth of the others, or ""."""
    for power in _SLIPS:
        if abs(ratio * power - 1) <= _SLIP_BAND:
            return f" (about 1/{power}: a price for {power}, or a slipped decimal mark?)"
    return ""
