"""The arithmetic of a landed cost: exchange, share out, value for customs, duty, VAT.

Every amount is exact until it becomes a step, and is then rounded so that the lines of a step sum
to the step and the steps to the total. Source: trade handbook 5.2 to 5.7.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.rules.costing_order import Column, Order
from partsdb.rules.costing_parts import (
    FORFEITED,
    VAT,
    Charge,
    CustomsRules,
    GoodsLine,
    Landed,
    LineCost,
    ShareBy,
    Step,
    per_cent,
    shown,
)
from partsdb.rules.fx import Rates
from partsdb.rules.money import Money

__all__ = [
    "FORFEITED",
    "VAT",
    "Charge",
    "CustomsRules",
    "GoodsLine",
    "Landed",
    "LineCost",
    "ShareBy",
    "Step",
    "customs_value",
    "land",
    "per_cent",
    "shown",
]


def land(
    lines: Sequence[GoodsLine],
    charges: Sequence[Charge],
    rates: Rates,
    home_currency: str,
    customs: CustomsRules,
) -> Landed:
    """Return the landed cost of the goods with all charges, in the home currency.

    All goods are in one currency. Raises CurrencyMismatchError for a charge in a third currency.
    """
    order = Order(tuple(lines), rates, home_currency)
    charges = [charge for charge in charges if charge.amount]
    charged = [order.charge(charge) for charge in charges]
    values = order.customs_values(charges, customs)
    duty = order.duty(values, customs)
    vat, vat_column = order.vat(values, zip(charges, charged, strict=True), duty, customs)
    columns: list[Column] = [*order.goods(), *order.forfeited(), *charged, *duty, *vat_column]
    return Landed(
        lines=order.line_costs(columns),
        steps=tuple(step for step, _ in columns),
        total=Money(sum(step.amount_minor for step, _ in columns), home_currency),
        vat=vat,
        customs_minor=tuple(values),
        deposit=order.deposit(),
        notes=tuple(order.sharing_notes(charges)),
        not_counted=tuple(order.duty_gaps(customs)),
    )


def customs_value(
    lines: Sequence[GoodsLine],
    charges: Sequence[Charge],
    rates: Rates,
    home_currency: str,
    customs: CustomsRules,
) -> Money:
    """Return what customs value the whole order at, in the home currency."""
    values = Order(tuple(lines), rates, home_currency).customs_values(charges, customs)
    return Money(sum(values), home_currency)
