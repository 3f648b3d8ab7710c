"""Offers and suppliers' terms as a basket counts them: exchange, freight, fees and duty included.

Rounding to the coin is left to `land_order`, which counts the basket found once more. Duty on
charges that are shared out between goods of several rates is counted at the lowest of them: what
the solver calls the least can then not lie above what the money code finds.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from partsdb.rules.basket import NOTHING, BasketOffer, BasketSupplier, Tier
from partsdb.rules.costing import CustomsRules
from partsdb.rules.currencies import minor_per_major
from partsdb.rules.landed import BASES, LandedLine
from partsdb.rules.money import PRICE_SCALE, Money
from partsdb.rules.offers import Offer
from partsdb.rules.sellers import Seller


def basket_offer(name: str, seller: Seller, line: LandedLine) -> BasketOffer:
    """Return the offer of `line` as packs with what they cost at our door, exactly."""
    offer = line.offer
    starts = _tier_starts(offer)
    tiers = tuple(_tier(offer, start, seller, line.duty_rate) for start in starts)
    weight = Fraction((line.weight_g or 0) * offer.pack_units, 1000)
    return BasketOffer(
        name, seller.name, line.part, offer.pack_units, tiers, weight, offer.incremental
    )


def _tier_starts(offer: Offer) -> list[int]:
    """Return the packs from which the price of a pack may differ, the least that is sold first."""
    least = max(-(-offer.min_units // offer.pack_units), 1)
    marks = [-(-start // offer.pack_units) for start, _ in offer.breaks]
    if offer.incremental:  # a pack that straddles a break has a price of its own
        marks = [least + 1, *marks, *(mark + 1 for mark in marks)]
    return [least, *sorted({mark for mark in marks if mark > least})]


def _tier(offer: Offer, start: int, seller: Seller, duty: Fraction | None) -> Tier:
    pack = offer.pack_units
    least = max(-(-offer.min_units // pack), 1)
    if offer.incremental and start > least:
        price_e4 = offer.goods_e4(start * pack) - offer.goods_e4((start - 1) * pack)
    else:
        price_e4 = offer.goods_e4(start * pack) / start
    major = price_e4 / PRICE_SCALE
    return Tier(start, _at_door(major, seller, duty), major * minor_per_major(offer.currency))


def _at_door(major: Fraction, seller: Seller, duty: Fraction | None) -> Fraction:
    """Return what goods cost in home minor units, with the duty and tax that fall on them."""
    home = minor_per_major(seller.home)
    value = major * seller.rates.customs * home
    return major * seller.rates.paid * home + _levies(value, duty or NOTHING, seller.rules)


def _levies(value: Fraction, duty: Fraction, customs: CustomsRules) -> Fraction:
    owed = NOTHING if customs.duty_by_seller else duty * value
    tax = NOTHING if customs.vat_recoverable else customs.vat_rate
    return owed + tax * (value + owed)


def basket_supplier(seller: Seller, lines: Sequence[LandedLine]) -> BasketSupplier:
    """Return what an order from the seller costs beside the goods; `lines` are all his offers."""
    terms = seller.terms
    duty = min((line.duty_rate or NOTHING for line in lines), default=NOTHING)
    is_free = terms.free_above is not None and not terms.free_above
    per_kg = terms.freight_per_kg
    fuel = 1 + terms.fuel
    return BasketSupplier(
        seller.name,
        fee=_charge(terms.insurance, seller, duty, ("CIF",))
        + _charge(terms.brokerage, seller, duty, ()),
        freight=NOTHING if is_free else _charge(terms.freight, seller, duty, ("CIF",)),
        free_above=Fraction(terms.free_above.minor) if terms.free_above else None,
        per_kg=NOTHING
        if is_free or per_kg is None
        else _charge(per_kg, seller, duty, ("CIF",)) * fuel,
        min_order=Fraction(terms.min_order.minor),
        # A minimum without a charge for less is a minimum: such an order may be refused.
        small_order=_charge(terms.small_order, seller, duty, BASES) if terms.small_order else None,
    )


def _charge(amount: Money, seller: Seller, duty: Fraction, bases: tuple[str, ...]) -> Fraction:
    is_foreign = amount.currency != seller.home
    home = minor_per_major(seller.home)
    paid, customs = (seller.rates.paid, seller.rates.customs) if is_foreign else (1, 1)
    cost = amount.major * paid * home
    if seller.customs.basis not in bases:
        return cost
    return cost + _levies(amount.major * customs * home, duty, seller.rules)
