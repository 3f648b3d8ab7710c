"""A supplier as costs are counted: his terms, and the rates of their currency."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from partsdb.rules.costing import CustomsRules
from partsdb.rules.currencies import minor_per_major
from partsdb.rules.fx import Rates
from partsdb.rules.landed import SupplierTerms, customs_for


@dataclass(frozen=True, slots=True)
class Seller:
    """A supplier with his terms and the rates of their currency, selling into `home`."""

    name: str
    terms: SupplierTerms
    rates: Rates
    home: str
    customs: CustomsRules

    @property
    def rules(self) -> CustomsRules:
        """The customs rules as his Incoterm leaves them."""
        return customs_for(self.customs, self.terms)

    @property
    def tax(self) -> Fraction:
        """The VAT that is a cost, 0 where it is recovered."""
        return Fraction(0) if self.rules.vat_recoverable else self.rules.vat_rate

    def levies(self, duty: Fraction | None) -> Fraction:
        """Return the duty and tax on one unit of customs value of goods with that duty rate."""
        owed = Fraction(0) if self.rules.duty_by_seller else duty or Fraction(0)
        return owed + self.tax * (1 + owed)

    def exchange(self, currency: str) -> tuple[Fraction, Fraction]:
        """Return what a major unit costs, and is worth to customs, in home minor units."""
        home = Fraction(minor_per_major(self.home))
        if currency == self.home:
            return home, home
        return self.rates.paid * home, self.rates.customs * home
