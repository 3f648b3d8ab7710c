"""Currencies: how many decimals the smallest coin has, and which codes have ended.

Source of the table: ISO 4217, list one (currencies in use) and the notices of ended ones.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cache

from partsdb.errors import UsageError
from partsdb.tables import Row, rows


@dataclass(frozen=True, slots=True)
class CurrencyInfo:
    """One row of ISO 4217. `minor_digits` is the power of ten between major and minor unit."""

    code: str
    minor_digits: int
    name: str
    ended: dt.date | None


class UnknownCurrencyError(UsageError):
    """The code is not in our table of ISO 4217."""

    code = "unknown_currency"

    def __init__(self, currency: str) -> None:
        self.currency = currency
        super().__init__(
            f"{currency!r} is not a currency code of ISO 4217",
            hint="write the three capital letters, such as EUR, GBP or USD",
        )


@cache
def _currencies() -> dict[str, CurrencyInfo]:
    return {row["code"]: _info(row) for row in rows("currencies")}


def _info(row: Row) -> CurrencyInfo:
    ended = dt.date.fromisoformat(row["ended"]) if row["ended"] else None
    return CurrencyInfo(row["code"], int(row["minor_digits"]), row["name"], ended)


def currency_info(code: str) -> CurrencyInfo:
    """Return what ISO 4217 says of `code`; raises UnknownCurrencyError."""
    try:
        return _currencies()[code]
    except KeyError:
        raise UnknownCurrencyError(code) from None


def minor_digits(code: str) -> int:
    """Return the decimals of the currency: EUR 2, JPY 0, BHD 3; raises UnknownCurrencyError."""
    return currency_info(code).minor_digits


def minor_per_major(code: str) -> int:
    """Return how many minor units make a major one: EUR 100, JPY 1, BHD 1000."""
    return int(10 ** minor_digits(code))


def currency_codes() -> tuple[str, ...]:
    """Return every code that we know, in alphabetical order."""
    return tuple(_currencies())
