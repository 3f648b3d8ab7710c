"""What it is worth to pay a supplier early, where his terms give a discount for it."""

from __future__ import annotations

from partsdb.errors import InputRefusedError
from partsdb.rules.money import Money
from partsdb.rules.payment import prompt_discount


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
