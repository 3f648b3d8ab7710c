"""Tax taken out of prices, at the rate that a person named: exact up to one rounding.

net = price x 100 / (100 + rate), rounded half up where it does not end.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from importers.raw import RawRow
from importers.tables import Table
from importers.tax_words import EXCLUDED, as_rate, tax_said

NET_AFTER_ALL = "0"
# A net price that does not end is held to 1/10000, and to six figures where it is small.
_DECIMALS, _FIGURES = 4, 6


class TaxOut:
    """Takes the tax that a person named out of the prices of one table."""

    def __init__(self, table: Table) -> None:
        rate = table.layout.tax if table.layout else ""
        self.rate = "" if rate == NET_AFTER_ALL else rate
        self._rates = table.tax_rates
        self._keys = {
            key for key, column in table.keys if tax_said(column.heading).kind != EXCLUDED
        }
        if "price" not in dict(table.keys) and "list_price" in self._keys:
            self._keys.add("price")

    def take(self, amounts: dict[str, str], raw: RawRow) -> list[str]:
        """Make the amounts of a row net; a row that names another rate has no price, as is said."""
        taxed = [key for key, amount in amounts.items() if amount and key in self._keys]
        stated = {rate for index in self._rates if (rate := stated_rate(raw.cell(index)))}
        if others := stated - {self.rate}:
            amounts |= dict.fromkeys(taxed, "")
            named = " and ".join(sorted(others))
            return [f"no price: its tax is {named} %, and {self.rate} % would be taken out"]
        for key in taxed:
            amounts[key] = without_tax(amounts[key], self.rate)
        return []


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
