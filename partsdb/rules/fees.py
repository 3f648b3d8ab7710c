"""Fees that are a share of something, with a minimum and a maximum (trade handbook 5.2)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.costing_parts import Charge, ShareBy, per_cent
from partsdb.rules.money import Money


class FeeOf(StrEnum):
    """What a fee is a share of."""

    GOODS = "goods"
    CUSTOMS_VALUE = "customs value"


@dataclass(frozen=True, slots=True)
class Fee:
    """A fee on an order: `flat` and `rate` (0.0035 is 0.35 %) of its base, within its bounds.

    `least` and `most` are of the currency of `flat`. What is dutiable, taxable and how it is shared
    is as in `Charge`. Refused: bounds that cross, a fee on the customs value that would join it,
    a dutiable fee shared by line or piece.
    """

    label: str
    flat: Money
    rate: Fraction = Fraction(0)
    of: FeeOf = FeeOf.GOODS
    least: Money | None = None
    most: Money | None = None
    share_by: ShareBy = ShareBy.VALUE
    dutiable_on: tuple[str, ...] = ()
    taxable: bool = False

    def __post_init__(self) -> None:
        if self.least is not None and self.most is not None and self.most < self.least:
            raise InputRefusedError(
                f"{self.label}: the maximum {self.most} is under the minimum {self.least}",
                hint="exchange the two",
            )
        if self.dutiable_on and self.of is FeeOf.CUSTOMS_VALUE:
            raise InputRefusedError(
                f"{self.label}: a fee on the customs value cannot be part of it",
                hint="let it fall on the goods, or leave it out of the customs value",
            )
        if self.dutiable_on and self.share_by in (ShareBy.LINE, ShareBy.QUANTITY):
            raise InputRefusedError(
                f"{self.label}: what is dutiable is shared by value or by weight",
                hint="write value or weight",
            )

    def amount(self, base: Fraction) -> Money:
        """Return the fee on a base in major units of its currency, rounded once, half up."""
        figure = self.flat.major + self.rate * base
        if self.most is not None:
            figure = min(figure, self.most.major)
        if self.least is not None:
            figure = max(figure, self.least.major)
        return Money.rounded(figure, self.flat.currency)

    def charge(self, base: Fraction, shown_base: Money) -> Charge:
        """Return the fee on the base (major units of its currency) as a charge with its formula."""
        return Charge(
            self.label, self.amount(base), self.share_by, self.dutiable_on, self.taxable,
            how=self._how(shown_base),
        )  # fmt: skip

    def _how(self, base: Money) -> str:
        if not self.rate:
            return "flat for each order"
        flat = f"{self.flat} + " if self.flat else ""
        least = f", at least {self.least}" if self.least is not None else ""
        most = f", at most {self.most}" if self.most is not None else ""
        return f"{flat}{per_cent(self.rate)} of {self.of} {base}{least}{most}"
