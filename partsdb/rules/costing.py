"""The arithmetic of a landed cost: exchange, share out, value for customs, duty, VAT.

Every amount is exact until it becomes a step, and is then rounded so that the lines of a step sum
to the step and the steps to the total. Source: trade handbook 5.2 to 5.7.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from partsdb.rules.currencies import minor_per_major
from partsdb.rules.fx import Rates
from partsdb.rules.money import CurrencyMismatchError, Money, apportion, round_whole


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a cost: minor units of the home currency, and how they were reached."""

    label: str
    amount_minor: int
    how: str


class ShareBy(StrEnum):
    """What a charge is shared out by: freight by weight, fees by value, flat handling by line."""

    WEIGHT = "weight"
    VALUE = "value"
    LINE = "line"


@dataclass(frozen=True, slots=True)
class GoodsLine:
    """Goods of one part. `weight` in any one unit, chargeable or actual; None when not known.

    `duty_rate` 0.017 is 1.7 %; None says that no rate is known, and then none is counted.
    """

    part: str
    units: int
    goods: Money
    weight: Fraction | None = None
    duty_rate: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Charge:
    """A charge on the whole order, in the supplier's or in the home currency.

    `dutiable_on` names the customs bases ("CIF", "FOB") under which it joins the customs value;
    `taxable`: it joins the base of the VAT.
    """

    label: str
    amount: Money
    share_by: ShareBy = ShareBy.VALUE
    dutiable_on: tuple[str, ...] = ()
    taxable: bool = False
    how: str = ""


@dataclass(frozen=True, slots=True)
class CustomsRules:
    """How customs value and tax the goods.

    `basis` "CIF" adds transport and insurance to the price (EU, UCC art. 71; UK), "FOB" leaves
    them out (US, 19 USC 1401a). `whole_minor` rounds a line's customs value to whole multiples of
    so many minor units (US entries: 100). VAT that is recoverable is cash, not cost.
    """

    basis: str = "CIF"
    whole_minor: int = 1
    duty_by_seller: bool = False
    vat_rate: Fraction = Fraction(0)
    vat_recoverable: bool = True


@dataclass(frozen=True, slots=True)
class LineCost:
    """What one part costs at our door; `total_minor` is the sum of its steps."""

    part: str
    units: int
    steps: tuple[Step, ...]
    total_minor: int


@dataclass(frozen=True, slots=True)
class Landed:
    """What an order costs at our door, in the home currency.

    `total` is the sum of `steps` and of the lines' totals; `vat` is zero without a VAT rate and
    stands in the steps only when it cannot be recovered; `customs_minor` is each line's customs
    value; `not_counted` names costs that are still to come and unknown.
    """

    lines: tuple[LineCost, ...]
    steps: tuple[Step, ...]
    total: Money
    vat: Money
    customs_minor: tuple[int, ...]
    notes: tuple[str, ...] = ()
    not_counted: tuple[str, ...] = ()

    @property
    def cash_out(self) -> Money:
        """What leaves the account, recoverable VAT included."""
        in_steps = any(step.label == VAT for step in self.steps)
        return self.total if in_steps else self.total + self.vat


VAT = "VAT"
_Parts = list[int]


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
    order = _Order(tuple(lines), rates, home_currency)
    charges = [charge for charge in charges if charge.amount]
    columns: list[tuple[Step, _Parts]] = [order.goods()]
    columns += [order.charge(charge) for charge in charges]
    values = order.customs_values(charges, customs)
    columns += order.duty(values, customs)
    vat, vat_column = order.vat(values, columns, charges, customs)
    columns += vat_column
    return Landed(
        lines=order.line_costs(columns),
        steps=tuple(step for step, _ in columns),
        total=Money(sum(step.amount_minor for step, _ in columns), home_currency),
        vat=vat,
        customs_minor=tuple(values),
        notes=tuple(order.sharing_notes(charges)),
        not_counted=tuple(order.duty_gaps(customs)),
    )


