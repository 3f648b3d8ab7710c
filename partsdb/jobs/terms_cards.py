"""A supplier's terms for people to read: every version of them, and what else is in force."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from partsdb.jobs.named import the_supplier
from partsdb.rules.costing_parts import per_cent
from partsdb.rules.currencies import minor_digits
from partsdb.rules.money import Money, plain_decimal
from partsdb.store import catalogue, makers, terms, terms_more
from partsdb.store.rows import Terms
from partsdb.store.rows_terms import DepositRow, DiscountRow, FeeRow, FreightStepRow


@dataclass(frozen=True, slots=True)
class TermsShown:
    """Terms with their amounts as decimal text."""

    valid_from: str
    currency: str
    incoterm: str
    named_place: str
    freight: str
    free_above: str
    min_order: str
    small_order: str
    insurance: str
    brokerage: str
    duty_heading: str
    origin: str
    spread: str
    lead_days: int | None
    payment: str
    freight_per_kg: str
    fuel: str
    volumetric_divisor: int | None
    weigh_by: str
    weight_step: str
    price_breaks: str


@dataclass(frozen=True, slots=True)
class FreightShown:
    """A step of a freight table."""

    valid_from: str
    step: str
    freight: str
    per_kg_more: str


@dataclass(frozen=True, slots=True)
class FeeShown:
    """A fee as stored."""

    fee: str
    valid_from: str
    valid_to: str
    flat: str
    rate: str
    of: str
    minimum: str
    maximum: str
    shared_by: str
    dutiable: str
    in_vat: bool
    source: str


@dataclass(frozen=True, slots=True)
class DiscountShown:
    """A discount and the goods that it is for."""

    goods: str
    discount: str
    valid_from: str
    valid_to: str
    note: str


@dataclass(frozen=True, slots=True)
class DepositShown:
    """A core deposit; `returned` "" where the shop's own share counts."""

    part: str
    deposit: str
    returned: str
    valid_from: str
    valid_to: str


@dataclass(frozen=True, slots=True)
class TermsAnswer:
    """`supplier terms`: every version of the terms, newest first; of the rest what is in force."""

    supplier: str
    as_of: str
    terms: tuple[TermsShown, ...]
    freight: tuple[FreightShown, ...]
    fees: tuple[FeeShown, ...]
    discounts: tuple[DiscountShown, ...]
    deposits: tuple[DepositShown, ...]


def terms_answer(name: str, as_of: str) -> TermsAnswer:
    """Return all of a supplier's terms; raises NotFoundError."""
    supplier = the_supplier(name)
    deposits = terms_more.deposits_as_of(supplier.id, as_of)
    steps = terms_more.freight_as_of(supplier.id, as_of)
    parts = catalogue.part_rows(deposits)
    named = {part: f"{row.maker} {row.number}" for part, row in parts.items()}
    return TermsAnswer(
        supplier=supplier.name,
        as_of=as_of,
        terms=tuple(
            shown_terms(each, by_table=bool(steps)) for each in terms.terms_history(supplier.id)
        ),
        freight=tuple(_freight(row) for row in steps),
        fees=tuple(_fee(row) for row in terms_more.fees_as_of(supplier.id, as_of)),
        discounts=tuple(_discounts(terms_more.discounts_as_of(supplier.id, as_of))),
        deposits=tuple(_deposit(row, named[part]) for part, row in deposits.items()),
    )


def shown_terms(t: Terms, *, by_table: bool) -> TermsShown:
    """Return terms with amounts as text; `by_table` when a freight table is in force as well."""
    goes_by_weight = bool(t.volumetric_divisor or t.weight_step_g or t.weigh_by == "piece")
    return TermsShown(
        valid_from=t.valid_from,
        currency=t.currency,
        incoterm=t.incoterm,
        named_place=t.named_place,
        freight=_flat_freight(t, by_table),
        free_above=_text(t.free_above_minor, t.currency),
        min_order=_text(t.min_order_minor, t.currency),
        small_order=_text(t.small_order_minor, t.currency),
        insurance=_text(t.insurance_minor, t.currency),
        brokerage=_text(t.brokerage_minor, t.brokerage_currency or t.currency),
        duty_heading=t.duty_heading,
        origin=t.origin,
        spread=t.spread,
        lead_days=t.lead_days,
        payment=t.payment,
        freight_per_kg=_text(t.freight_per_kg_minor, t.currency),
        fuel=t.fuel if t.freight_per_kg_minor is not None or t.fuel != "0" else "",
        volumetric_divisor=t.volumetric_divisor,
        weigh_by=t.weigh_by if goes_by_weight else "",
        weight_step=f"{Decimal(t.weight_step_g).scaleb(-3):f} kg" if t.weight_step_g else "",
        price_breaks=t.price_breaks,
    )


def _flat_freight(t: Terms, by_table: bool) -> str:
    """Return the flat charge; without one a table's freight must not look like carriage free."""
    flat = _text(t.freight_minor, t.currency)
    if not by_table:
        return flat
    return f"{flat} and by the freight table" if t.freight_minor else "by the freight table"


def _text(minor: int | None, currency: str) -> str:
    if minor is None:
        return ""
    return f"{Decimal(minor).scaleb(-minor_digits(currency)):f} {currency}"


def _freight(row: FreightStepRow) -> FreightShown:
    by_weight = row.basis == "weight"
    start = f"{Decimal(row.start).scaleb(-3).normalize():f} kg"
    return FreightShown(
        row.valid_from,
        f"over {start}" if by_weight else f"from {Money(row.start, row.currency)} of goods on",
        _text(row.freight_minor, row.currency),
        _text(row.per_kg_more_minor, row.currency),
    )


def _share(written: str) -> str:
    return per_cent(plain_decimal(written)) if written else ""


def _fee(row: FeeRow) -> FeeShown:
    return FeeShown(
        fee=row.fee,
        valid_from=row.valid_from,
        valid_to=row.valid_to or "",
        flat=_text(row.flat_minor or None, row.currency),
        rate="" if plain_decimal(row.rate) == 0 else _share(row.rate),
        of="" if plain_decimal(row.rate) == 0 else row.of,
        minimum=_text(row.least_minor, row.currency),
        maximum=_text(row.most_minor, row.currency),
        shared_by=row.share_by,
        dutiable=row.dutiable,
        in_vat=bool(row.in_vat),
        source=row.source,
    )


def _discounts(rows: list[DiscountRow]) -> list[DiscountShown]:
    names = {maker.id: maker.name for maker in makers.maker_rows()}
    return [
        DiscountShown(
            _goods(row, names.get(row.maker_id or 0, "")), _share(row.rate), row.valid_from,
            row.valid_to or "", row.note,
        )
        for row in rows
    ]  # fmt: skip


def _goods(row: DiscountRow, maker: str) -> str:
    told = [maker, row.role, f"code {row.code}" if row.code else ""]
    return " ".join(filter(None, told)) or "everything"


def _deposit(row: DepositRow, part: str) -> DepositShown:
    return DepositShown(
        part, _text(row.deposit_minor, row.currency), _share(row.returned), row.valid_from,
        row.valid_to or "",
    )  # fmt: skip
