"""What a supplier's order costs beside its goods, exactly: freight, fees, duty that is shared.

Costs are in minor units of the home currency, exchange, duty and tax included; goods and the
thresholds on them in those of the supplier's. Source: trade handbook 5.3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from partsdb.rules.freight import Piece, Weighing
from partsdb.rules.program import NOTHING


@dataclass(frozen=True, slots=True)
class ChargeStep:
    """Freight from `start` on, as in `freight.FreightStep`: kilograms, or goods in minor units."""

    start: Fraction
    cost: Fraction
    per_more: Fraction = NOTHING


@dataclass(frozen=True, slots=True)
class BasketFee:
    """A fee: `flat`, a share of the goods and of the customs value, between `least` and `most`.

    One minor unit of it costs `factor` (duty and tax on it included) and adds `customs` to the
    customs value; `by_weight` says how that is shared out, else by value.
    """

    flat: Fraction = NOTHING
    per_goods: Fraction = NOTHING
    of_customs: Fraction = NOTHING
    least: Fraction = NOTHING
    most: Fraction | None = None
    factor: Fraction = Fraction(1)
    customs: Fraction = NOTHING
    by_weight: bool = False

    def amount(self, goods: Fraction, customs_value: Fraction) -> Fraction:
        """Return the fee on so many goods of such a customs value."""
        figure = self.flat + self.per_goods * goods + self.of_customs * customs_value
        figure = figure if self.most is None else min(figure, self.most)
        return max(figure, self.least)


@dataclass(frozen=True, slots=True)
class CustomsShares:
    """What of an order is valued by customs: of a unit of goods, freight and small order charge.

    `fixed` is the customs value of the charges that fall on every order.
    """

    goods: Fraction = NOTHING
    fixed: Fraction = NOTHING
    freight: Fraction = NOTHING
    small_order: Fraction = NOTHING


@dataclass(frozen=True, slots=True)
class LineLoad:
    """One line of an order: goods on the invoice, how it is weighed, its duty above the lowest.

    `extra_duty` is what the shared charges cost more for each unit of customs value that falls on
    this line than they would at the lowest duty rate of the supplier's goods, tax included.
    """

    goods: Fraction
    piece: Piece
    extra_duty: Fraction = NOTHING


@dataclass(frozen=True, slots=True)
class BasketSupplier:
    """What an order costs beside the goods, in home minor units; thresholds in the supplier's.

    `fee` falls on every order; `freight`, `per_kg` and the steps until goods reach `free_above`;
    `small_order` below `min_order`, where None says that no such order is taken.
    """

    name: str
    fee: Fraction = NOTHING
    freight: Fraction = NOTHING
    free_above: Fraction | None = None
    per_kg: Fraction = NOTHING
    min_order: Fraction = NOTHING
    small_order: Fraction | None = None
    weighing: Weighing = field(default_factory=Weighing)
    weight_steps: tuple[ChargeStep, ...] = ()
    value_steps: tuple[ChargeStep, ...] = ()
    fees: tuple[BasketFee, ...] = ()
    customs: CustomsShares = field(default_factory=CustomsShares)

    def charges(self, lines: Sequence[LineLoad]) -> Fraction:
        """Return the charges on an order of those lines."""
        goods = sum((line.goods for line in lines), start=NOTHING)
        freight = self._freight(goods, self.weighing.billed([line.piece for line in lines]))
        small = (self.small_order or NOTHING) if goods < self.min_order else NOTHING
        fees, by_weight, by_value = self._fees(goods, freight, small)
        return self.fee + freight + small + fees + self._extra_duty(lines, by_weight, by_value)

    def _freight(self, goods: Fraction, kilos: Fraction) -> Fraction:
        if self.free_above is not None and goods >= self.free_above:
            return NOTHING
        cost = self.freight + self.per_kg * kilos
        if self.weight_steps:
            below = [step for step in self.weight_steps if step.start < kilos]
            step = below[-1] if below else self.weight_steps[0]
            cost += step.cost + step.per_more * max(kilos - step.start, NOTHING)
        if self.value_steps:
            cost += [step for step in self.value_steps if step.start <= goods][-1].cost
        return cost

    def _fees(
        self, goods: Fraction, freight: Fraction, small: Fraction
    ) -> tuple[Fraction, Fraction, Fraction]:
        """Return the fees, and the customs value of the charges shared by weight and by value."""
        by_weight = freight * self.customs.freight
        by_value = self.customs.fixed + small * self.customs.small_order
        joining = [fee for fee in self.fees if not fee.of_customs]
        for fee in joining:
            valued = fee.amount(goods, NOTHING) * fee.customs
            by_weight += valued if fee.by_weight else NOTHING
            by_value += NOTHING if fee.by_weight else valued
        value = goods * self.customs.goods + by_weight + by_value
        cost = sum((fee.amount(goods, value) * fee.factor for fee in self.fees), start=NOTHING)
        return cost, by_weight, by_value

    def _extra_duty(
        self, lines: Sequence[LineLoad], by_weight: Fraction, by_value: Fraction
    ) -> Fraction:
        """Return the duty above the lowest rate on charges whose customs value is shared out."""
        if not any(line.extra_duty for line in lines):
            return NOTHING
        weights = [self.weighing.of_piece(line.piece) for line in lines]
        values = [line.goods for line in lines]
        # Where a line's weight is not known, what goes by weight is shared by value instead.
        on_freight = _average(lines, weights if all(weights) else values)
        return by_weight * on_freight + by_value * _average(lines, values)

    def takes(self, goods: Fraction) -> bool:
        """Tell whether an order of so many goods is taken at all."""
        return self.small_order is not None or goods >= self.min_order

    @property
    def min_rule(self) -> str:
        """The minimum order as a rule that may be lifted."""
        return f"the minimum order of {self.name}"

    @property
    def goes_by_weight(self) -> bool:
        """Tell whether any of the freight depends on the weight."""
        return bool(self.per_kg or self.weight_steps)


def _average(lines: Sequence[LineLoad], shared: Sequence[Fraction]) -> Fraction:
    whole = sum(shared, start=NOTHING)
    duty = sum((line.extra_duty * s for line, s in zip(lines, shared, strict=True)), start=NOTHING)
    return duty / whole if whole else NOTHING


@dataclass(frozen=True, slots=True)
class Reach:
    """How far more goods may be bought than are needed, because a charge then falls away.

    `hard` is goods that may be worth any price to reach, `soft` what is worth `saved` at the most.
    """

    hard: Fraction
    soft: Fraction
    saved: Fraction

    def packs(self, pack_goods: Fraction, pack_cost: Fraction) -> int:
        """Return the packs of an offer (the cheapest tier's goods and cost) that may pay."""
        if not pack_goods or not pack_cost:
            return 0
        worth = min(int(-(-self.soft // pack_goods)), int(self.saved / pack_cost))
        return max(worth, int(-(-self.hard // pack_goods)))


def reach_of(supplier: BasketSupplier) -> Reach:
    """Return what may be bought beyond the need from the supplier: to a minimum, or free carriage.

    Freight by weight grows with what is bought, so that freedom from it may be worth any price.
    """
    free = supplier.free_above or NOTHING
    soft = [free, *(step.start for step in supplier.value_steps)]
    hard = [supplier.min_order if supplier.small_order is None else NOTHING]
    if supplier.small_order is not None:
        soft.append(supplier.min_order)
    if supplier.goes_by_weight:
        hard.append(free)
    steps = max((step.cost for step in supplier.value_steps), default=NOTHING)
    saved = supplier.freight + steps + (supplier.small_order or NOTHING)
    return Reach(max(hard), max(soft), saved)
