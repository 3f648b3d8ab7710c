"""Money as whole minor units with a currency; unit prices as whole 1/10000ths; never a float."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import floor

from partsdb.errors import InputRefusedError
from partsdb.rules.currencies import minor_digits, minor_per_major

PRICE_SCALE = 10_000
# Common practice, no source: one piece of a pump above this is a slipped decimal point.
MAX_PRICE_MAJOR = 10_000_000
# Fifteen digits keep every amount within the 64 bits of a stored integer.
_PLAIN_DECIMAL = re.compile(r"[+-]?[0-9]{1,15}(?:\.[0-9]{1,15})?")


class Rounding(StrEnum):
    """How a tie is rounded: invoices and authorities say half up, our own averages half even."""

    HALF_UP = "half up"
    HALF_EVEN = "half even"


HALF_UP, HALF_EVEN = Rounding.HALF_UP, Rounding.HALF_EVEN
Exact = int | Fraction | Decimal


class CurrencyMismatchError(InputRefusedError):
    """Two amounts of different currencies were to be added or compared."""

    code = "currency_mismatch"

    def __init__(self, ours: str, theirs: str) -> None:
        self.ours, self.theirs = ours, theirs
        super().__init__(
            f"amounts in {ours} and {theirs} cannot be added or compared",
            hint="convert one of them at a dated rate first",
        )


def exact(value: Exact) -> Fraction:
    """Return `value` as a Fraction; a float raises TypeError, for it is not what was written."""
    if isinstance(value, float):
        raise TypeError(f"money is never computed from a float: {value!r}")
    return Fraction(value)


def round_whole(value: Fraction, rounding: Rounding = HALF_UP) -> int:
    """Return the nearest whole number; a tie goes away from zero (half up) or to the even one."""
    if rounding is HALF_EVEN:
        return round(value)
    # Whole numbers throughout, for this is called for every figure of every step.
    size = (2 * abs(value.numerator) + value.denominator) // (2 * value.denominator)
    return size if value >= 0 else -size


def plain_decimal(text: str) -> Fraction:
    """Return the exact value of "1234.56"; any other notation is refused with a sentence.

    Thousands marks and decimal commas depend on the file's locale, so the importer settles them.
    """
    written = text.strip()
    if not _PLAIN_DECIMAL.fullmatch(written):
        raise InputRefusedError(
            f"{text[:60]!r} is not a plain decimal number",
            hint="write digits with a point for the decimals, such as 1234.56",
        )
    return Fraction(written)


@dataclass(frozen=True, slots=True)
class Money:
    """A whole number of minor units (cents, yen, fils) of one currency of ISO 4217."""

    minor: int
    currency: str

    def __post_init__(self) -> None:
        if not isinstance(self.minor, int) or isinstance(self.minor, bool):
            raise TypeError(f"minor units are whole numbers, not {self.minor!r}")
        minor_digits(self.currency)

    @classmethod
    def of(cls, text: str, currency: str) -> Money:
        """Return the amount written as plain decimal text; finer than the coin is refused."""
        minor = plain_decimal(text) * minor_per_major(currency)
        if minor.denominator != 1:
            raise InputRefusedError(
                f"{text.strip()} {currency} is finer than the currency's smallest coin",
                hint=f"{currency} has {minor_digits(currency)} decimals",
            )
        return cls(int(minor), currency)

    @classmethod
    def rounded(cls, major: Exact, currency: str, rounding: Rounding = HALF_UP) -> Money:
        """Return an exact amount of major units, rounded once to the smallest coin."""
        return cls(round_whole(exact(major) * minor_per_major(currency), rounding), currency)

    @classmethod
    def zero(cls, currency: str) -> Money:
        """Return nothing of the currency."""
        return cls(0, currency)

    def _minor_of(self, other: Money) -> int:
        if self.currency != other.currency:
            raise CurrencyMismatchError(self.currency, other.currency)
        return other.minor

    def __add__(self, other: Money) -> Money:
        return Money(self.minor + self._minor_of(other), self.currency)

    def __sub__(self, other: Money) -> Money:
        return Money(self.minor - self._minor_of(other), self.currency)

    def __neg__(self) -> Money:
        return Money(-self.minor, self.currency)

    def __mul__(self, times: int) -> Money:
        return Money(self.minor * times, self.currency)

    __rmul__ = __mul__

    def __lt__(self, other: Money) -> bool:
        return self.minor < self._minor_of(other)

    def __le__(self, other: Money) -> bool:
        return self.minor <= self._minor_of(other)

    def __gt__(self, other: Money) -> bool:
        return self.minor > self._minor_of(other)

    def __ge__(self, other: Money) -> bool:
        return self.minor >= self._minor_of(other)

    def __bool__(self) -> bool:
        return self.minor != 0

    def share(self, rate: Exact, rounding: Rounding = HALF_UP) -> Money:
        """Return `rate` (a Fraction, Decimal or int; 0.02 is two per cent) of it, rounded once."""
        return Money(round_whole(self.minor * exact(rate), rounding), self.currency)

    @property
    def major(self) -> Fraction:
        """The exact amount in major units."""
        return Fraction(self.minor, minor_per_major(self.currency))

    def text(self) -> str:
        """Return the bare figure with the currency's decimals: "12.50", "-0.05", "1200"."""
        digits = minor_digits(self.currency)
        return f"{Decimal(self.minor).scaleb(-digits):.{digits}f}"

    def __str__(self) -> str:
        return f"{self.text()} {self.currency}"


