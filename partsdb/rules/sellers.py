"""A supplier as costs are counted: his terms, and the rates of their currency."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.rules.costing import CustomsRules
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
