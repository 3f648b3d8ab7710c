"""One order's lines, and how amounts on it are exchanged, shared out, valued and taxed.

Every amount is exact until it becomes a column: a step with its part on each line, which sum to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.rules.costing_parts import (
    FORFEITED,
    VAT,
    Charge,
    CustomsRules,
    GoodsLine,
    LineCost,
    ShareBy,
    Step,
    per_cent,
    shown,
)
from partsdb.rules.currencies import minor_per_major
from partsdb.rules.fx import Rates
from partsdb.rules.money import CurrencyMismatchError, Money, apportion, round_whole

_LINES_TOLD = 6  # of longer orders the sum alone: their lines are listed beside it
Parts = list[int]
Column = tuple[Step, Parts]


@dataclass(frozen=True, slots=True)
class Order:
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

    def goods(self) -> list[Column]:
        """Return what is paid for the goods; with a discount, list prices and what comes off."""
        net = self._exchanged([line.goods for line in self.lines])
        if not any(line.discount for line in self.lines):
            return [(Step("goods", sum(net), self._how_bought(self._net())), net)]
        prices = [line.listed or line.goods for line in self.lines]
        listed = self._exchanged(prices)
        off = [paid - asked for paid, asked in zip(net, listed, strict=True)]
        return [
            (Step("goods", sum(listed), self._how_bought(prices)), listed),
            (Step("discount", sum(off), self._how_discounted()), off),
        ]

    def _how_bought(self, prices: Sequence[Money]) -> str:
        """Return the sum of the lines, each as pieces × price where that is exact."""
        told = [_pieces(line.units, price) for line, price in zip(self.lines, prices, strict=True)]
        whole = self.how_exchanged(self._sum(prices))
        is_plain = len(told) == 1 and self.lines[0].units == 1
        return whole if is_plain or len(told) > _LINES_TOLD else f"{' + '.join(told)} = {whole}"

    def _net(self) -> list[Money]:
        return [line.goods for line in self.lines]

    def _sum(self, amounts: Iterable[Money]) -> Money:
        return sum(amounts, start=Money.zero(self.foreign))

    def _exchanged(self, amounts: Sequence[Money]) -> Parts:
        return apportion([self.in_home_minor(amount, self.rates.paid) for amount in amounts])

    def _how_discounted(self) -> str:
        listed: dict[Fraction, list[Money]] = {}
        for line in self.lines:
            if line.discount:
                listed.setdefault(line.discount, []).append(line.listed or line.goods)
        return " + ".join(
            f"{per_cent(rate)} of {self.how_exchanged(self._sum(amounts))}"
            for rate, amounts in sorted(listed.items())
        )

    def deposit(self) -> Money:
        """Return what is laid out for cores."""
        laid_out = self._sum(line.deposit for line in self.lines if line.deposit)
        return Money(round_whole(self.in_home_minor(laid_out, self.rates.paid)), self.home)

    def forfeited(self) -> list[Column]:
        """Return the deposits that will not come back (trade handbook 5.3: until then cash)."""
        kept = [(line.deposit, 1 - line.returned) for line in self.lines if line.deposit]
        if not any(rate for _, rate in kept):
            return []
        parts = apportion(
            [
                self.in_home_minor(line.deposit, self.rates.paid) * (1 - line.returned)
                if line.deposit
                else Fraction(0)
                for line in self.lines
            ]
        )
        how = " + ".join(
            f"{per_cent(rate)} of {self.how_exchanged(amount)}" for amount, rate in kept if rate
        )
        return [(Step(FORFEITED, sum(parts), how), parts)]

    def shares(self, share_by: ShareBy) -> list[Fraction]:
        """Return each line's share of a charge; they sum to one."""
        values = [Fraction(line.goods.minor) for line in self.lines]
        weights = [line.weight or Fraction(0) for line in self.lines]
        if share_by is ShareBy.WEIGHT and not self.unweighed():
            basis = weights
        elif share_by is ShareBy.QUANTITY:
            basis = [Fraction(line.units) for line in self.lines]
        elif share_by is ShareBy.LINE or not any(values):
            basis = [Fraction(1)] * len(values)
        else:
            basis = values
        whole = sum(basis, start=Fraction(0))
        return [weight / whole for weight in basis]

    def unweighed(self) -> list[str]:
        return [line.part for line in self.lines if not line.weight]

    def charge(self, charge: Charge) -> Column:
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

    def duty(self, values: list[int], customs: CustomsRules) -> list[Column]:
        if customs.duty_by_seller:
            return []
        rated = [
            (line.duty_rate or Fraction(0), v) for line, v in zip(self.lines, values, strict=True)
        ]
        parts = [round_whole(rate * value) for rate, value in rated]
        if not any(parts):
            return []
        how = self._how_rated([(rate, value) for rate, value in rated if rate])
        return [(Step("duty", sum(parts), f"{how} ({customs.basis} value)"), parts)]

    def _how_rated(self, rated: Sequence[tuple[Fraction, int]]) -> str:
        """Return the lines' rates and values; of many lines the sum of each rate."""
        if len(rated) <= _LINES_TOLD:
            return " + ".join(f"{per_cent(rate)} of {Money(v, self.home)}" for rate, v in rated)
        sums: dict[Fraction, int] = {}
        for rate, value in rated:
            sums[rate] = sums.get(rate, 0) + value
        told = [f"{per_cent(rate)} of {Money(v, self.home)}" for rate, v in sorted(sums.items())]
        return f"{' + '.join(told)}, line by line"

    def vat(
        self,
        values: list[int],
        charged: Iterable[tuple[Charge, Column]],
        duty: list[Column],
        customs: CustomsRules,
    ) -> tuple[Money, list[Column]]:
        """Return the VAT on customs value, duty and taxed charges; a column when it is a cost."""
        if not customs.vat_rate:
            return Money.zero(self.home), []
        taxed = [
            parts
            for charge, (_, parts) in charged
            if charge.taxable and customs.basis not in charge.dutiable_on
        ]
        taxed += [parts for _, parts in duty]
        bases = [value + sum(column) for value, *column in zip(values, *taxed, strict=True)]
        parts = apportion([base * customs.vat_rate for base in bases])
        vat = Money(sum(parts), self.home)
        if customs.vat_recoverable or not vat:
            return vat, []
        how = f"{per_cent(customs.vat_rate)} of {Money(sum(bases), self.home)}, not recoverable"
        return vat, [(Step(VAT, vat.minor, how), parts)]

    def line_costs(self, columns: list[Column]) -> tuple[LineCost, ...]:
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
            f"duty on {line.part}: {line.no_duty_rate or 'no rate is known'}"
            for line in self.lines
            if line.duty_rate is None
        ]


def _pieces(units: int, price: Money) -> str:
    if units == 1:
        return price.text()
    if price.minor % units:
        return f"{units} for {price.text()}"
    return f"{units} × {Money(price.minor // units, price.currency).text()}"