def total_of(amounts: Sequence[Money], currency: str) -> Money:
    """Return the sum in `currency`; of nothing it is zero; raises CurrencyMismatchError."""
    return sum(amounts, start=Money.zero(currency))


@dataclass(frozen=True, slots=True)
class UnitPrice:
    """A price in whole 1/10000ths of the major unit for `per` units (1, 100, 1000)."""

    e4: int
    currency: str
    per: int = 1

    def __post_init__(self) -> None:
        minor_digits(self.currency)
        if self.per < 1:
            raise InputRefusedError(
                f"a price for {self.per} units has no meaning",
                hint="the price basis is 1, 10, 100 or 1000 units",
            )

    @classmethod
    def of(cls, text: str, currency: str, *, per: int = 1) -> UnitPrice:
        """Return the price written as plain decimal text, for `per` units; see `price_e4`."""
        return cls(price_e4(text), currency, per)

    def line_total(self, units: int) -> Money:
        """Return what `units` cost: exact, then rounded once, half up."""
        return Money.rounded(Fraction(self.e4 * units, self.per * PRICE_SCALE), self.currency)

    def __str__(self) -> str:
        figure = Decimal(self.e4).scaleb(-4)
        shown = f"{figure:.2f}" if self.e4 % 100 == 0 else f"{figure:.4f}"
        return f"{shown} {self.currency}" + (f" per {self.per}" if self.per > 1 else "")


def unit_cost(total: Money, units: int, rounding: Rounding = HALF_EVEN) -> UnitPrice:
    """Return what one of `units` costs, to 1/10000: our own average, so half even by default."""
    return UnitPrice(round_whole(total.major * PRICE_SCALE / units, rounding), total.currency)


def price_e4(text: str) -> int:
    """Return a price in whole 1/10000ths of the major unit.

    Refused with a sentence: not a plain decimal, zero or negative, finer than 1/10000, absurd.
    """
    price = plain_decimal(text)
    if price <= 0:
        raise InputRefusedError(
            f"a price of {text.strip()} is no price",
            hint="leave the price empty when it is on application",
        )
    if price > MAX_PRICE_MAJOR:
        raise InputRefusedError(
            f"a price of {text.strip()} is beyond reason",
            hint="look for a slipped decimal point, or a code as a price",
        )
    scaled = price * PRICE_SCALE
    if scaled.denominator != 1:
        raise InputRefusedError(
            f"a price of {text.strip()} is finer than 1/10000",
            hint="give it per 100 or per 1000 units instead",
        )
    return int(scaled)


def apportion(amounts: Sequence[Fraction]) -> list[int]:
    """Return whole numbers, each next to its exact amount, that sum to the rounded exact sum.

    The sum is rounded half up; what the floors leave goes to the largest remainders (Hamilton),
    ties by order.
    """
    floors = [floor(amount) for amount in amounts]
    left = round_whole(sum(amounts, start=Fraction(0))) - sum(floors)
    by_remainder = sorted(range(len(amounts)), key=lambda i: (floors[i] - amounts[i], i))
    for index in by_remainder[:left]:
        floors[index] += 1
    return floors


def allocate(total_minor: int, weights: Sequence[Exact]) -> list[int]:
    """Return `total_minor` split by weight with the largest remainder; the parts sum to it.

    Ties go to the earlier line. Refused: no weight at all, a negative weight, all weights zero.
    """
    exact_weights = [exact(weight) for weight in weights]
    whole = sum(exact_weights, start=Fraction(0))
    if whole <= 0 or min(exact_weights) < 0:
        raise InputRefusedError(
            "an amount cannot be shared by weights that are zero or negative",
            hint="give every line a weight or a value above zero",
        )
    parts = apportion([abs(total_minor) * weight / whole for weight in exact_weights])
    return parts if total_minor >= 0 else [-part for part in parts]
