"""What to know about paying a supplier: the day of the exchange rate, a discount for haste."""

from __future__ import annotations

from partsdb.jobs.landing import Side
from partsdb.rules.money import Money
from partsdb.rules.payment import prompt_discount_in


def notes_on_paying(side: Side, goods: Money) -> tuple[str, ...]:
    """Return the notes on an order of so many goods from the side's supplier."""
    payment = side.stored.payment if side.stored else ""
    is_taken = bool(side.seller.terms.prompt_discount)
    paying = payment_note(side.seller.name, payment, goods, is_taken=is_taken)
    return (*rate_note(side), *paying)


def rate_note(side: Side) -> tuple[str, ...]:
    """Return which day's exchange rate is counted with, and how old it is; none at home."""
    seller = side.seller
    if seller.terms.currency == seller.home:
        return ()
    days = seller.rates.age_days
    age = f"{days} day{'' if days == 1 else 's'} old" if days else "that very day's"
    published = seller.rates.date.isoformat()
    said = f"{seller.name}: {seller.terms.currency} at the rate of {published}, {age}"
    rate = side.customs_rate
    if rate is None:
        return (said,)
    counted = f"customs count 1 {rate.currency} as {rate.rate} {rate.home}"
    return (f"{said}; {counted} from {rate.valid_from} on ({rate.source})",)


def payment_note(
    supplier: str, payment: str, goods: Money, *, is_taken: bool = False
) -> tuple[str, ...]:
    """Return a note on the discount of the payment terms; none when they give none.

    Unless the shop always takes it, it is not taken off the cost: whether it is taken is known when
    it is paid.
    """
    discount = prompt_discount_in(payment)
    if discount is None:
        return ()
    if is_taken:
        return (f"{supplier}: to be paid within {discount.discount_days} days, as is counted",)
    return (
        f"{supplier}: paid within {discount.discount_days} days the goods cost "
        f"{goods.share(discount.rate)} less: paying {discount.net_days - discount.discount_days} "
        f"days early earns {float(discount.simple_return()):.2%} a year "
        f"({discount.compound_return():.2%} compounded)",
    )
