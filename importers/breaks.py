"""Prices that hold from a quantity on: which columns are breaks of the price, and which are none.

A break has the basis and the currency of the price that it breaks. Beside a list price and its
discount the price of one is what is left of the list price; a price from ten on is then a break, if
it is known to be meant after the discount.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from importers.currency_words import unit_currency
from importers.discounts import discounting_of, is_net
from importers.rows import Column, word_behind
from importers.tables import keys_of, price_column
from importers.tax_words import INCLUDED, tax_said

Keys = tuple[tuple[str, Column], ...]
BREAK = "price_from_"


@dataclass(frozen=True, slots=True)
class Breaks:
    """The fields of a table without the prices that cannot be breaks, and the sentences on them."""

    keys: Keys
    said: tuple[str, ...] = ()


def with_breaks(columns: Sequence[Column]) -> Breaks:
    """Return the field name of every column that has one, and why some prices have none."""
    keys, said = _after_the_discount(columns)
    price = price_column(keys)
    kept = []
    for key, column in keys:
        why = _strange(column, price) if price and key.startswith(BREAK) else ""
        if why:
            said.append(f'the prices in column "{column.heading}" are not read: {why}')
        else:
            kept.append((key, column))
    return Breaks(tuple(kept), tuple(said))


def least_quantity(keys: Keys) -> int:
    """Return from how many units the heading says that the price holds, 1 where it does not."""
    price = dict(keys).get("price")
    return int((price and word_behind(price.unit, "from")) or 1)


def breaks_prices(keys: Keys) -> bool:
    """Say whether quantities matter to the prices of a table."""
    return least_quantity(keys) > 1 or any(key.startswith(BREAK) for key, _ in keys)


def quantity_notes(fields: dict[str, str], amounts: Mapping[str, str], least: int) -> list[str]:
    """Return what is odd about the prices of a row by quantity.

    A price from ten on sets the row's minimum: nobody says what a single one costs.
    """
    notes, last = [], amounts.get("price", "")
    stated = fields.get("min_qty", "")
    if last and least > 1 and not (stated.isdecimal() and int(stated) >= least):
        fields["min_qty"] = str(least)
        notes.append(f"the price holds only from {least} units")
    found = {int(k.removeprefix(BREAK)): v for k, v in amounts.items() if k.startswith(BREAK) and v}
    for units, price in sorted(found.items()):
        if last and Decimal(price) > Decimal(last):
            notes.append(f"from {units} units it costs more than fewer: {price} against {last}")
        last = price
    return notes


def _after_the_discount(columns: Sequence[Column]) -> tuple[Keys, list[str]]:
    """Make the price of a quantity a break where list price and discount give that of one."""
    keys = keys_of(columns)
    at = dict(keys)
    price = at.get("price")
    if price is None or "from" not in price.unit.split() or "list_price" not in at:
        return keys, []
    if discounting_of(keys) is None:
        return keys, []
    keys = keys_of([replace(c, meaning="other") if c is price else c for c in columns])
    broken = [(key, column) for key, column in keys if key.startswith(BREAK)]
    if any(is_net(column) for _, column in broken):
        return keys, []
    named = ", ".join(f'"{column.heading}"' for _, column in broken)
    why = (
        f"the prices in column {named} may be meant before the discount or after it: they are not "
        f'read until it is said with --column "{price.heading}=net price"'
    )
    return tuple(pair for pair in keys if pair not in broken), [why]


def _strange(column: Column, price: Column) -> str:
    """Return why a column is no break of the price: its heading says another basis, money, tax."""
    basis, money = word_behind(column.unit, "per"), unit_currency(column.unit)
    if basis and basis != word_behind(price.unit, "per"):
        return f"they are per {basis}, the price is not"
    of_price = unit_currency(price.unit)
    if money and of_price and money != of_price:
        return f"they are in {money}, the price is in {of_price}"
    kind, other = tax_said(column.heading).kind, tax_said(price.heading).kind
    if kind != other and (kind == INCLUDED or (kind and other == INCLUDED)):
        return "tax is in the one and not in the other"
    return ""
