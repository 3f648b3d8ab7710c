"""The charges on an order under a supplier's terms: freight, insurance, fees, small orders."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.rules.costing import Charge, CustomsRules, GoodsLine, ShareBy, customs_value, per_cent
from partsdb.rules.costing_parts import shown
from partsdb.rules.fees import Fee, FeeOf
from partsdb.rules.freight import FreightTable, Piece
from partsdb.rules.fx import Rates
from partsdb.rules.landed_terms import BASES, LandedLine, SupplierTerms
from partsdb.rules.money import CurrencyMismatchError, Money, total_of
from partsdb.rules.offers import Purchase

_MM3_PER_CM3 = 1000
FLAT = "flat for each order"


@dataclass(frozen=True, slots=True)
class OrderGoods:
    """The goods of one order with how the carrier weighs them; `pieces` is one for each line."""

    lines: tuple[GoodsLine, ...]
    pieces: tuple[Piece, ...]
    total: Money


def order_goods(
    lines: Sequence[LandedLine], bought: Sequence[Purchase], terms: SupplierTerms
) -> OrderGoods:
    """Return what is bought under the terms; raises CurrencyMismatchError for another currency."""
    pairs = list(zip(lines, bought, strict=True))
    goods = tuple(_goods_line(line, order, terms) for line, order in pairs)
    pieces = tuple(_piece(line, order.units, terms) for line, order in pairs)
    return OrderGoods(goods, pieces, total_of([line.goods for line in goods], terms.currency))


def _goods_line(line: LandedLine, bought: Purchase, terms: SupplierTerms) -> GoodsLine:
    if bought.goods.currency != terms.currency:
        raise CurrencyMismatchError(terms.currency, bought.goods.currency)
    offer = line.offer
    return GoodsLine(
        line.part,
        bought.units,
        bought.goods,
        weight=_shared_weight(line, bought.units, terms),
        duty_rate=line.duty_rate,
        listed=offer.listed(bought.units) if offer.discount else None,
        discount=offer.discount,
        deposit=offer.deposit(bought.units) if offer.deposit_minor else None,
        returned=offer.returned,
        no_duty_rate=line.no_duty_rate,
    )


def _piece(line: LandedLine, units: int, terms: SupplierTerms) -> Piece:
    kilos = Fraction((line.weight_g or 0) * units, 1000)
    volume_cm3 = Fraction((line.volume_mm3 or 0) * units, _MM3_PER_CM3)
    return terms.weighing.piece(kilos, volume_cm3)


def _shared_weight(line: LandedLine, units: int, terms: SupplierTerms) -> Fraction | None:
    """Return the weight by which the line shares in the freight, None when it is not known."""
    return terms.weighing.of_piece(_piece(line, units, terms)) or None


def fixed_charges(goods: OrderGoods, terms: SupplierTerms, rates: Rates) -> list[Charge]:
    """Return every charge but the fees on the customs value, which need the others first."""
    charges = [
        *_freight(goods, terms),
        Charge("insurance", terms.insurance, dutiable_on=("CIF",), how=FLAT),
        Charge("brokerage", terms.brokerage, how=FLAT),
    ]
    charges += [
        fee.charge(_in_currency_of(fee, goods.total, rates), goods.total)
        for fee in terms.fees
        if fee.of is FeeOf.GOODS
    ]
    if terms.is_small(goods.total):
        how = f"goods of {goods.total} are under the minimum order of {terms.min_order}"
        # It is part of the price paid, so it is dutiable whatever the basis.
        charges.append(Charge("small order charge", terms.small_order, dutiable_on=BASES, how=how))
    if terms.prompt_discount:
        off = -goods.total.share(terms.prompt_discount)
        how = f"{per_cent(terms.prompt_discount)} of goods {goods.total}, paid in time"
        charges.append(Charge("discount for prompt payment", off, how=how))
    return charges


def customs_fees(
    goods: OrderGoods,
    charges: Sequence[Charge],
    terms: SupplierTerms,
    rates: Rates,
    customs: tuple[str, CustomsRules],
) -> list[Charge]:
    """Return the fees on the customs value; none where the seller clears.

    `customs` is the home currency and its rules.
    """
    home, rules = customs
    wanted = [fee for fee in terms.fees if fee.of is FeeOf.CUSTOMS_VALUE]
    if not wanted or rules.duty_by_seller:
        return []
    value = customs_value(goods.lines, charges, rates, home, rules)
    return [
        fee.charge(value.major / (1 if fee.flat.currency == home else rates.customs), value)
        for fee in wanted
    ]


def _in_currency_of(fee: Fee, goods: Money, rates: Rates) -> Fraction:
    same = fee.flat.currency == goods.currency
    return goods.major if same else goods.major * rates.paid


def _freight(goods: OrderGoods, terms: SupplierTerms) -> Iterator[Charge]:
    if terms.is_freight_free(goods.total):
        return
    yield Charge("freight", terms.freight, ShareBy.WEIGHT, ("CIF",), how=FLAT)
    kilos = terms.weighing.billed(goods.pieces)
    if terms.freight_per_kg is not None:
        amount = terms.freight_per_kg.share(kilos * (1 + terms.fuel))
        how = f"{_how_weighed(goods, kilos, terms)} at {terms.freight_per_kg}{_fuel(terms)}"
        yield Charge("freight by weight", amount, ShareBy.WEIGHT, ("CIF",), how=how)
    for table in terms.tables:
        if table.by_weight:
            how = f"{_how_weighed(goods, kilos, terms)}: {_step(table, kilos)}{_fuel(terms)}"
            yield Charge(
                "freight by weight", table.freight(kilos, terms.fuel), ShareBy.WEIGHT, ("CIF",),
                how=how,
            )  # fmt: skip
        else:
            value = Fraction(goods.total.minor)
            how = f"goods of {goods.total}: {_step(table, value)}"
            yield Charge(
                "freight by value", table.freight(value), ShareBy.WEIGHT, ("CIF",), how=how
            )


def _how_weighed(goods: OrderGoods, kilos: Fraction, terms: SupplierTerms) -> str:
    """Return the weight that is billed, and how it was reached where it is not the actual one."""
    actual = sum((piece.actual for piece in goods.pieces), start=Fraction(0))
    if kilos == actual:
        return f"{shown(kilos)} kg"
    volumetric = sum((piece.volumetric for piece in goods.pieces), start=Fraction(0))
    weighing = terms.weighing
    told = [f"{shown(actual)} kg actual"]
    if weighing.divisor:
        told.append(f"{shown(volumetric)} kg volumetric at {weighing.divisor} cm³/kg")
    if weighing.per_piece:
        told.append("line by line")
    if weighing.step_kg:
        told.append(f"in steps of {shown(weighing.step_kg)} kg")
    return f"{shown(kilos)} kg ({', '.join(told)})"


def _step(table: FreightTable, size: Fraction) -> str:
    step = table.step(size)
    place = table.steps.index(step)
    if not table.by_weight:
        start = Money(int(step.start), step.freight.currency)
        return f"{step.freight} from {start} on"
    after = table.steps[place + 1 :]
    reach = f"up to {shown(after[0].start)}" if after else f"over {shown(step.start)}"
    more = f" and {step.per_more} for each kg more" if step.per_more else ""
    return f"{step.freight} {reach} kg{more}"


def _fuel(terms: SupplierTerms) -> str:
    return f" and {per_cent(terms.fuel)} fuel surcharge" if terms.fuel else ""
