"""A discount column: the net price is the list price less a percentage, or it is asked for.

What is written decides. A code or group needs the supplier's table; a bare figure is a percentage
only where its heading or its sign says so; what contradicts itself makes no price.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Context, Decimal

from importers.drift import NET
from importers.rows import Column

Keys = Sequence[tuple[str, Column]]
PERCENT, CODE = "percent", "code"
_NET = re.compile(r"\bnett?o?\b|\bnettopreis\b|\b(?:your|ihr|ek|cost)\b|einkauf", re.IGNORECASE)
_PERCENT = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,4})?) ?(%|v\.? ?H\.?|p\.? ?c\.?)?", re.IGNORECASE)
_NONE = re.compile(r"nett?o?|none|ohne|kein(?:er)?", re.IGNORECASE)
_EXACT = Context(prec=80)
_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Net:
    """A net price as plain decimal text, "" where none can be told, and how it came about."""

    text: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Discounting:
    """How a table with a column of discounts comes to its net prices.

    `unsure` is the heading of a price that may be meant before the discount or after it.
    """

    index: int
    is_percent: bool
    unsure: str = ""

    def net(self, fields: Mapping[str, str], amounts: Mapping[str, str], shown: str) -> Net:
        """Return the net price of a row; `shown` is what its discount cell hides, "" if nothing."""
        price, whole = amounts.get("price", ""), amounts.get("list_price", "")
        cell = " ".join(fields.get("discount", "").split())
        if not whole and not (price and self.unsure):
            return Net(price)
        off, why = (None, f"is stored as {shown}") if shown else self._share(cell)
        if off is None:
            return self._without(cell, why, price)
        if not whole:
            return self._unsure(price, off)
        net = _EXACT.multiply(Decimal(whole), 100 - off).scaleb(-2)
        told = f"list price {whole} less {off} %"
        if not price:
            return Net(_plain(net), f"net price {_plain(net)}: {told}")
        if abs(net - Decimal(price)) <= _tolerance(Decimal(whole), off):
            return Net(price)
        why = f"two net prices: {price} is stated, {told} is {_plain(net)}; ask the supplier"
        return Net("", why)

    def _share(self, cell: str) -> tuple[Decimal | None, str]:
        """Return the percentage that a cell states, None with the reason when it states none."""
        if not cell:
            return None, "is not stated"
        if _NONE.fullmatch(cell):
            return Decimal(0), ""
        found = _PERCENT.fullmatch(cell)
        if not found or not (found[2] or self.is_percent):
            return None, "is no percentage: ask the supplier for the table of his discounts"
        off = Decimal(found[1].replace(",", "."))
        if 0 < off < 1 and not found[2]:
            return None, f"may be {off} % or {(off * 100).normalize():f} %: ask the supplier"
        return (off, "") if off < 100 else (None, "leaves nothing of the price")

    def _without(self, cell: str, why: str, price: str) -> Net:
        if price and (not self.unsure or not cell):
            return Net(price)
        named = f'the discount "{cell}"' if cell else "the discount"
        return Net("", f"no net price: {named} {why}")

    def _unsure(self, price: str, off: Decimal) -> Net:
        if not off:
            return Net(price)
        why = f'no net price: is {price} in column "{self.unsure}" before or after the {off} %?'
        return Net("", why)


def discounting_of(keys: Keys) -> Discounting | None:
    """Return how the columns of a table come to net prices, None without a percentage among them.

    A price beside a discount is net where its heading says so, or a person did.
    """
    at = dict(keys)
    discount, price = at.get("discount"), at.get("price")
    if discount is None or CODE in discount.unit.split():
        return None
    unsure = "" if price is None or "list_price" in at or is_net(price) else price.heading
    return Discounting(discount.index, PERCENT in discount.unit.split(), unsure)


def discounts_said(keys: Keys, discounting: Discounting | None) -> list[str]:
    """Return the sentence on what net prices are made of."""
    at = dict(keys)
    price, discount = at.get("price"), at.get("discount")
    if discount is None:
        return []
    if discounting is None:
        asked = price is not None and "list_price" not in at and not is_net(price)
        why = f'a code of discounts stands beside the price: column "{discount.heading}"'
        return [f"{why}; the price is taken as net"] if asked else []
    if price is None and "list_price" in at:
        return [f'net prices are the list prices less the discount in column "{discount.heading}"']
    return []


def is_net(price: Column) -> bool:
    """Say whether a price is meant after the discount: its heading or a person says so."""
    return NET in price.unit.split() or _NET.search(price.heading) is not None


def _tolerance(whole: Decimal, off: Decimal) -> Decimal:
    """Return by how much a stated net price may differ: the percentage and the cent are rounded."""
    half = Decimal(1).scaleb(int(off.as_tuple().exponent)) / 2
    return whole * half / 100 + _CENT


def _plain(figure: Decimal) -> str:
    text = f"{figure:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
