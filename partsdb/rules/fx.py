"""Exchange rates: the last one published on or before a day, never one from the future.

Rates are quoted as units of a currency for one euro (the ECB's reference rates). Where no rate is
published (holidays, weekends) the last earlier one holds, and its date and age go with it.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.currencies import currency_info

BASE = "EUR"
# Common practice, no source: the longest run of days without rates (Easter, Christmas) is 4 or 5.
MAX_AGE_DAYS = 7

Published = Sequence[tuple[dt.date, Fraction]]
History = Mapping[str, Published]


class NoRateError(InputRefusedError):
    """No rate of `currency` that may be used is known for the day `on`."""

    code = "no_rate"

    def __init__(self, currency: str, on: dt.date, why: str) -> None:
        self.currency, self.on = currency, on
        super().__init__(
            f"no exchange rate of {currency} can be used for {on.isoformat()}: {why}",
            hint="add a rate with its date and source to the exchange rates",
        )


@dataclass(frozen=True, slots=True)
class Rate:
    """Units of `currency` for one euro, as published on `date`, `age_days` before the day asked."""

    currency: str
    date: dt.date
    per_eur: Fraction
    age_days: int


@dataclass(frozen=True, slots=True)
class Rates:
    """What one unit of the supplier's currency costs in the home currency.

    `paid` is what the bank takes (its spread included), `customs` the plain rate for duty; when an
    authority publishes its own, put that in with `dataclasses.replace`. `date` and `age_days` tell
    the older of the two publications.
    """

    paid: Fraction
    customs: Fraction
    date: dt.date
    age_days: int


def same_currency(on: dt.date) -> Rates:
    """Return the rates of a supplier who sells in the home currency: nothing is exchanged."""
    return Rates(Fraction(1), Fraction(1), on, 0)


def rate_on(
    history: History, currency: str, on: dt.date, *, max_age_days: int = MAX_AGE_DAYS
) -> Rate:
    """Return the last rate published on or before `on`.

    `history` gives each currency's rates sorted by date. Raises NoRateError when there is none,
    or when the last one is older than `max_age_days` (the history ends, or the currency has).
    """
    if currency == BASE:
        return Rate(BASE, on, Fraction(1), 0)
    published = history.get(currency, ())
    known = bisect_right(published, on, key=lambda point: point[0])
    if known == 0:
        raise NoRateError(currency, on, "none was published on or before that day")
    date, per_eur = published[known - 1]
    age_days = (on - date).days
    if age_days > max_age_days:
        raise NoRateError(currency, on, _too_old(currency, date, age_days, max_age_days))
    return Rate(currency, date, per_eur, age_days)


def _too_old(currency: str, date: dt.date, age_days: int, max_age_days: int) -> str:
    ended = currency_info(currency).ended
    if ended is not None and ended <= date + dt.timedelta(days=max_age_days):
        return f"the currency ended on {ended.isoformat()}, its last rate is of {date.isoformat()}"
    return (
        f"the last one is of {date.isoformat()}, {age_days} days old, "
        f"and {max_age_days} are allowed"
    )


def mid_rate(foreign: Rate, home: Rate) -> Fraction:
    """Return home units for one foreign unit at the published middle, crossed over EUR, exactly."""
    return home.per_eur / foreign.per_eur


def paid_rate(mid: Fraction, spread: Fraction) -> Fraction:
    """Return what the bank takes where the quote is home per foreign: mid × (1 + spread)."""
    return mid * (1 + spread)


def paid_quote(mid: Fraction, spread: Fraction) -> Fraction:
    """Return what the bank gives where the quote is foreign per home: mid ÷ (1 + spread)."""
    return mid / (1 + spread)


def supplier_rates(foreign: Rate, home: Rate, spread: Fraction = Fraction(0)) -> Rates:
    """Return the paid and the customs rate of the supplier's currency in the home currency."""
    if foreign.currency == home.currency:
        return same_currency(home.date)
    mid = mid_rate(foreign, home)
    age_days = max(foreign.age_days, home.age_days)
    return Rates(paid_rate(mid, spread), mid, min(foreign.date, home.date), age_days)
