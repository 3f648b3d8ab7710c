"""Offers and suppliers' terms as a basket counts them: exchange, freight, fees and duty included.

Rounding to the coin is left to `land_order`, which counts the basket found once more; all else is
as there.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from partsdb.rules.basket import NOTHING, BasketOffer, BasketSupplier, Tier
from partsdb.rules.basket_charges import BasketFee, ChargeStep, CustomsShares
from partsdb.rules.costing import ShareBy
from partsdb.rules.currencies import minor_per_major
from partsdb.rules.fees import Fee, FeeOf
from partsdb.rules.freight import FreightStep, FreightTable
from partsdb.rules.landed import BASES, LandedLine
from partsdb.rules.money import PRICE_SCALE, Money
from partsdb.rules.offers import Offer
from partsdb.rules.sellers import Seller

CIF = ("CIF",)


def basket_offer(
    name: str, seller: Seller, line: LandedLine, lowest_duty: Fraction | None = None
) -> BasketOffer:
    """Return the offer of `line` as packs with what they cost at our door, exactly.

    `lowest_duty` is the lowest rate of all the seller's offers (left out: this one's own).
    """
    offer = line.offer
    starts = _tier_starts(offer)
    tiers = tuple(_tier(line, start, seller) for start in starts)
    lowest = seller.levies(line.duty_rate if lowest_duty is None else lowest_duty)
    return BasketOffer(
        name,
        seller.name,
        line.part,
        offer.pack_units,
        tiers,
        Fraction((line.weight_g or 0) * offer.pack_units, 1000),
        offer.incremental,
        Fraction((line.volume_mm3 or 0) * offer.pack_units, 1000),
        seller.levies(line.duty_rate) - lowest,
    )


def lowest_duty(lines: Sequence[LandedLine]) -> Fraction:
    """Return the lowest duty rate of a seller's offers; an unknown one is counted as none."""
    return min((line.duty_rate or NOTHING for line in lines), default=NOTHING)


