"""What a discount for prompt payment is worth, as a yearly return.

Source: textbook formula, d/(1-d) × year/(N-n); trade handbook 5.3.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError

_FIGURE = r"(\d+(?:\.\d+)?)"
# "2/10 net 30", and the same in words: "2 % in 10 days, 30 days net".
_TERMS = (
    re.compile(rf"{_FIGURE}\s*/\s*(\d+)\s*,?\s*net\s*(\d+)", re.IGNORECASE | re.ASCII),
    re.compile(
        rf"{_FIGURE}\s*%\s*(?:in|within)\s*(\d+)\s*days?\s*,?\s*(?:net\s*)?(\d+)\s*days?(?:\s*net)?",
        re.IGNORECASE | re.ASCII,
    ),
)


@dataclass(frozen=True, slots=True)
class PromptDiscount:
    """`rate` off when paid within `discount_days`, else the whole after `net_days`."""

    rate: Fraction
    discount_days: int
    net_days: int

    def simple_return(self, year_days: int = 365) -> Fraction:
        """Return the yearly return of paying early, without compounding, exactly."""
        return self._once() * Fraction(year_days, self.net_days - self.discount_days)

    def compound_return(self, year_days: int = 365) -> float:
        """Return the yearly return of paying early, compounded."""
        periods = year_days / (self.net_days - self.discount_days)
        return float((1 + float(self._once())) ** periods - 1)

    def _once(self) -> Fraction:
        return self.rate / (1 - self.rate)


def prompt_discount(terms: str) -> PromptDiscount:
    """Read payment terms such as "2/10 net 30"; anything else is refused with a sentence."""
    read = (pattern.fullmatch(terms.strip()) for pattern in _TERMS)
    found = next((each for each in read if each), None)
    if found is None:
        raise InputRefusedError(
            f"{terms!r} are no terms with a discount", hint='write them like "2/10 net 30"'
        )
    rate, days, net = Fraction(found[1]) / 100, int(found[2]), int(found[3])
    if not 0 < rate < 1 or days >= net:
        raise InputRefusedError(
            f"{terms!r} do not add up",
            hint="the discount is from 0 to 100 %, its days fewer than the net days",
        )
    return PromptDiscount(rate, days, net)
