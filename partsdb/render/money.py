"""Amounts as people read them."""

from __future__ import annotations

from partsdb.rules.money import Money


def amount(minor: int, currency: str) -> str:
    """Return minor units as "12.50 EUR"."""
    return str(Money(minor, currency))