def _tier_starts(offer: Offer) -> list[int]:
    """Return the packs from which the price of a pack may differ, the least that is sold first."""
    least = max(-(-offer.min_units // offer.pack_units), 1)
    marks = [-(-start // offer.pack_units) for start, _ in offer.breaks]
    if offer.incremental:  # a pack that straddles a break has a price of its own
        marks = [least + 1, *marks, *(mark + 1 for mark in marks)]
    return [least, *sorted({mark for mark in marks if mark > least})]


def _tier(line: LandedLine, start: int, seller: Seller) -> Tier:
    offer = line.offer
    pack = offer.pack_units
    least = max(-(-offer.min_units // pack), 1)
    if offer.incremental and start > least:
        price_e4 = offer.goods_e4(start * pack) - offer.goods_e4((start - 1) * pack)
    else:
        price_e4 = offer.goods_e4(start * pack) / start
    major = price_e4 / PRICE_SCALE
    cost = _at_door(major, seller, line.duty_rate) + _forfeited(offer, seller)
    return Tier(start, cost, major * minor_per_major(offer.currency))


def _at_door(major: Fraction, seller: Seller, duty: Fraction | None) -> Fraction:
    """Return what goods cost in home minor units, with the duty and tax that fall on them."""
    paid, customs = seller.exchange(seller.terms.currency)
    off = 1 - seller.terms.prompt_discount
    return major * (paid * off + customs * seller.levies(duty))


def _forfeited(offer: Offer, seller: Seller) -> Fraction:
    """Return the deposits on a pack that will not come back, in home minor units."""
    paid, _ = seller.exchange(offer.currency)
    return offer.deposit(offer.pack_units).major * (1 - offer.returned) * paid


def basket_supplier(seller: Seller, lines: Sequence[LandedLine]) -> BasketSupplier:
    """Return what an order from the seller costs beside the goods; `lines` are all his offers."""
    terms = seller.terms
    counted = _Counted(seller, lowest_duty(lines))
    is_free = terms.free_above is not None and not terms.free_above
    per_kg = terms.freight_per_kg
    fuel = 1 + terms.fuel
    return BasketSupplier(
        seller.name,
        fee=counted.cost(terms.insurance, CIF) + counted.cost(terms.brokerage, ()),
        freight=NOTHING if is_free else counted.cost(terms.freight, CIF),
        free_above=Fraction(terms.free_above.minor) if terms.free_above else None,
        per_kg=NOTHING if is_free or per_kg is None else counted.cost(per_kg, CIF) * fuel,
        min_order=Fraction(terms.min_order.minor),
        # A minimum without a charge for less is a minimum: such an order may be refused.
        small_order=counted.cost(terms.small_order, BASES) if terms.small_order else None,
        weighing=terms.weighing,
        weight_steps=() if is_free else counted.steps(terms.tables, by_weight=True),
        value_steps=() if is_free else counted.steps(terms.tables, by_weight=False),
        fees=counted.fees(),
        customs=counted.shares(),
    )


class _Counted:
    """Counts charges in home minor units, with the levies on them at the lowest duty rate."""

    def __init__(self, seller: Seller, duty: Fraction) -> None:
        self.seller, self.duty = seller, duty
        self.basis = seller.rules.basis

    def cost(self, amount: Money, bases: tuple[str, ...]) -> Fraction:
        paid, customs = self.seller.exchange(amount.currency)
        levies = self.seller.levies(self.duty) if self.basis in bases else NOTHING
        return amount.major * (paid + customs * levies)

    def steps(self, tables: Sequence[FreightTable], *, by_weight: bool) -> tuple[ChargeStep, ...]:
        found = [table for table in tables if table.by_weight is by_weight]
        return tuple(self._step(step, by_weight) for table in found for step in table.steps)

    def _step(self, step: FreightStep, by_weight: bool) -> ChargeStep:
        fuel = 1 + self.seller.terms.fuel if by_weight else 1
        more = self.cost(step.per_more, CIF) * fuel if step.per_more else NOTHING
        return ChargeStep(step.start, self.cost(step.freight, CIF) * fuel, more)

    def shares(self) -> CustomsShares:
        """Return what customs value of each unit of goods, and of what charges cost."""
        terms = self.seller.terms
        _, customs = self.seller.exchange(terms.currency)
        is_cif = self.basis in CIF
        insured = terms.insurance.major * self.seller.exchange(terms.insurance.currency)[1]
        return CustomsShares(
            goods=customs / minor_per_major(terms.currency),
            fixed=insured if is_cif else NOTHING,
            freight=self._valued(terms.freight) if is_cif else NOTHING,
            small_order=self._valued(terms.small_order),
        )

    def _valued(self, charge: Money) -> Fraction:
        """Return the customs value of what costs one minor unit with its levies."""
        paid, customs = self.seller.exchange(charge.currency)
        return customs / (paid + customs * self.seller.levies(self.duty))

    def fees(self) -> tuple[BasketFee, ...]:
        is_ours = not self.seller.rules.duty_by_seller
        fees = self.seller.terms.fees
        return tuple(self._fee(fee) for fee in fees if fee.of is FeeOf.GOODS or is_ours)

    def _fee(self, fee: Fee) -> BasketFee:
        seller, currency = self.seller, fee.flat.currency
        paid, customs = seller.exchange(currency)
        is_valued = self.basis in fee.dutiable_on
        valued = customs / paid if is_valued else NOTHING
        is_taxed = fee.taxable and not is_valued
        factor = 1 + valued * seller.levies(self.duty) + (seller.tax if is_taxed else 0)
        goods_paid, _ = seller.exchange(seller.terms.currency)
        of_goods = fee.of is FeeOf.GOODS
        return BasketFee(
            flat=fee.flat.major * paid,
            per_goods=fee.rate * goods_paid / minor_per_major(seller.terms.currency)
            if of_goods
            else NOTHING,
            of_customs=NOTHING if of_goods else fee.rate * paid / customs,
            least=fee.least.major * paid if fee.least else NOTHING,
            most=None if fee.most is None else fee.most.major * paid,
            factor=Fraction(factor),
            customs=valued,
            by_weight=fee.share_by is ShareBy.WEIGHT,
        )