@dataclass(frozen=True, slots=True)
class _Order:
    """The lines of one order, its rates and the home currency."""

    lines: tuple[GoodsLine, ...]
    rates: Rates
    home: str

    @property
    def foreign(self) -> str:
        return self.lines[0].goods.currency

    def in_home_minor(self, amount: Money, rate: Fraction) -> Fraction:
        """Return the exact amount in home minor units, at `rate` when it is foreign."""
        if amount.currency not in (self.home, self.foreign):
            raise CurrencyMismatchError(self.foreign, amount.currency)
        factor = Fraction(1) if amount.currency == self.home else rate
        return amount.major * factor * minor_per_major(self.home)

    def how_exchanged(self, amount: Money) -> str:
        if amount.currency == self.home:
            return str(amount)
        return f"{amount} at {shown(self.rates.paid)} {self.home} paid for 1 {amount.currency}"

    def goods(self) -> tuple[Step, _Parts]:
        whole = sum((line.goods for line in self.lines), start=Money.zero(self.foreign))
        paid = self.rates.paid
        parts = apportion([self.in_home_minor(line.goods, paid) for line in self.lines])
        return Step("goods", sum(parts), self.how_exchanged(whole)), parts

    def shares(self, share_by: ShareBy) -> list[Fraction]:
        """Return each line's share of a charge; they sum to one."""
        values = [Fraction(line.goods.minor) for line in self.lines]
        weights = [line.weight or Fraction(0) for line in self.lines]
        if share_by is ShareBy.WEIGHT and not self.unweighed():
            basis = weights
        elif share_by is ShareBy.LINE or not any(values):
            basis = [Fraction(1)] * len(values)
        else:
            basis = values
        whole = sum(basis, start=Fraction(0))
        return [weight / whole for weight in basis]

    def unweighed(self) -> list[str]:
        return [line.part for line in self.lines if not line.weight]

    def charge(self, charge: Charge) -> tuple[Step, _Parts]:
        whole = self.in_home_minor(charge.amount, self.rates.paid)
        parts = apportion([whole * share for share in self.shares(charge.share_by)])
        how = ", ".join(filter(None, (self.how_exchanged(charge.amount), charge.how)))
        return Step(charge.label, sum(parts), how), parts

    def customs_values(self, charges: Sequence[Charge], customs: CustomsRules) -> list[int]:
        """Return each line's customs value at the customs rate, half up to `whole_minor`."""
        rate, unit = self.rates.customs, customs.whole_minor
        values = [self.in_home_minor(line.goods, rate) for line in self.lines]
        for charge in charges:
            if customs.basis in charge.dutiable_on:
                whole = self.in_home_minor(charge.amount, rate)
                shares = self.shares(charge.share_by)
                values = [v + whole * share for v, share in zip(values, shares, strict=True)]
        return [round_whole(value / unit) * unit for value in values]

    def duty(self, values: list[int], customs: CustomsRules) -> list[tuple[Step, _Parts]]:
        if customs.duty_by_seller:
            return []
        rated = [
            (line.duty_rate or Fraction(0), v) for line, v in zip(self.lines, values, strict=True)
        ]
        parts = [round_whole(rate * value) for rate, value in rated]
        if not any(parts):
            return []
        how = " + ".join(
            f"{per_cent(rate)} of {Money(value, self.home)}" for rate, value in rated if rate
        )
        return [(Step("duty", sum(parts), f"{how} ({customs.basis} value)"), parts)]

    def vat(
        self,
        values: list[int],
        columns: list[tuple[Step, _Parts]],
        charges: Sequence[Charge],
        customs: CustomsRules,
    ) -> tuple[Money, list[tuple[Step, _Parts]]]:
        """Return the VAT on customs value, duty and taxed charges; a column when it is a cost.

        `columns` are the goods, the charges in their order, then the duty.
        """
        if not customs.vat_rate:
            return Money.zero(self.home), []
        shared, others = columns[1 : 1 + len(charges)], columns[1 + len(charges) :]
        taxed = [
            parts
            for charge, (_, parts) in zip(charges, shared, strict=True)
            if charge.taxable and customs.basis not in charge.dutiable_on
        ]
        taxed += [parts for _, parts in others]
        bases = [value + sum(column) for value, *column in zip(values, *taxed, strict=True)]
        parts = apportion([base * customs.vat_rate for base in bases])
        vat = Money(sum(parts), self.home)
        if customs.vat_recoverable or not vat:
            return vat, []
        how = f"{per_cent(customs.vat_rate)} of {Money(sum(bases), self.home)}, not recoverable"
        return vat, [(Step(VAT, vat.minor, how), parts)]

    def line_costs(self, columns: list[tuple[Step, _Parts]]) -> tuple[LineCost, ...]:
        costs = []
        for index, line in enumerate(self.lines):
            steps = tuple(Step(step.label, parts[index], step.how) for step, parts in columns)
            total = sum(step.amount_minor for step in steps)
            costs.append(LineCost(line.part, line.units, steps, total))
        return tuple(costs)

    def sharing_notes(self, charges: Sequence[Charge]) -> list[str]:
        by_weight = [c.label for c in charges if c.share_by is ShareBy.WEIGHT]
        unweighed = self.unweighed()
        if not by_weight or not unweighed or len(self.lines) == 1:
            return []
        return [
            f"{', '.join(by_weight)} is shared by value, for the weight of "
            f"{', '.join(unweighed)} is not known"
        ]

    def duty_gaps(self, customs: CustomsRules) -> list[str]:
        if customs.duty_by_seller:
            return []
        return [
            f"duty on {line.part}: no rate is known"
            for line in self.lines
            if line.duty_rate is None
        ]


def per_cent(rate: Fraction) -> str:
    """Return a rate as people read it: Fraction(17, 1000) is "1.7 %"."""
    return f"{shown(rate * 100)} %"


def shown(value: Fraction) -> str:
    """Return up to six decimals of an exact value, for reading only."""
    return f"{float(value):.6f}".rstrip("0").rstrip(".")
