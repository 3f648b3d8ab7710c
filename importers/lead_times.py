"""Lead times in words: "2-3 weeks", "14 Tage", "ca. 5 days"."""

from __future__ import annotations

import re

_LEAD = re.compile(
    r"(?:ca\.? ?|approx\.? ?)?([0-9]{1,3})(?: ?(?:-|–|to|bis) ?([0-9]{1,3}))?"
    r" ?((?:w(?:ee)?ks?|wochen?|wo\.?|kw|d(?:ays?)?|tagen?|tage?|t|months?|monate?n?)?)\.?",
    re.IGNORECASE,
)


def lead_days(text: str, *, weeks: bool) -> int | None:
    """Return a lead time in days, the longer end of a range; None when no unit is known."""
    found = _LEAD.fullmatch(text)
    if not found:
        return None
    number = int(found.group(2) or found.group(1))
    unit = (found.group(3) or "").casefold()
    if unit.startswith(("w", "k")) or (weeks and not unit):
        return number * 7
    return number * 30 if unit.startswith("m") else number
