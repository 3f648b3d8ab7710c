"""How many units a supplier says that he has, where he says it in a number."""

from __future__ import annotations

import re

# "15", "15 pcs", "> 100"; what is only said to be under a number is none that can be counted on.
_STATED = re.compile(
    r"(?:>|>=|≥|über|ueber|over|ca\.?)?\s*(\d{1,7})\s*\+?\s*(?:pcs|pieces?|stk|stück|st|ea|units?)?\.?",
    re.IGNORECASE | re.ASCII,
)


def stated_stock(text: str) -> int | None:
    """Return the units that a stock text states, None where it states no number."""
    found = _STATED.fullmatch(text.strip())
    return int(found[1]) if found else None
