"""Which discount comes off a list price: that of the code before that of its group."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from partsdb.rules.numbers import number_key


@dataclass(frozen=True, slots=True)
class Discount:
    """A share off the list price of goods: of a supplier's code, or of a maker's or role's group.

    What is None or "" is open: a discount without any of the three is for everything.
    """

    rate: Fraction
    maker_id: int | None = None
    role: str = ""
    code: str = ""

    @property
    def closeness(self) -> tuple[bool, int]:
        """How closely the goods are named: a code most, then a maker's role, then either."""
        return bool(self.code), (self.maker_id is not None) + bool(self.role)

    def is_for(self, maker_id: int, role: str, code: str) -> bool:
        """Tell whether goods of that maker, role and code are meant."""
        return (
            self.maker_id in (None, maker_id)
            and self.role in ("", role)
            and (not self.code or number_key(self.code) == number_key(code))
        )


def discount_on(discounts: Iterable[Discount], *, maker_id: int, role: str, code: str) -> Fraction:
    """Return the share that comes off: of the discount that names the goods most closely.

    Discounts are not added up (common practice, no source); of equally close ones the lower
    counts, for the higher is not certain.
    """
    meant = [each for each in discounts if each.is_for(maker_id, role, code)]
    if not meant:
        return Fraction(0)
    closest = max(each.closeness for each in meant)
    return min(each.rate for each in meant if each.closeness == closest)
