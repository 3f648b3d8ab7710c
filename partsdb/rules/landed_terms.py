"""What an order and a supplier's terms are to the landed cost (trade handbook 5.1, 5.3)."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.fees import Fee
from partsdb.rules.freight import FreightTable, Weighing
from partsdb.rules.money import Money
from partsdb.rules.offers import Offer
from partsdb.tables import Row, by_key

BASES = ("CIF", "FOB")


@dataclass(frozen=True, slots=True)
class LandedLine:
    """A part to be ordered: its offer, the units needed, one unit's weight, the duty rate.

    `weight_g` None: not known. `duty_rate` Fraction("0.017") is 1.7 %; give 0 where the goods
    cross no customs border; None says that no rate is known, `no_duty_rate` why ("" where there is
    no more to say). `as_ordered`: the units are what is ordered, in whole packs, and no more is
    bought because a price break would pay. `volume_mm3` is that of one unit as it is packed, None
    when not known.
    """

    part: str
    offer: Offer
    need_units: int
    weight_g: int | None
    duty_rate: Fraction | None
    as_ordered: bool = False
    volume_mm3: int | None = None
    no_duty_rate: str = ""


@dataclass(frozen=True, slots=True)
class SupplierTerms:
    """A supplier's terms. Charges are in `currency` or in the home currency (a carrier's bill).

    `freight` flat per order, nothing from `free_above` goods on (None: never free); goods under
    `min_order` cost `small_order` more; both thresholds are in `currency`.
    `spread` Fraction("0.015") is the bank's 1.5 %; `freight_per_kg` and `tables` come on top of the
    flat freight, and `fuel` is the carrier's surcharge on what goes by weight. `prompt_discount` is
    what comes off the goods for prompt payment, 0 where it is not taken. `not_counted` is what is
    known to be charged, but not how much.
    """

    currency: str
    incoterm: str
    freight: Money
    free_above: Money | None
    min_order: Money
    small_order: Money
    insurance: Money
    brokerage: Money
    spread: Fraction
    freight_per_kg: Money | None = None
    fuel: Fraction = Fraction(0)
    weighing: Weighing = field(default_factory=Weighing)
    tables: tuple[FreightTable, ...] = ()
    fees: tuple[Fee, ...] = ()
    prompt_discount: Fraction = Fraction(0)
    not_counted: tuple[str, ...] = ()

    @property
    def goes_by_weight(self) -> bool:
        """Tell whether any of the freight depends on the weight."""
        return self.freight_per_kg is not None or any(table.by_weight for table in self.tables)

    @property
    def states_freight(self) -> bool:
        """Tell whether the terms say anything of the freight."""
        return bool(self.freight) or self.freight_per_kg is not None or bool(self.tables)

    def is_small(self, goods: Money) -> bool:
        """Tell whether an order of so many goods is under the minimum."""
        return bool(self.min_order) and goods < self.min_order

    def is_freight_free(self, goods: Money) -> bool:
        """Tell whether an order reaches the carriage-free value; that value itself is enough."""
        return self.free_above is not None and goods >= self.free_above


def incoterm(rule: str) -> Row:
    """Return the table's row of an Incoterms 2020 rule; an unknown rule is refused."""
    row = by_key("incoterms", "rule").get(rule.strip().upper())
    if row is None:
        raise InputRefusedError(
            f"{rule!r} is no rule of Incoterms 2020",
            hint=f"use one of {', '.join(by_key('incoterms', 'rule'))}",
        )
    return row
