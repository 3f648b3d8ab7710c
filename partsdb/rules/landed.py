"""What an order from one supplier costs at our door, under his terms.

`land_order` is the one entry that jobs need. Costs that the Incoterm leaves to us and that nobody
has stored are named in `not_counted`; a job must show them, for the total is then too low.
Source: trade handbook 5.1 to 5.5; Incoterms 2020.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.costing import (
    Charge,
    CustomsRules,
    GoodsLine,
    Landed,
    LineCost,
    ShareBy,
    Step,
    land,
    per_cent,
)
from partsdb.rules.fx import Rates
from partsdb.rules.money import CurrencyMismatchError, Money, total_of
from partsdb.rules.offers import Offer, Purchase, as_ordered, purchase
from partsdb.tables import Row, by_key

BASES = ("CIF", "FOB")


@dataclass(frozen=True, slots=True)
class LandedLine:
    """A part to be ordered: its offer, the units needed, one unit's weight, the duty rate.

    `weight_g` None: not known. `duty_rate` Fraction("0.017") is 1.7 %; give 0 where the goods
    cross no customs border; None says that no rate is known. `as_ordered`: the units are what is
    ordered, in whole packs, and no more is bought because a price break would pay.
    """

    part: str
    offer: Offer
    need_units: int
    weight_g: int | None
    duty_rate: Fraction | None
    as_ordered: bool = False


@dataclass(frozen=True, slots=True)
class SupplierTerms:
    """A supplier's terms. Charges are in `currency` or in the home currency (a carrier's bill).

    `freight` flat per order, nothing from `free_above` goods on (None: never free); goods under
    `min_order` cost `small_order` more; both thresholds are in `currency`.
    `spread` Fraction("0.015") is the bank's 1.5 %; `freight_per_kg` comes on top of the flat
    freight, and `fuel` is the carrier's surcharge on it.
    """

    currency: str
    incoterm: str
    freight: Money
    free_above: Money | None
    min_order: Money
    small_order: Money
    insurance: Money
    brokerage: Money
    spread: Fraction
    freight_per_kg: Money | None = None
    fuel: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class LandedOrder:
    """A landed order: `lines` and `purchases` stand in the order of what was asked.

    `total` (home currency) is the sum of `steps` and the sum of the lines' totals. `vat` is cash
    to lay out, in the steps only when it cannot be recovered; `customs_minor` is each line's value
    for duty. `not_counted` names costs still to come that nobody has stored: show them.
    """

    lines: tuple[LineCost, ...]
    steps: tuple[Step, ...]
    total: Money
    purchases: tuple[Purchase, ...]
    vat: Money
    customs_minor: tuple[int, ...]
    notes: tuple[str, ...] = ()
    not_counted: tuple[str, ...] = ()


def land_order(
    lines: Sequence[LandedLine],
    terms: SupplierTerms,
    rates: Rates,
    home_currency: str,
    customs_basis: str | CustomsRules = "CIF",
) -> LandedOrder:
    """Return what the order costs at our door: purchase, exchange, freight, fees, duty, VAT.

    `rates` are those of `terms.currency` in the home currency (`fx.supplier_rates` with
    `terms.spread`, `fx.same_currency` at home); `customs_basis` is "CIF", "FOB", or CustomsRules.
    Raises InputRefusedError (no line, unknown basis or Incoterm), CurrencyMismatchError.
    """
    if not lines:
        raise InputRefusedError("an order without a line has no cost", hint="name a part to order")
    customs = customs_for(customs_basis, terms)
    purchases = tuple(
        (as_ordered if line.as_ordered else purchase)(line.offer, line.need_units) for line in lines
    )
    goods = [
        _goods_line(line, bought, terms) for line, bought in zip(lines, purchases, strict=True)
    ]
    landed = land(goods, _charges(goods, terms), rates, home_currency, customs)
    return _landed_order(landed, purchases, _incoterm_notes(goods, terms))


def _landed_order(
    landed: Landed, purchases: tuple[Purchase, ...], remarks: tuple[list[str], list[str]]
) -> LandedOrder:
    notes, not_counted = remarks
    bought = [
        f"{line.part}: {order.note}"
        for line, order in zip(landed.lines, purchases, strict=True)
        if order.note
    ]
    return LandedOrder(
        landed.lines,
        landed.steps,
        landed.total,
        purchases,
        landed.vat,
        landed.customs_minor,
        (*bought, *notes, *landed.notes),
        (*not_counted, *landed.not_counted),
    )


def incoterm(rule: str) -> Row:
    """Return the table's row of an Incoterms 2020 rule; an unknown rule is refused."""
    row = by_key("incoterms", "rule").get(rule.strip().upper())
    if row is None:
        raise InputRefusedError(
            f"{rule!r} is no rule of Incoterms 2020",
            hint=f"use one of {', '.join(by_key('incoterms', 'rule'))}",
        )
    return row


