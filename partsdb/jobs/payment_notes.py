"""What to know about paying a supplier: the day of the exchange rate, a discount for haste."""

from __future__ import annotations

from partsdb.errors import InputRefusedError
from partsdb.jobs.landing import Side
from partsdb.rules.money import Money
from partsdb.rules.payment import prompt_discount


def notes_on_paying(side: Side, goods: Money) -> tuple[str, ...]:
    """Return the notes on an order of so many goods from the side's supplier."""
    payment = side.stored.payment if side.stored else ""
    return (*rate_note(side), *payment_note(side.seller.name, payment, goods))


def rate_note(side: Side) -> tuple[str, ...]:
    """Return which day's exchange rate is counted with, and how old it is; none at home."""
    seller = side.seller
    if seller.terms.currency == seller.home:
        return ()
    days = seller.rates.age_days
    age = f"{days} day{'' if days == 1 else 's'} old" if days else "that very day's"
    published = seller.rates.date.isoformat()
    return (f"{seller.name}: {seller.terms.currency} at the rate of {published}, {age}",)


def payment_note(supplier: str, payment: str, goods: Money) -> tuple[str, ...]:
    """Return a note on the discount of the payment terms; none when they give none.

    The discount is never taken off the cost: whether it is taken is known when it is paid.
    """
    try:
        discount = prompt_discount(payment)
    except InputRefusedError:
        return ()
    return (
        f"{supplier}: paid within {discount.discount_days} days the goods cost "
        f"{goods.share(discount.rate)} less: paying {discount.net_days - discount.discount_days} "
        f"days early earns {float(discount.simple_return()):.2%} a year "
        f"({discount.compound_return():.2%} compounded)",
    )
