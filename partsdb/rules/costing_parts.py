"""What goes into a landed cost and what comes out of it: lines, charges, customs rules, steps."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from partsdb.rules.money import Money

VAT = "VAT"
FORFEITED = "core deposits not returned"


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a cost: minor units of the home currency, and how they were reached."""

    label: str
    amount_minor: int
    how: str


class ShareBy(StrEnum):
    """What a charge is shared by: freight by weight, fees by value, handling by line or piece."""

    WEIGHT = "weight"
    VALUE = "value"
    QUANTITY = "quantity"
    LINE = "line"


@dataclass(frozen=True, slots=True)
class GoodsLine:
    """Goods of one part. `weight` in any one unit, chargeable or actual; None when not known.

    `duty_rate` 0.017 is 1.7 %; None says that no rate is known, `no_duty_rate` why, and then none
    is counted. `goods` is what is paid: `listed` less `discount` where a discount is given.
    `deposit` is laid out for the old cores, of which the share `returned` is sent back.
    """

    part: str
    units: int
    goods: Money
    weight: Fraction | None = None
    duty_rate: Fraction | None = None
    listed: Money | None = None
    discount: Fraction = Fraction(0)
    deposit: Money | None = None
    returned: Fraction = Fraction(0)
    no_duty_rate: str = ""


@dataclass(frozen=True, slots=True)
class Charge:
    """A charge on the whole order, in the supplier's or in the home currency.

    `dutiable_on` names the customs bases ("CIF", "FOB") under which it joins the customs value;
    `taxable`: it joins the base of the VAT.
    """

    label: str
    amount: Money
    share_by: ShareBy = ShareBy.VALUE
    dutiable_on: tuple[str, ...] = ()
    taxable: bool = False
    how: str = ""


@dataclass(frozen=True, slots=True)
class CustomsRules:
    """How customs value and tax the goods.

    `basis` "CIF" adds transport and insurance to the price (EU, UCC art. 71; UK), "FOB" leaves
    them out (US, 19 USC 1401a). `whole_minor` rounds a line's customs value to whole multiples of
    so many minor units (US entries: 100). VAT that is recoverable is cash, not cost.
    """

    basis: str = "CIF"
    whole_minor: int = 1
    duty_by_seller: bool = False
    vat_rate: Fraction = Fraction(0)
    vat_recoverable: bool = True


@dataclass(frozen=True, slots=True)
class LineCost:
    """What one part costs at our door; `total_minor` is the sum of its steps."""

    part: str
    units: int
    steps: tuple[Step, ...]
    total_minor: int


@dataclass(frozen=True, slots=True)
class Landed:
    """What an order costs at our door, in the home currency.

    `total` is the sum of `steps` and of the lines' totals; `vat` is zero without a VAT rate and
    stands in the steps only when it cannot be recovered; `deposit` is laid out for cores, of which
    only what is not returned is a step; `customs_minor` is each line's customs value;
    `not_counted` names costs that are still to come and unknown.
    """

    lines: tuple[LineCost, ...]
    steps: tuple[Step, ...]
    total: Money
    vat: Money
    customs_minor: tuple[int, ...]
    deposit: Money
    notes: tuple[str, ...] = ()
    not_counted: tuple[str, ...] = ()

    @property
    def cash_out(self) -> Money:
        """What leaves the account, recoverable VAT and the deposits included."""
        labels = {step.label for step in self.steps}
        counted = sum(s.amount_minor for s in self.steps if s.label == FORFEITED)
        vat = 0 if VAT in labels else self.vat.minor
        return Money(self.total.minor + vat + self.deposit.minor - counted, self.total.currency)


def per_cent(rate: Fraction) -> str:
    """Return a rate as people read it: Fraction(17, 1000) is "1.7 %"."""
    return f"{shown(rate * 100)} %"


def shown(value: Fraction) -> str:
    """Return up to six decimals of an exact value, for reading only."""
    return f"{float(value):.6f}".rstrip("0").rstrip(".")
