"""What an offer costs for a need: packs, minimum, price breaks, discount, core deposit.

Source: trade handbook 5.3: highest break <= quantity; buy = ceil(max(need, MOQ)/pack)*pack;
test the next break; cost of a core deposit = deposit × P(not returned).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.money import PRICE_SCALE, Money, UnitPrice


@dataclass(frozen=True, slots=True)
class Offer:
    """A price as stored: whole 1/10000ths of the major unit for `price_per` units (pieces).

    `pack_units` pieces come in a pack, `min_units` is the least that is sold, `breaks` are
    (from_units, price_e4) on the same price basis: the price of all units, or when `incremental`
    only of those from `from_units` on. `discount` Fraction("0.1") takes 10 % off every price.
    `deposit_minor` is laid out for each piece until its old core is sent back, which is done with
    the share `returned` of them. Refused: a figure below 1, a share outside 0 to 1.
    """

    price_e4: int
    currency: str
    price_per: int = 1
    pack_units: int = 1
    min_units: int = 1
    breaks: tuple[tuple[int, int], ...] = ()
    incremental: bool = False
    discount: Fraction = Fraction(0)
    deposit_minor: int = 0
    returned: Fraction = Fraction(0)

    def __post_init__(self) -> None:
        figures = (
            self.price_e4,
            self.price_per,
            self.pack_units,
            self.min_units,
            *(figure for step in self.breaks for figure in step),
        )
        if min(figures) < 1:
            raise InputRefusedError(
                "an offer's price, price basis, pack, minimum and breaks are all above zero",
                hint="leave a pack, a minimum or a break that is not stated at 1 or out",
            )
        if not (0 <= self.discount < 1 and 0 <= self.returned <= 1 and self.deposit_minor >= 0):
            raise InputRefusedError(
                "a discount and the share of cores returned are between 0 and 1, a deposit is not "
                "under zero",
                hint="write 10 % as 0.1",
            )

    def price_at(self, units: int) -> UnitPrice:
        """Return the list price for `units`: that of the highest break not above them."""
        reached = max((step for step in self.breaks if step[0] <= units), default=None)
        price = self.price_e4 if reached is None else reached[1]
        return UnitPrice(price, self.currency, self.price_per)

    def goods_e4(self, units: int) -> Fraction:
        """Return what `units` cost, discount off, in exact 1/10000ths of the major unit."""
        return self.listed_e4(units) * (1 - self.discount)

    def listed_e4(self, units: int) -> Fraction:
        """Return what `units` come to at list price in exact 1/10000ths of the major unit."""
        if not self.incremental:
            return Fraction(self.price_at(units).e4 * units, self.price_per)
        starts = [(1, self.price_e4), *sorted(self.breaks)]
        ends = [*(start - 1 for start, _ in starts[1:]), units]
        parts = [
            price * max(min(end, units) - start + 1, 0)
            for (start, price), end in zip(starts, ends, strict=True)
        ]
        return Fraction(sum(parts), self.price_per)

    def goods(self, units: int) -> Money:
        """Return what `units` cost, discount off: exact, then rounded once, half up."""
        return Money.rounded(self.goods_e4(units) / PRICE_SCALE, self.currency)

    def listed(self, units: int) -> Money:
        """Return what `units` come to before the discount, rounded once, half up."""
        return Money.rounded(self.listed_e4(units) / PRICE_SCALE, self.currency)

    def deposit(self, units: int) -> Money:
        """Return the core deposit laid out for `units`."""
        return Money(self.deposit_minor * units, self.currency)

    def whole_packs(self, units: int) -> int:
        """Return `units` or more, as whole packs hold them."""
        return -(-units // self.pack_units) * self.pack_units


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to order: `units` in `packs`, for `goods`; `note` says why it is more than the need."""

    packs: int
    units: int
    goods: Money
    note: str = ""


def purchase(offer: Offer, need_units: int) -> Purchase:
    """Return the cheapest order that covers `need_units`; of equal ones the smallest.

    A need below 1 is refused.
    """
    if need_units < 1:
        raise InputRefusedError(
            f"a need of {need_units} units is nothing to order", hint="ask for at least one"
        )
    least = offer.whole_packs(max(need_units, offer.min_units))
    quantities = {least, *(offer.whole_packs(start) for start, _ in offer.breaks if start > least)}
    costs = {units: _cost(offer, units) for units in quantities}
    units = min(quantities, key=lambda units: (costs[units].minor, units))
    note = _why_this_much(offer, need_units, least)
    if units > least:
        note = (
            f"{units} cost {costs[units]}, {least} would cost {costs[least]}: the price break pays"
        )
    return Purchase(units // offer.pack_units, units, offer.goods(units), note)


def as_ordered(offer: Offer, units: int) -> Purchase:
    """Return an order of just these units; refused when they are no whole packs, or too few."""
    if units < offer.min_units or units % offer.pack_units:
        raise InputRefusedError(
            f"{units} units cannot be ordered",
            hint=f"the offer is for packs of {offer.pack_units}, {offer.min_units} units at least",
        )
    return Purchase(units // offer.pack_units, units, offer.goods(units))


def break_even_units(offer: Offer, break_units: int) -> int | None:
    """Return the fewest units at which ordering `break_units` costs less; None when never."""
    at_break = _cost(offer, break_units)
    dearer = (units for units in range(1, break_units) if _cost(offer, units) > at_break)
    return next(dearer, None)


def _cost(offer: Offer, units: int) -> Money:
    """Return the goods with the deposits that will not come back."""
    return offer.goods(units) + offer.deposit(units).share(1 - offer.returned)


def _why_this_much(offer: Offer, need: int, least: int) -> str:
    if least == need:
        return ""
    if offer.min_units > need:
        return f"{least} instead of {need}: the supplier's minimum is {offer.min_units}"
    return f"{least} instead of {need}: sold in packs of {offer.pack_units}"
