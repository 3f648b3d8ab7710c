"""A supplier's charges as columns and rows: freight, its steps, fees with bounds, shared duty.

Everything is written so that the least cost that the rows allow is what `BasketSupplier.charges`
counts. Freight by weight never falls with the weight and fees never fall with the goods, so lower
limits do for them; where freight falls with the value, the value must be reached.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import ceil, gcd, lcm

from partsdb.rules.basket_charges import BasketFee, BasketSupplier, ChargeStep
from partsdb.rules.basket_model_duty import SharedCharges, write_shared_duty
from partsdb.rules.program import INFINITE, Columns, Terms, together


@dataclass(frozen=True, slots=True)
class LineTerms:
    """One offer in an order: what it comes to in the program, and what one pack of it is.

    `bought` sums to one when any of it is bought; `unit_goods` are amounts of which its goods are
    always a sum.
    """

    packs: Terms
    goods: Terms
    bought: Terms
    pack_kg: Fraction
    pack_cm3: Fraction
    extra_duty: Fraction
    unit_goods: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class OrderTerms:
    """An order: its column (is there one), the column of the small order charge, its lines.

    No best basket has more than `most_goods` on the invoice, nor weighs more than `most_kilos`.
    """

    order: int
    small: int | None
    lines: tuple[LineTerms, ...]
    most_goods: float = INFINITE
    most_kilos: float = INFINITE


def write_charges(
    columns: Columns, supplier: BasketSupplier, order: OrderTerms, *, exact_duty: bool
) -> None:
    """Write the supplier's charges on the order, except that for a small one.

    `exact_duty`: also what shared charges cost above the lowest duty rate.
    """
    _ChargeWriter(columns, supplier, order).write(exact_duty=exact_duty)


class _ChargeWriter:
    def __init__(self, columns: Columns, supplier: BasketSupplier, order: OrderTerms) -> None:
        self.columns, self.supplier, self.order = columns, supplier, order
        self.goods = together(term for line in order.lines for term in line.goods)
        self.shares: list[Terms] = []  # by which each line shares in the freight

    def _as_one(self, terms: Terms, most: float) -> Terms:
        """Return the terms as one column with a bound near to what they can come to."""
        bound = min(self.columns.most(terms), most)
        column = self.columns.add(high=bound, whole=False)
        self.columns.limit([(column, 1.0), *_negative(terms)], low=0, high=0)
        return [(column, 1.0)]

    def write(self, *, exact_duty: bool) -> None:
        supplier, customs = self.supplier, self.supplier.customs
        self.columns.charge([(self.order.order, 1.0)], float(supplier.fee))
        extra = exact_duty and any(line.extra_duty for line in self.order.lines)
        if supplier.fees or supplier.value_steps:
            self.goods = self._as_one(self.goods, self.order.most_goods)
        kilos = self._kilos(exact=extra) if supplier.goes_by_weight or extra else []
        if supplier.weight_steps or (supplier.per_kg and supplier.free_above):
            begun = float(supplier.weighing.step_kg) * len(self.order.lines)
            kilos = self._as_one(kilos, self.order.most_kilos + begun)
        freight = self._freight(kilos)
        self.columns.charge(freight)
        by_weight = _times(freight, customs.freight)
        by_value: Terms = [(self.order.order, float(customs.fixed))]
        if self.order.small is not None:
            small = customs.small_order * (supplier.small_order or 0)
            by_value.append((self.order.small, float(small)))
        for fee in supplier.fees:
            if not fee.of_customs:
                terms = self._fee(fee, _times(self.goods, fee.per_goods))
                (by_weight if fee.by_weight else by_value).extend(_times(terms, fee.customs))
        value = [*_times(self.goods, customs.goods), *by_weight, *by_value]
        for fee in supplier.fees:
            if fee.of_customs:
                base = [*_times(self.goods, fee.per_goods), *_times(value, fee.of_customs)]
                self._fee(fee, base)
        if extra:
            shared = SharedCharges(together(by_weight), together(by_value))
            write_shared_duty(self.columns, self.order.lines, self.shares, shared)

    # Weight

    def _kilos(self, *, exact: bool) -> Terms:
        """Return the weight that is billed; the lines' own are kept for what is shared by it."""
        weighing = self.supplier.weighing
        pieces = [weighing.piece(line.pack_kg, line.pack_cm3) for line in self.order.lines]
        lines = list(zip(self.order.lines, pieces, strict=True))
        if weighing.per_piece:
            self.shares = [
                self._rounded([_times(line.packs, piece.greater)], exact=exact)
                for line, piece in lines
            ]
            return together(term for share in self.shares for term in share)
        share = [p.greater if weighing.divisor else p.actual for p in pieces]
        self.shares = [_times(line.packs, s) for (line, _), s in zip(lines, share, strict=True)]
        actual = [t for line, piece in lines for t in _times(line.packs, piece.actual)]
        volumetric = [t for line, piece in lines for t in _times(line.packs, piece.volumetric)]
        sums = [actual, volumetric]
        return self._rounded(sums if weighing.divisor else sums[:1])

    def _rounded(self, sums: Sequence[Terms], *, exact: bool = False) -> Terms:
        """Return the greatest of the sums, in whole steps where the carrier bills so."""
        step = float(self.supplier.weighing.step_kg)
        sums = [together(terms) for terms in sums]
        if len(sums) == 1 and not step:
            return sums[0]
        most = max(map(self.columns.most, sums))
        if not most:
            return []
        if not step:
            weight = self.columns.add(high=most, whole=False)
            billed: Terms = [(weight, 1.0)]
        else:
            steps = self.columns.add(high=ceil(most / step - 1e-9))
            billed = [(steps, step)]
        for terms in sums:
            self.columns.limit([*billed, *_negative(terms)], low=0)
        if exact and step and sums[0]:
            # No more steps than are begun, for a line's weight is what shared charges go by.
            grain = _grain([Fraction(factor) for _, factor in sums[0]], Fraction(step))
            self.columns.limit([*billed, *_negative(sums[0])], high=step - grain)
        return billed

    # Freight

    def _freight(self, kilos: Terms) -> Terms:
        supplier = self.supplier
        if supplier.free_above == 0:
            return []
        pays = self._pays()
        cost: Terms = [(pays, float(supplier.freight))]
        if supplier.goes_by_weight:
            paid = kilos if pays == self.order.order else self._paid_weight(pays, kilos)
            cost += _times(paid, supplier.per_kg)
            if supplier.weight_steps:
                cost += self._weight_steps(pays, paid)
        if supplier.value_steps:
            cost += self._value_steps(pays)
        return together(cost)

    def _pays(self) -> int:
        """Return the column that says if freight is paid: the order's, unless it may be free."""
        if self.supplier.free_above is None:
            return self.order.order
        mark = float(self.supplier.free_above)
        pays = self.columns.add()
        self.columns.limit([*self.goods, (self.order.order, -mark), (pays, mark)], low=0)
        return pays

    def _paid_weight(self, pays: int, kilos: Terms) -> Terms:
        most = self.columns.most(kilos)
        weight = self.columns.add(high=most, whole=False)
        self.columns.limit([(weight, 1.0), *_negative(kilos), (pays, -most)], low=-most)
        return [(weight, 1.0)]

    def _weight_steps(self, pays: int, paid: Terms) -> Terms:
        steps, most = self.supplier.weight_steps, self.columns.most(paid)
        open_step = [self.columns.add() for _ in steps]
        self.columns.limit([*((z, 1.0) for z in open_step), (pays, -1.0)], low=0, high=0)
        ends = [*(float(step.start) for step in steps[1:]), most]
        cost: Terms = [(z, float(step.cost)) for z, step in zip(open_step, steps, strict=True)]
        held: Terms = []
        for z, step, end in zip(open_step, steps, ends, strict=True):
            if not step.per_more:
                held.append((z, max(end, 0.0)))
                continue
            over = self.columns.add(high=max(end - float(step.start), 0.0), whole=False)
            self.columns.limit([(over, 1.0), (z, -self.columns.high[over])], high=0)
            held += [(z, float(step.start)), (over, 1.0)]
            cost.append((over, float(step.per_more)))
        self.columns.limit([*held, *_negative(paid)], low=0)
        return cost

    def _value_steps(self, pays: int) -> Terms:
        steps = self.supplier.value_steps
        open_step = [self.columns.add() for _ in steps]
        self.columns.limit([*((z, 1.0) for z in open_step), (pays, -1.0)], low=0, high=0)
        starts = [(z, -float(step.start)) for z, step in zip(open_step, steps, strict=True)]
        self.columns.limit([*self.goods, *starts], low=0)
        if any(after.cost > step.cost for step, after in pairwise(steps)):
            self._under_next(open_step, steps)
        return [(z, float(step.cost)) for z, step in zip(open_step, steps, strict=True)]

    def _under_next(self, open_step: Sequence[int], steps: Sequence[ChargeStep]) -> None:
        """Hold the goods under the start of the step after the one that is open."""
        most = self.columns.most(self.goods)
        grain = _grain([price for line in self.order.lines for price in line.unit_goods])
        for z, after in zip(open_step, steps[1:], strict=False):
            last = float((ceil(after.start / grain) - 1) * grain)
            self.columns.limit([*self.goods, (z, max(most - last, 0.0))], high=max(most, last))

    # Fees

    def _fee(self, fee: BasketFee, base: Terms) -> Terms:
        """Write a fee on the base; return the terms that it comes to."""
        order = self.order.order
        figure = together([(order, float(fee.flat)), *base])
        if fee.most is None and not fee.least:
            self.columns.charge(figure, float(fee.factor))
            return figure
        most = self.columns.most(figure)
        amount = self.columns.add(high=max(most, float(fee.least)), whole=False)
        self.columns.charge([(amount, 1.0)], float(fee.factor))
        self.columns.limit([(amount, 1.0), (order, -float(fee.least))], low=0)
        row: Terms = [(amount, 1.0), *_negative(figure)]
        if fee.most is not None and most > float(fee.most):
            capped = self.columns.add()
            self.columns.limit([(amount, 1.0), (capped, -float(fee.most))], low=0)
            row.append((capped, most))
        self.columns.limit(row, low=0)
        return [(amount, 1.0)]


def _times(terms: Iterable[tuple[int, float]], rate: Fraction) -> Terms:
    factor = float(rate)
    return [(column, each * factor) for column, each in terms] if factor else []


def _negative(terms: Iterable[tuple[int, float]]) -> Terms:
    return [(column, -factor) for column, factor in terms]


def _grain(values: Sequence[Fraction], *more: Fraction) -> Fraction:
    """Return the largest amount of which all the values are whole multiples."""
    every = [each.limit_denominator(10**6) for each in (*values, *more) if each]
    below = lcm(*(each.denominator for each in every))
    return Fraction(gcd(*(int(each * below) for each in every)), below)
