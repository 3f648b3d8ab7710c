"""Loading suppliers' terms and freight tables from the shop's own files."""

from __future__ import annotations

from fractions import Fraction

from partsdb.jobs import named
from partsdb.jobs.seller_terms import freight_table
from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.rules.landed import incoterm
from partsdb.rules.money import plain_decimal
from partsdb.store import events, terms, terms_more
from partsdb.store.rows import Stamp, SupplierRow, Terms
from partsdb.store.rows_terms import FreightStepRow

TERMS = FileFormat(
    "terms.csv",
    ("supplier", "valid_from", "currency"),
    ("incoterm", "named_place", "freight", "free_above", "min_order", "small_order", "insurance",
     "brokerage", "brokerage_currency", "duty_heading", "origin", "spread", "lead_days", "payment",
     "freight_per_kg", "fuel", "volumetric_divisor", "weigh_by", "weight_step_kg", "price_breaks"),
)  # fmt: skip
FREIGHT = FileFormat(
    "freight.csv",
    ("supplier", "valid_from", "currency", "freight"),
    ("up_to_kg", "from_value", "per_kg_more"),
)
WEIGH_BY = ("consignment", "piece")
PRICE_BREAKS = ("all units", "incremental")
ANY_WEIGHT = "any"


def load_terms(table: Table, by: Stamp) -> LoadCount:
    """Store suppliers' terms from their dates on; amounts in the row's currency."""
    wanted = [found for row in table.rows if (found := _read_terms(row))]
    table.refuse_if_bad()
    return table.tally([_store_terms(each, by) for each in wanted])


def _read_terms(row: Row) -> Terms | None:
    supplier = supplier_of(row)
    valid_from = row.day("valid_from", needed=True)
    currency = row.currency("currency")
    brokerage_currency = row.currency("brokerage_currency", default=currency or "EUR")
    read = Terms(
        supplier_id=supplier.id if supplier else 0,
        valid_from=valid_from or "",
        currency=currency,
        incoterm=_incoterm(row),
        named_place=row.text("named_place"),
        freight_minor=row.minor("freight", currency) or 0,
        free_above_minor=row.minor("free_above", currency),
        min_order_minor=row.minor("min_order", currency) or 0,
        small_order_minor=row.minor("small_order", currency) or 0,
        insurance_minor=row.minor("insurance", currency) or 0,
        brokerage_minor=row.minor("brokerage", brokerage_currency) or 0,
        brokerage_currency=brokerage_currency,
        duty_heading=row.text("duty_heading"),
        origin=row.text("origin").upper(),
        spread=row.below_one("spread"),
        lead_days=row.whole("lead_days"),
        payment=row.text("payment"),
        freight_per_kg_minor=row.minor("freight_per_kg", currency),
        fuel=row.below_one("fuel"),
        volumetric_divisor=row.whole("volumetric_divisor", least=1),
        weigh_by=row.choice("weigh_by", WEIGH_BY, needed=False) or WEIGH_BY[0],
        weight_step_g=_grams(row, "weight_step_kg") or 0,
        price_breaks=row.choice("price_breaks", PRICE_BREAKS, needed=False) or PRICE_BREAKS[0],
    )
    return read if supplier else None


def supplier_of(row: Row) -> SupplierRow | None:
    """Return the supplier that a row names; a name that is missing or not known is its problem."""
    name = row.text("supplier", needed=True)
    return row.tried("supplier", lambda: named.the_supplier(name), None) if name else None


def _incoterm(row: Row) -> str:
    """Return a rule of Incoterms 2020 in capitals, "" when none is stated."""
    rule = row.text("incoterm").upper()
    if rule:
        row.tried("incoterm", lambda: incoterm(rule), None)
    return rule


def _grams(row: Row, column: str) -> int | None:
    """Return kilograms as whole grams, None for an empty cell."""
    written = row.text(column)
    if not written:
        return None
    grams = row.tried(column, lambda: plain_decimal(written) * 1000, Fraction(0))
    if grams.denominator != 1 or grams < 0:
        row.bad(column, f"{written!r} is no weight in whole grams; write 0.5 for half a kilogram")
        return None
    return int(grams)


