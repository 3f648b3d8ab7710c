"""Freight tables, fees, discounts, core deposits and customs' rates, each as of a day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsdb.rules.makers import name_key
from partsdb.store import sql
from partsdb.store.rows import Stamp
from partsdb.store.rows_terms import (
    CustomsRateRow,
    DepositRow,
    DiscountRow,
    FeeRow,
    FreightStepRow,
)

_STEP = ", ".join(FreightStepRow._fields)
_FEE = ", ".join(FeeRow._fields)
_DISCOUNT = ", ".join(DiscountRow._fields)
_DEPOSIT = ", ".join(DepositRow._fields)
_CUSTOMS = ", ".join(CustomsRateRow._fields)


def add_freight_table(steps: Sequence[FreightStepRow], *, by: Stamp) -> None:
    """Store one table, all of its steps; it takes the place of an older one of the same day."""
    entry = sql.next_id("freight_step")
    values = ((*step, entry, by.at) for step in steps)
    sql.insert_many("freight_step", f"{_STEP}, entry, made_at", values)


def freight_as_of(supplier_id: int, as_of: str) -> list[FreightStepRow]:
    """Return the steps of the tables that count on the ISO date, by basis and start."""
    found: list[FreightStepRow] = []
    for basis in ("weight", "value"):
        newest = sql.first(
            "SELECT entry FROM freight_step WHERE supplier_id = ? AND basis = ? AND valid_from <= ?"
            " ORDER BY valid_from DESC, entry DESC LIMIT 1",
            (supplier_id, basis, as_of),
        )
        if newest:
            found += _table(newest[0])
    return found


def freight_from(supplier_id: int, basis: str, valid_from: str) -> list[FreightStepRow]:
    """Return the table that was entered last for just that day, nothing when there is none."""
    row = sql.first(
        "SELECT max(entry) FROM freight_step WHERE supplier_id = ? AND basis = ?"
        " AND valid_from = ?",
        (supplier_id, basis, valid_from),
    )
    return _table(row[0]) if row and row[0] is not None else []


def _table(entry: int) -> list[FreightStepRow]:
    found = sql.rows(f"SELECT {_STEP} FROM freight_step WHERE entry = ? ORDER BY start", (entry,))
    return [FreightStepRow(*row) for row in found]


def add_fee(fee: FeeRow, *, by: Stamp) -> None:
    """Store a fee from its day on; older versions stay for older days."""
    sql.insert("supplier_fee", f"{_FEE}, fee_key, made_at", (*fee, name_key(fee.fee), by.at))


def fees_as_of(supplier_id: int, as_of: str) -> list[FeeRow]:
    """Return the newest version of each fee on the ISO date, ended ones too, by name."""
    found = sql.rows(
        f"SELECT {_FEE}, fee_key FROM supplier_fee WHERE supplier_id = ? AND valid_from <= ?"
        " ORDER BY fee_key, valid_from, id",
        (supplier_id, as_of),
    )
    newest = {row[-1]: FeeRow(*row[:-1]) for row in found}
    return list(newest.values())


def fee_versions(supplier_id: int) -> list[FeeRow]:
    """Return every version of a supplier's fees, the newest of a name and day last."""
    found = sql.rows(
        f"SELECT {_FEE} FROM supplier_fee WHERE supplier_id = ? ORDER BY fee_key, valid_from, id",
        (supplier_id,),
    )
    return [FeeRow(*row) for row in found]


def add_discount(discount: DiscountRow, *, by: Stamp) -> None:
    """Store a discount; the last entered of the same goods and day counts."""
    sql.insert("supplier_discount", f"{_DISCOUNT}, made_at", (*discount, by.at))


def discounts_as_of(supplier_id: int, as_of: str) -> list[DiscountRow]:
    """Return the discounts that are in force on the ISO date, the newest of equal goods alone."""
    found = sql.rows(
        f"SELECT {_DISCOUNT} FROM supplier_discount WHERE supplier_id = ? AND valid_from <= ?"
        " ORDER BY valid_from, id",
        (supplier_id, as_of),
    )
    rows = (DiscountRow(*row) for row in found)
    newest = {(row.maker_id, row.role, row.code): row for row in rows}
    return [row for row in newest.values() if (row.valid_to or as_of) >= as_of]


def discount_versions(supplier_id: int) -> list[DiscountRow]:
    """Return every discount of a supplier, the newest of the same goods and day last."""
    found = sql.rows(
        f"SELECT {_DISCOUNT} FROM supplier_discount WHERE supplier_id = ? ORDER BY valid_from, id",
        (supplier_id,),
    )
    return [DiscountRow(*row) for row in found]


def add_deposit(deposit: DepositRow, *, by: Stamp) -> None:
    """Store a core deposit from its day on."""
    sql.insert("core_deposit", f"{_DEPOSIT}, made_at", (*deposit, by.at))


def deposits_as_of(supplier_id: int, as_of: str) -> dict[int, DepositRow]:
    """Return the deposits in force on the ISO date by part."""
    found = sql.rows(
        f"SELECT {_DEPOSIT} FROM core_deposit WHERE supplier_id = ? AND valid_from <= ?"
        " ORDER BY valid_from, id",
        (supplier_id, as_of),
    )
    newest = {row.part_id: row for row in (DepositRow(*row) for row in found)}
    return {part: row for part, row in newest.items() if (row.valid_to or as_of) >= as_of}


def deposit_versions(supplier_id: int) -> list[DepositRow]:
    """Return every core deposit of a supplier, the newest of a part and day last."""
    found = sql.rows(
        f"SELECT {_DEPOSIT} FROM core_deposit WHERE supplier_id = ?"
        " ORDER BY part_id, valid_from, id",
        (supplier_id,),
    )
    return [DepositRow(*row) for row in found]


def add_customs_rates(rates: Iterable[CustomsRateRow], *, by: Stamp) -> None:
    """Store what customs count currencies at."""
    values = ((*rate, by.at) for rate in rates)
    sql.insert_many("customs_rate", f"{_CUSTOMS}, made_at", values)


def customs_rate(currency: str, home: str, as_of: str) -> CustomsRateRow | None:
    """Return what customs count the currency at on the ISO date, None where no rate is in force."""
    row = sql.first(
        f"SELECT {_CUSTOMS} FROM customs_rate WHERE currency = ? AND home = ? AND valid_from <= ?"
        " ORDER BY valid_from DESC, id DESC LIMIT 1",
        (currency, home, as_of),
    )
    found = CustomsRateRow(*row) if row else None
    return found if found and (found.valid_to or as_of) >= as_of else None


def customs_rates() -> list[CustomsRateRow]:
    """Return every rate of customs, the newest of a currency and day last."""
    found = sql.rows(f"SELECT {_CUSTOMS} FROM customs_rate ORDER BY currency, valid_from, id")
    return [CustomsRateRow(*row) for row in found]
