"""Loading fees, discounts, core deposits and customs' rates from the shop's own files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, TypeVar

from partsdb.jobs import settings
from partsdb.jobs.named import the_maker
from partsdb.jobs.seller_terms import DUTIABLE, fee_of
from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.jobs.shop_parts import find_part
from partsdb.jobs.shop_terms import supplier_of
from partsdb.rules.costing import ShareBy
from partsdb.rules.fees import FeeOf
from partsdb.rules.makers import name_key
from partsdb.rules.money import plain_decimal
from partsdb.rules.roles import known_roles
from partsdb.store import events, terms_more
from partsdb.store.rows import Stamp
from partsdb.store.rows_terms import CustomsRateRow, DepositRow, DiscountRow, FeeRow

FEES = FileFormat(
    "fees.csv",
    ("supplier", "fee", "valid_from", "currency"),
    ("flat", "rate", "of", "minimum", "maximum", "share_by", "dutiable", "in_vat", "valid_to",
     "source"),
)  # fmt: skip
DISCOUNTS = FileFormat(
    "discounts.csv",
    ("supplier", "valid_from", "discount"),
    ("valid_to", "maker", "role", "code", "note"),
)
DEPOSITS = FileFormat(
    "deposits.csv",
    ("supplier", "maker", "number", "valid_from", "currency", "deposit"),
    ("returned", "valid_to"),
)
CUSTOMS_RATES = FileFormat(
    "customs_rates.csv", ("currency", "valid_from", "home_per_unit", "source"), ("valid_to",)
)
YES_NO = ("no", "yes")
T = TypeVar("T", bound=NamedTuple)


def load_fees(table: Table, by: Stamp) -> LoadCount:
    """Store suppliers' fees, each version from its day on."""
    wanted = [found for row in table.rows if (found := _read_fee(row))]
    table.refuse_if_bad()
    return table.tally([_store_fee(fee, by) for fee in wanted])


def _read_fee(row: Row) -> FeeRow | None:
    supplier, currency = supplier_of(row), row.currency("currency")
    valid_from, valid_to = row.period()
    before = len(row.table.problems)
    read = FeeRow(
        supplier_id=supplier.id if supplier else 0,
        fee=row.text("fee", needed=True),
        valid_from=valid_from,
        valid_to=valid_to,
        currency=currency,
        flat_minor=row.minor("flat", currency) or 0,
        rate=row.share("rate", needed=False) or "0",
        of=row.choice("of", FeeOf, needed=False) or FeeOf.GOODS,
        least_minor=row.minor("minimum", currency),
        most_minor=row.minor("maximum", currency),
        share_by=row.choice("share_by", ShareBy, needed=False) or ShareBy.VALUE,
        dutiable=row.choice("dutiable", DUTIABLE, needed=False) or "no",
        in_vat=YES_NO.index(row.choice("in_vat", YES_NO, needed=False) or "no"),
        source=row.text("source"),
    )
    if supplier and len(row.table.problems) == before:
        row.tried("fee", lambda: fee_of(read), None)
    return read if supplier else None


def _store_fee(new: FeeRow, by: Stamp) -> str:
    versions = terms_more.fee_versions(new.supplier_id)
    key = (name_key(new.fee), new.valid_from)
    old = [each for each in versions if (name_key(each.fee), each.valid_from) == key]
    return _store(new, old, terms_more.add_fee, "fee", by)


def _store(new: T, versions: Sequence[T], add: Callable[..., None], action: str, by: Stamp) -> str:
    """Store a row where it says something else than the last one of the same goods and day."""
    old = versions[-1] if versions else None
    if old == new:
        return "same"
    add(new, by=by)
    facts: Any = new
    detail = {"is": facts._asdict(), "was": old._asdict() if old else {}}
    events.record(action, ("supplier", facts.supplier_id), detail, by=by)
    return "changed" if old else "added"