def customs_for(basis: str | CustomsRules, terms: SupplierTerms) -> CustomsRules:
    """Return the customs rules for a supplier's terms; an unknown basis is refused."""
    customs = CustomsRules(basis) if isinstance(basis, str) else basis
    if customs.basis not in BASES:
        raise InputRefusedError(f"{customs.basis!r} is no customs basis", hint="use CIF or FOB")
    if terms.incoterm and incoterm(terms.incoterm)["import_duty"] == "seller":
        return replace(customs, duty_by_seller=True)
    return customs


def _goods_line(line: LandedLine, bought: Purchase, terms: SupplierTerms) -> GoodsLine:
    if bought.goods.currency != terms.currency:
        raise CurrencyMismatchError(terms.currency, bought.goods.currency)
    weight = None if line.weight_g is None else Fraction(line.weight_g * bought.units)
    return GoodsLine(line.part, bought.units, bought.goods, weight, line.duty_rate)


def _goods_total(goods: Sequence[GoodsLine], terms: SupplierTerms) -> Money:
    return total_of([line.goods for line in goods], terms.currency)


def _charges(goods: Sequence[GoodsLine], terms: SupplierTerms) -> list[Charge]:
    total = _goods_total(goods, terms)
    charges = [
        *_freight(goods, terms),
        Charge("insurance", terms.insurance, dutiable_on=("CIF",)),
        Charge("brokerage", terms.brokerage),
    ]
    if _is_small(total, terms):
        how = f"goods of {total} are under the minimum order of {terms.min_order}"
        # It is part of the price paid, so it is dutiable whatever the basis.
        charges.append(Charge("small order charge", terms.small_order, dutiable_on=BASES, how=how))
    return charges


def _is_small(goods_total: Money, terms: SupplierTerms) -> bool:
    return bool(terms.min_order) and goods_total < terms.min_order


def is_freight_free(goods_total: Money, terms: SupplierTerms) -> bool:
    """Tell whether the order reaches the carriage-free value; that value itself is enough."""
    return terms.free_above is not None and goods_total >= terms.free_above


def _freight(goods: Sequence[GoodsLine], terms: SupplierTerms) -> list[Charge]:
    if is_freight_free(_goods_total(goods, terms), terms):
        return []
    flat = Charge("freight", terms.freight, ShareBy.WEIGHT, ("CIF",))
    kilos = _kilograms(goods)
    if terms.freight_per_kg is None or kilos is None:
        return [flat]
    how = f"{float(kilos):g} kg at {terms.freight_per_kg}"
    if terms.fuel:
        how += f" and {per_cent(terms.fuel)} fuel surcharge"
    by_weight = terms.freight_per_kg.share(kilos * (1 + terms.fuel))
    return [flat, Charge("freight by weight", by_weight, ShareBy.WEIGHT, ("CIF",), how=how)]


def _kilograms(goods: Sequence[GoodsLine]) -> Fraction | None:
    weights = [line.weight for line in goods if line.weight is not None]
    return sum(weights, start=Fraction(0)) / 1000 if len(weights) == len(goods) else None


def _incoterm_notes(
    goods: Sequence[GoodsLine], terms: SupplierTerms
) -> tuple[list[str], list[str]]:
    """Return the notes on the terms, and the costs that are ours but stored nowhere."""
    total = _goods_total(goods, terms)
    notes, not_counted = _freight_notes(total, terms)
    if terms.freight_per_kg is not None and _kilograms(goods) is None:
        not_counted.append("freight by weight: the weight of a part is not known")
    if _is_small(total, terms) and not terms.small_order:
        notes.append(
            f"goods of {total} are under the supplier's minimum order of "
            f"{terms.min_order}: he may refuse the order"
        )
    return notes, not_counted


def _freight_notes(total: Money, terms: SupplierTerms) -> tuple[list[str], list[str]]:
    if not terms.incoterm:
        return [], ["no Incoterm is stored: which costs are still to come is not known"]
    rule = incoterm(terms.incoterm)
    stated = bool(terms.freight) or terms.freight_per_kg is not None
    notes: list[str] = []
    not_counted: list[str] = []
    if stated and is_freight_free(total, terms):
        notes.append(f"carriage free: goods of {total} reach {terms.free_above}")
    if rule["main_freight"] == "seller" and stated and not is_freight_free(total, terms):
        notes.append(
            f"under {rule['rule']} the main freight is the seller's; "
            "the carriage that his terms charge is counted"
        )
    if rule["main_freight"] == "buyer" and not stated and terms.free_above is None:
        not_counted.append(f"freight: ours under {rule['rule']}, and none is stored")
    if rule["export_clearance"] == "buyer":
        not_counted.append(f"loading and export clearance: ours under {rule['rule']}")
    return notes, not_counted