def _store_terms(new: Terms, by: Stamp) -> str:
    old = next((t for t in terms.terms_history(new.supplier_id) if t.valid_from == new.valid_from),
               None)  # fmt: skip
    if old == new:
        return "same"
    terms.add_terms(new, by=by)
    detail = {"is": new._asdict(), "was": old._asdict() if old else {}}
    events.record("terms", ("supplier", new.supplier_id), detail, by=by)
    return "changed" if old else "added"


_TableKey = tuple[int, str, str]  # supplier, first day, weight or value
_Ends = list[tuple[int | None, Row]]  # where a row's step ends (None: never) or, by value, begins


def load_freight(table: Table, by: Stamp) -> LoadCount:
    """Store freight tables: the rows of one supplier and day, by weight or by value, are one."""
    grouped: dict[_TableKey, _Ends] = {}
    for row in table.rows:
        found = _read_step(row)
        if found is not None:
            grouped.setdefault(found[0], []).append((found[1], row))
    tables = [_steps(key, ends) for key, ends in grouped.items()]
    table.refuse_if_bad()
    return table.tally([_store_table(steps, by) for steps in tables])


def _read_step(row: Row) -> tuple[_TableKey, int | None] | None:
    """Return which table a row belongs to, and its kilograms in grams or value in minor units."""
    supplier, valid_from = supplier_of(row), row.day("valid_from", needed=True)
    currency = row.currency("currency")
    row.text("freight", needed=True)
    row.minor("freight", currency)
    kilos, value = row.text("up_to_kg"), row.text("from_value")
    if bool(kilos) == bool(value):
        row.bad("up_to_kg", "either this or from_value is filled: a step is by weight or by value")
        return None
    if value and row.text("per_kg_more"):
        row.bad("per_kg_more", "is for the last step by weight; a step by value has none")
    end = row.minor("from_value", currency) if value else None
    if kilos and kilos.casefold() != ANY_WEIGHT:
        end = _grams(row, "up_to_kg")
    if supplier is None or valid_from is None:
        return None
    return (supplier.id, valid_from, "value" if value else "weight"), end


def _steps(key: _TableKey, ends: _Ends) -> list[FreightStepRow]:
    """Return the steps from their beginnings; a table that leaves a weight or value out is bad."""
    by_weight = key[2] == "weight"
    endless = [row for end, row in ends if end is None]
    rising = sorted(((end, row) for end, row in ends if end is not None), key=lambda each: each[0])
    first = ends[0][1]
    if by_weight and len(endless) != 1:
        first.bad("up_to_kg", f"one row of a table by weight says {ANY_WEIGHT!r}: what is heavier")
        return []
    if by_weight:
        starts = [0, *(end for end, _ in rising)]
        rows = [*(row for _, row in rising), *endless]
    else:
        starts, rows = [end for end, _ in rising], [row for _, row in rising]
    found = [_step(key, start, row) for start, row in zip(starts, rows, strict=True)]
    column = "up_to_kg" if by_weight else "from_value"
    first.tried(column, lambda: freight_table(found), None)
    return found


def _step(key: _TableKey, start: int, row: Row) -> FreightStepRow:
    currency = row.currency("currency")
    return FreightStepRow(
        *key, currency, start, row.minor("freight", currency) or 0,
        row.minor("per_kg_more", currency),
    )  # fmt: skip


def _store_table(steps: list[FreightStepRow], by: Stamp) -> str:
    head = steps[0]
    old = terms_more.freight_from(head.supplier_id, head.basis, head.valid_from)
    if old == steps:
        return "same"
    terms_more.add_freight_table(steps, by=by)
    detail = {"is": [step._asdict() for step in steps], "was": [step._asdict() for step in old]}
    events.record("freight", ("supplier", head.supplier_id), detail, by=by)
    return "changed" if old else "added"
