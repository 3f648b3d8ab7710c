"""Tax taken out of prices, at the rate that a person named: exact up to one rounding.

net = price x 100 / (100 + rate), rounded half up where it does not end.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from importers.raw import RawRow
from importers.tables import Table
from importers.tax_words import EXCLUDED, INCLUDED, as_rate, kind_of_cell, tax_said

NET_AFTER_ALL = "0"
# A net price that does not end is held to 1/10000, and to six figures where it is small.
_DECIMALS, _FIGURES = 4, 6


class TaxOut:
    """Takes the tax that a person named out of the prices of one table."""

    def __init__(self, table: Table) -> None:
        rate = table.layout.tax if table.layout else ""
        self.rate = "" if rate == NET_AFTER_ALL else rate
        self._rates, self._words = table.tax_rates, table.tax_words
        self._keys = {
            key for key, column in table.keys if tax_said(column.heading).kind != EXCLUDED
        }
        if "price" not in dict(table.keys) and "list_price" in self._keys:
            self._keys.add("price")

    def take(self, amounts: dict[str, str], raw: RawRow) -> list[str]:
        """Make the amounts of a row net, and return what is odd about it.

        A row that names another rate, or leaves open what others say, has no price.
        """
        taxed = [key for key, amount in amounts.items() if amount and key in self._keys]
        if not taxed:
            return []
        if why := self._other_rate(raw) or self._left_open(raw):
            amounts |= dict.fromkeys(taxed, "")
            return [f"no price: {why}, and {self.rate} % would be taken out"]
        if net := next((c for c, kind in self._said(raw) if kind == EXCLUDED), ""):
            return [f'without tax, as its row says: "{net}"']
        for key in taxed:
            amounts[key] = without_tax(amounts[key], self.rate)
        return []

    def _other_rate(self, raw: RawRow) -> str:
        cells = filter(None, (raw.cell(index).strip() for index in self._rates))
        named = {f"{rate} %" if (rate := stated_rate(cell)) else cell for cell in cells}
        others = sorted(named - {f"{self.rate} %"})
        return f"its tax is {' and '.join(others)}" if others else ""

    def _left_open(self, raw: RawRow) -> str:
        is_open = any(kind not in (EXCLUDED, INCLUDED) for _, kind in self._said(raw))
        return "its row does not say whether tax is in it" if is_open else ""

    def _said(self, raw: RawRow) -> list[tuple[str, str]]:
        """Return what the row itself says of tax in its prices: each cell and its meaning."""
        cells = [(raw.cell(index).strip(), asks) for index, asks in self._words]
        return [(cell, kind_of_cell(cell, asks) if cell else "") for cell, asks in cells]


def without_tax(amount: str, rate: str) -> str:
    """Return the net price in an amount with `rate` % tax in it, as plain decimal text.

    Exact where it ends within the decimals that are kept, rounded half up where it does not.
    """
    gross = Decimal(amount)
    net = Fraction(gross) * 100 / (100 + Fraction(Decimal(rate)))
    decimals = max(_DECIMALS, _FIGURES - 1 - gross.adjusted())
    scaled = (net * 10**decimals * 2 + 1) // 2
    text = f"{Decimal(scaled).scaleb(-decimals):f}"
    return text.rstrip("0").rstrip(".")


def stated_rate(cell: str) -> str:
    """Return the percentage that a cell of rates states: "19" for "19 %", "19,00" and "0.19"."""
    figure = cell.replace("%", "").replace(",", ".").strip()
    if not figure.replace(".", "", 1).isdecimal() or not figure.isascii() or len(figure) > 6:
        return ""
    rate = Decimal(figure)
    return as_rate(f"{rate * 100 if 0 < rate < 1 and '%' not in cell else rate}")