def load_discounts(table: Table, by: Stamp) -> LoadCount:
    """Store what suppliers take off their list prices: of everything, a group, or a code."""
    wanted = [found for row in table.rows if (found := _read_discount(row))]
    table.refuse_if_bad()
    return table.tally([_store_discount(each, by) for each in wanted])


def _read_discount(row: Row) -> DiscountRow | None:
    supplier = supplier_of(row)
    valid_from, valid_to = row.period()
    name = row.text("maker")
    maker = row.tried("maker", lambda: the_maker(name), None) if name else None
    before = len(row.table.problems)
    rate = row.share("discount")
    if len(row.table.problems) == before and plain_decimal(rate) == 1:
        row.bad("discount", "takes the whole price off; write 0.1 or 10 % for a tenth")
    read = DiscountRow(
        supplier_id=supplier.id if supplier else 0,
        valid_from=valid_from,
        valid_to=valid_to,
        maker_id=maker.id if maker else None,
        role=row.choice("role", known_roles(), needed=False),
        code=row.text("code"),
        rate=rate,
        note=row.text("note"),
    )
    return read if supplier else None


def _store_discount(new: DiscountRow, by: Stamp) -> str:
    def goods(row: DiscountRow) -> tuple[object, ...]:
        return row.valid_from, row.maker_id, row.role, row.code

    versions = terms_more.discount_versions(new.supplier_id)
    old = [each for each in versions if goods(each) == goods(new)]
    return _store(new, old, terms_more.add_discount, "discount", by)


def load_deposits(table: Table, by: Stamp) -> LoadCount:
    """Store what is laid out for old cores, and how often they are sent back."""
    wanted = [found for row in table.rows if (found := _read_deposit(row))]
    table.refuse_if_bad()
    return table.tally([_store_deposit(each, by) for each in wanted])


def _read_deposit(row: Row) -> DepositRow | None:
    supplier, part_id = supplier_of(row), find_part(row)
    valid_from, valid_to = row.period()
    currency = row.currency("currency")
    row.text("deposit", needed=True)
    if supplier is None or part_id is None:
        return None
    return DepositRow(
        supplier.id, part_id, valid_from, valid_to, currency,
        row.minor("deposit", currency) or 0, row.share("returned", needed=False),
    )  # fmt: skip


def _store_deposit(new: DepositRow, by: Stamp) -> str:
    versions = terms_more.deposit_versions(new.supplier_id)
    key = (new.part_id, new.valid_from)
    old = [each for each in versions if (each.part_id, each.valid_from) == key]
    return _store(new, old, terms_more.add_deposit, "deposit", by)


def load_customs_rates(table: Table, by: Stamp) -> LoadCount:
    """Store what customs count currencies at, in the shop's own currency."""
    home = settings.setting("home_currency")
    wanted = list(dict.fromkeys(_read_customs_rate(row, home) for row in table.rows))
    table.refuse_if_bad()
    known = {(old.currency, old.home, old.valid_from): old for old in terms_more.customs_rates()}
    were = [(known.get((new.currency, new.home, new.valid_from)), new) for new in wanted]
    fresh = [new for old, new in were if old != new]
    terms_more.add_customs_rates(fresh, by=by)
    changed = [old for old, new in were if old is not None and old != new]
    if fresh:
        detail = {
            "is": [each._asdict() for each in fresh],
            "was": [old._asdict() for old in changed],
        }
        events.record("rates", ("customs", None), detail, by=by)
    added = len(fresh) - len(changed)
    return LoadCount(table.name, added, len(wanted) - len(fresh), len(changed))


def _read_customs_rate(row: Row, home: str) -> CustomsRateRow:
    valid_from, valid_to = row.period()
    rate = row.decimal("home_per_unit", default="")
    if not row.table.problems and plain_decimal(rate) == 0:
        row.bad("home_per_unit", "a rate of zero is no rate")
    return CustomsRateRow(
        row.currency("currency"), home, valid_from, valid_to, rate, row.text("source", needed=True)
    )
