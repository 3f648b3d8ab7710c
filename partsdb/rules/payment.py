"""What a discount for prompt payment is worth, as a yearly return.

Source: textbook formula, d/(1-d) × year/(N-n); trade handbook 5.3.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError

_FIGURE = r"(\d+(?:\.\d+)?)"
# "2/10 net 30", and the same in words: "2 % in 10 days, 30 days net", in German too.
_TERMS = (
    re.compile(rf"{_FIGURE}\s*/\s*(\d+)\s*,?\s*net\s*(\d+)", re.IGNORECASE | re.ASCII),
    re.compile(
        rf"{_FIGURE}\s*%\s*(?:in|within)\s*(\d+)\s*days?\s*,?\s*(?:net\s*)?(\d+)\s*days?(?:\s*net)?",
        re.IGNORECASE | re.ASCII,
    ),
    re.compile(
        rf"{_FIGURE}\s*%\s*skonto\s*(?:in|innerhalb)?\s*(?:von\s*)?(\d+)\s*tage?n?\s*,?\s*"
        r"(\d+)\s*tage?\s*netto",
        re.IGNORECASE | re.ASCII,
    ),
    re.compile(
        rf"(?P<days>\d+)\s*tage?\s*(?P<rate>{_FIGURE})\s*%\s*skonto\s*,?\s*"
        r"(?P<net>\d+)\s*tage?\s*netto",
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
    named = found.groupdict()
    written = [named["rate"], named["days"], named["net"]] if named else found.groups()
    rate, days, net = Fraction(written[0]) / 100, int(written[1]), int(written[2])
    if not 0 < rate < 1 or days >= net:
        raise InputRefusedError(
            f"{terms!r} do not add up",
            hint="the discount is from 0 to 100 %, its days fewer than the net days",
        )
    return PromptDiscount(rate, days, net)


def prompt_discount_in(terms: str) -> PromptDiscount | None:
    """Return the discount that payment terms offer, None where they offer none that can be read."""
    try:
        return prompt_discount(terms)
    except InputRefusedError:
        return None
