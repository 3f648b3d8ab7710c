"""A supplier's stored terms as the rules count them: charges on an order, prices of its lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError, PartsdbError
from partsdb.jobs import settings
from partsdb.rules.costing_parts import ShareBy
from partsdb.rules.discounts import Discount, discount_on
from partsdb.rules.fees import Fee, FeeOf
from partsdb.rules.freight import FreightStep, FreightTable, Weighing, packed_volume_mm3
from partsdb.rules.landed import BASES, LandedLine, SupplierTerms
from partsdb.rules.money import Money, plain_decimal
from partsdb.rules.offers import Offer
from partsdb.rules.payment import prompt_discount_in
from partsdb.store import terms_more
from partsdb.store.rows import OfferRow, PartRow, Terms
from partsdb.store.rows_terms import DepositRow, FeeRow, FreightStepRow

# In which customs values a fee is, as the files write it.
DUTIABLE = {"no": (), "CIF": ("CIF",), "always": BASES}


@dataclass(frozen=True, slots=True)
class LineTerms:
    """What a supplier's terms say of the price of each line; `returned` is the shop's own share."""

    discounts: tuple[Discount, ...]
    deposits: Mapping[int, DepositRow]
    incremental: bool
    returned: Fraction

    def landed(
        self, part: PartRow, offer: OfferRow, units: int, duty_rate: Fraction | None
    ) -> LandedLine:
        """Return so many units of a part from an offer as the rules land them."""
        return LandedLine(
            part=f"{part.maker} {part.number}",
            offer=self._offer(part, offer),
            need_units=units,
            weight_g=part.weight_g,
            duty_rate=duty_rate,
            volume_mm3=packed_volume_mm3(part.packed_mm) if part.packed_mm else None,
        )

    def _offer(self, part: PartRow, offer: OfferRow) -> Offer:
        deposit = self.deposits.get(part.id)
        if deposit is not None and deposit.currency != offer.currency:
            raise InputRefusedError(
                f"the core deposit on {part.maker} {part.number} is in {deposit.currency}, the "
                f"offer in {offer.currency}",
                hint="store the deposit in the currency of the list (supplier terms --from)",
            )
        returned = self.returned
        if deposit is not None and deposit.returned:
            returned = plain_decimal(deposit.returned)
        return Offer(
            offer.price_e4,
            offer.currency,
            offer.price_per,
            offer.pack_units,
            offer.min_units,
            offer.breaks,
            self.incremental,
            discount_on(self.discounts, maker_id=part.maker_id, role=part.role, code=offer.code),
            deposit.deposit_minor if deposit else 0,
            returned,
        )


def line_terms(stored: Terms | None, supplier_id: int, as_of: str) -> LineTerms:
    """Return what counts for the supplier's lines on the ISO date."""
    found = terms_more.discounts_as_of(supplier_id, as_of)
    return LineTerms(
        tuple(Discount(plain_decimal(d.rate), d.maker_id, d.role, d.code) for d in found),
        terms_more.deposits_as_of(supplier_id, as_of),
        stored is not None and stored.price_breaks == "incremental",
        settings.share("core_returned"),
    )


def order_terms(stored: Terms | None, supplier_id: int, currency: str, as_of: str) -> SupplierTerms:
    """Return what counts for an order on the ISO date; without terms little is charged, and said.

    Raises InputRefusedError where terms and offers are in different currencies.
    """
    if stored is None:
        zero = Money.zero(currency)
        return SupplierTerms(currency, "", zero, None, zero, zero, zero, zero, Fraction(0))
    if stored.currency != currency:
        raise InputRefusedError(
            f"the offer is in {currency}, the supplier's terms are in {stored.currency}",
            hint="store the supplier's terms in the currency of the list (supplier terms --from)",
        )
    fees, ended = _fees(supplier_id, as_of)
    return SupplierTerms(
        currency=currency,
        incoterm=stored.incoterm,
        freight=Money(stored.freight_minor, currency),
        free_above=_money(stored.free_above_minor, currency),
        min_order=Money(stored.min_order_minor, currency),
        small_order=Money(stored.small_order_minor, currency),
        insurance=Money(stored.insurance_minor, currency),
        brokerage=Money(stored.brokerage_minor, stored.brokerage_currency or currency),
        spread=Fraction(stored.spread),
        freight_per_kg=_money(stored.freight_per_kg_minor, currency),
        fuel=Fraction(stored.fuel),
        weighing=Weighing(
            stored.volumetric_divisor,
            stored.weigh_by == "piece",
            Fraction(stored.weight_step_g, 1000),
        ),
        tables=_tables(supplier_id, currency, as_of),
        fees=fees,
        prompt_discount=_prompt(stored),
        not_counted=ended,
    )


def _money(minor: int | None, currency: str) -> Money | None:
    return None if minor is None else Money(minor, currency)


def _tables(supplier_id: int, currency: str, as_of: str) -> tuple[FreightTable, ...]:
    steps = terms_more.freight_as_of(supplier_id, as_of)
    by_basis = [[s for s in steps if s.basis == basis] for basis in ("weight", "value")]
    by_value = by_basis[1]
    if by_value and by_value[0].currency != currency:
        raise InputRefusedError(
            f"the freight by value is in {by_value[0].currency}, the terms are in {currency}",
            hint="give the table in the currency of the terms",
        )
    return tuple(freight_table(each) for each in by_basis if each)


def _fees(supplier_id: int, as_of: str) -> tuple[tuple[Fee, ...], tuple[str, ...]]:
    """Return the fees in force, and what is to be said of those that have ended.

    A dated fee that has run out is no fee of nothing: nobody has stored what it is now.
    """
    rows = terms_more.fees_as_of(supplier_id, as_of)
    ended = [row for row in rows if row.valid_to and row.valid_to < as_of]
    counted = tuple(fee_of(row) for row in rows if row not in ended)
    return counted, tuple(_ended(row) for row in ended)


def _ended(row: FeeRow) -> str:
    return f"{row.fee}: what is stored ended on {row.valid_to}"


def _prompt(stored: Terms) -> Fraction:
    """Return what comes off for prompt payment where the shop always takes it."""
    if settings.setting("take_prompt_discount") != "yes":
        return Fraction(0)
    found = prompt_discount_in(stored.payment)
    return found.rate if found else Fraction(0)


def fee_of(row: FeeRow) -> Fee:
    """Return a stored fee as the rules count it; raises InputRefusedError when it cannot be."""

    def money(minor: int | None) -> Money | None:
        return None if minor is None else Money(minor, row.currency)

    return Fee(
        row.fee,
        Money(row.flat_minor, row.currency),
        plain_decimal(row.rate),
        FeeOf(row.of),
        money(row.least_minor),
        money(row.most_minor),
        ShareBy(row.share_by),
        DUTIABLE[row.dutiable],
        bool(row.in_vat),
    )


def freight_table(rows: Sequence[FreightStepRow]) -> FreightTable:
    """Return stored steps as the rules count them; raises PartsdbError when they do not fit."""
    if len({row.currency for row in rows}) > 1:
        raise PartsdbError("the freight of one table is in one currency")
    by_weight = rows[0].basis == "weight"
    steps = [
        FreightStep(
            Fraction(row.start, 1000) if by_weight else Fraction(row.start),
            Money(row.freight_minor, row.currency),
            None if row.per_kg_more_minor is None else Money(row.per_kg_more_minor, row.currency),
        )
        for row in rows
    ]
    return FreightTable(by_weight, tuple(steps))
