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
