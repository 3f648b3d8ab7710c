"""Suppliers' terms, exchange rates and duty rates, each as of a day."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.store import sql
from partsdb.store.rows import DutyRow, FxRow, Stamp, Terms

_TERMS = (
    "supplier_id, valid_from, currency, incoterm, named_place, freight_minor, free_above_minor,"
    " min_order_minor, small_order_minor, insurance_minor, brokerage_minor, brokerage_currency,"
    " duty_heading, origin, spread, lead_days, payment, freight_per_kg_minor, fuel,"
    " volumetric_divisor, weigh_by, weight_step_g, price_breaks"
)
_DUTY = "heading, origin, rate, valid_from, valid_to, source"


def add_terms(terms: Terms, *, by: Stamp) -> int:
    """Store a supplier's terms from their date on; older ones stay for older days."""
    values = tuple(getattr(terms, name.strip()) for name in _TERMS.split(","))
    return sql.insert("supplier_terms", f"{_TERMS}, made_at", (*values, by.at))


def terms_as_of(supplier_id: int, as_of: str) -> Terms | None:
    """Return the terms that count on the ISO date, the last entered of one day, or None."""
    row = sql.first(
        f"SELECT {_TERMS} FROM supplier_terms WHERE supplier_id = ? AND valid_from <= ?"
        " ORDER BY valid_from DESC, id DESC LIMIT 1",
        (supplier_id, as_of),
    )
    return Terms(*row) if row else None


def terms_history(supplier_id: int) -> list[Terms]:
    """Return all terms of a supplier, newest first."""
    found = sql.rows(
        f"SELECT {_TERMS} FROM supplier_terms WHERE supplier_id = ?"
        " ORDER BY valid_from DESC, id DESC",
        (supplier_id,),
    )
    return [Terms(*row) for row in found]


def add_fx_rates(rates: Iterable[FxRow], *, at: str = "") -> None:
    """Store published rates, entered at that time; a correction counts, the old one stays."""
    sql.connection().executemany(
        "INSERT INTO fx_rate (date, currency, per_eur, source, made_at) VALUES (?, ?, ?, ?, ?)"
        " ON CONFLICT (currency, date, made_at) DO UPDATE SET per_eur = excluded.per_eur,"
        " source = excluded.source",
        ((r.date, r.currency, r.per_eur, r.source, at) for r in rates),
    )


def fx_rates(currency: str, as_of: str) -> FxRow | None:
    """Return the rate last published on or before the ISO date, with its own date, or None."""
    if currency == "EUR":
        return FxRow(as_of, "EUR", "1", "by definition")
    # By the key of the table: a bank's history has thousands of days of each currency.
    row = sql.first(
        "SELECT date, currency, per_eur, source FROM fx_rate WHERE currency = ? AND date <= ?"
        " ORDER BY date DESC, made_at DESC LIMIT 1",
        (currency, as_of),
    )
    return FxRow(*row) if row else None


def fx_on_days(pairs: Iterable[tuple[str, str]]) -> dict[tuple[str, str], FxRow]:
    """Return the stored rates of exactly those (currency, date) pairs."""
    wanted = set(pairs)
    found = sql.rows_for(
        "SELECT date, currency, per_eur, source FROM fx_now WHERE currency IN ({marks})",
        {currency for currency, _ in wanted},
    )
    rates = (FxRow(*row) for row in found)
    return {(r.currency, r.date): r for r in rates if (r.currency, r.date) in wanted}


def latest_fx(as_of: str) -> list[FxRow]:
    """Return the newest rate of every currency on or before the ISO date."""
    known = sql.rows("SELECT DISTINCT currency FROM fx_rate ORDER BY currency")
    found = (fx_rates(currency, as_of) for (currency,) in known)
    return [row for row in found if row]


def add_duty_rates(rates: Iterable[DutyRow], *, at: str = "") -> None:
    """Store duty rates; the last entered of one heading, origin and day counts."""
    sql.insert_many(
        "duty_rate",
        f"{_DUTY}, made_at",
        ((r.heading, r.origin, r.rate, r.valid_from, r.valid_to, r.source, at) for r in rates),
    )


def duty_rate(heading: str, origin: str, as_of: str) -> DutyRow | None:
    """Return the duty rate of exactly that heading on the ISO date; a rate for the origin wins.

    A shorter or longer heading is another heading: its rate is never borrowed.
    """
    begun = _duties_begun(heading, origin, as_of)
    return next((row for row in begun if not row.valid_to or row.valid_to >= as_of), None)


def ended_duty_rate(heading: str, origin: str, as_of: str) -> DutyRow | None:
    """Return of the rates of that heading that ended before the ISO date the last, or None."""
    begun = _duties_begun(heading, origin, as_of)
    ended = [row for row in begun if row.valid_to and row.valid_to < as_of]
    return max(ended, key=lambda row: row.valid_to or "", default=None)


def _duties_begun(heading: str, origin: str, as_of: str) -> list[DutyRow]:
    """Return what was in force by then, the origin's own and the newest first.

    Of one day's rates the last entered is the correction of the others: those no longer count.
    """
    found = sql.rows(
        f"SELECT {_DUTY} FROM duty_rate WHERE"
        " replace(replace(heading, '.', ''), ' ', '') = replace(replace(?, '.', ''), ' ', '')"
        " AND origin IN (?, '') AND valid_from <= ?"
        " ORDER BY origin DESC, valid_from DESC, id DESC",
        (heading, origin, as_of),
    )
    last: dict[tuple[str, str], DutyRow] = {}
    for row in map(DutyRow._make, found):
        last.setdefault((row.origin, row.valid_from), row)
    return list(last.values())


def duty_rows() -> list[DutyRow]:
    """Return all duty rates, newest of a heading first."""
    found = sql.rows(
        f"SELECT {_DUTY} FROM duty_rate ORDER BY heading, origin, valid_from DESC, id DESC"
    )
    return [DutyRow(*row) for row in found]
