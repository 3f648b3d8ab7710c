"""What an order from one supplier costs at our door, under his terms.

`land_order` is the one entry that jobs need. Costs that the Incoterm leaves to us and that nobody
has stored are named in `not_counted`; a job must show them, for the total is then too low.
Source: trade handbook 5.1 to 5.5; Incoterms 2020.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsdb.errors import InputRefusedError
from partsdb.rules.costing import CustomsRules, Landed, LineCost, Step, land
from partsdb.rules.fx import Rates
from partsdb.rules.landed_charges import OrderGoods, customs_fees, fixed_charges, order_goods
from partsdb.rules.landed_terms import BASES, LandedLine, SupplierTerms, incoterm
from partsdb.rules.money import Money
from partsdb.rules.offers import Purchase, as_ordered, purchase

__all__ = [
    "BASES",
    "LandedLine",
    "LandedOrder",
    "SupplierTerms",
    "customs_for",
    "incoterm",
    "land_order",
]


@dataclass(frozen=True, slots=True)
class LandedOrder:
    """A landed order: `lines` and `purchases` stand in the order of what was asked.

    `total` (home currency) is the sum of `steps` and the sum of the lines' totals. `vat` is cash
    to lay out, in the steps only when it cannot be recovered; so are core deposits, of which the
    steps have what is not returned; `customs_minor` is each line's value for duty. `not_counted`
    names costs still to come that nobody has stored: show them.
    """

    lines: tuple[LineCost, ...]
    steps: tuple[Step, ...]
    total: Money
    purchases: tuple[Purchase, ...]
    vat: Money
    customs_minor: tuple[int, ...]
    deposit: Money
    cash_out: Money
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
    goods = order_goods(lines, purchases, terms)
    charges = fixed_charges(goods, terms, rates)
    charges += customs_fees(goods, charges, terms, rates, (home_currency, customs))
    landed = land(goods.lines, charges, rates, home_currency, customs)
    return _landed_order(landed, purchases, _remarks(goods, lines, terms))


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
        landed.deposit,
        landed.cash_out,
        (*bought, *notes, *landed.notes, *_cash_notes(landed)),
        (*not_counted, *landed.not_counted),
    )


def _cash_notes(landed: Landed) -> list[str]:
    """Return what is laid out and comes back, or partly does."""
    if landed.cash_out == landed.total:
        return []
    laid_out = []
    if landed.vat and not any(step.label == "VAT" for step in landed.steps):
        laid_out.append(f"{landed.vat} of VAT, which is recovered")
    if landed.deposit:
        laid_out.append(f"{landed.deposit} of core deposits, which come back with the cores")
    return [f"to pay out are {landed.cash_out}, with {' and '.join(laid_out)}"]


def customs_for(basis: str | CustomsRules, terms: SupplierTerms) -> CustomsRules:
    """Return the customs rules for a supplier's terms; an unknown basis is refused."""
    customs = CustomsRules(basis) if isinstance(basis, str) else basis
    if customs.basis not in BASES:
        raise InputRefusedError(f"{customs.basis!r} is no customs basis", hint="use CIF or FOB")
    if terms.incoterm and incoterm(terms.incoterm)["import_duty"] == "seller":
        return replace(customs, duty_by_seller=True)
    return customs


def _remarks(
    goods: OrderGoods, lines: Sequence[LandedLine], terms: SupplierTerms
) -> tuple[list[str], list[str]]:
    """Return the notes on the terms, and the costs that are ours but stored nowhere."""
    notes, not_counted = _freight_notes(goods.total, terms)
    not_counted += [*_not_weighed(goods, lines, terms), *terms.not_counted]
    if terms.is_small(goods.total) and not terms.small_order:
        notes.append(
            f"goods of {goods.total} are under the supplier's minimum order of "
            f"{terms.min_order}: he may refuse the order"
        )
    return notes, not_counted


def _not_weighed(goods: OrderGoods, lines: Sequence[LandedLine], terms: SupplierTerms) -> list[str]:
    """Return what of the freight by weight is not counted: the weight or size of a part."""
    if not terms.goes_by_weight or terms.is_freight_free(goods.total):
        return []
    said = []
    if any(line.weight_g is None for line in lines):
        said.append("freight by weight: the weight of a part is not known")
    if terms.weighing.divisor and any(line.volume_mm3 is None for line in lines):
        said.append("freight by volumetric weight: the packed size of a part is not known")
    return said


def _freight_notes(total: Money, terms: SupplierTerms) -> tuple[list[str], list[str]]:
    if not terms.incoterm:
        return [], ["no Incoterm is stored: which costs are still to come is not known"]
    rule = incoterm(terms.incoterm)
    stated = terms.states_freight
    notes: list[str] = []
    not_counted: list[str] = []
    if stated and terms.is_freight_free(total):
        notes.append(f"carriage free: goods of {total} reach {terms.free_above}")
    if rule["main_freight"] == "seller" and stated and not terms.is_freight_free(total):
        notes.append(
            f"under {rule['rule']} the main freight is the seller's; "
            "the carriage that his terms charge is counted"
        )
    if rule["insurance"] == "seller" and terms.insurance:
        notes.append(
            f"under {rule['rule']} the insurance is the seller's; "
            "the insurance of the terms is counted"
        )
    if rule["main_freight"] == "buyer" and not stated and terms.free_above is None:
        not_counted.append(f"freight: ours under {rule['rule']}, and none is stored")
    if rule["export_clearance"] == "buyer":
        not_counted.append(f"loading and export clearance: ours under {rule['rule']}")
    return notes, not_counted
