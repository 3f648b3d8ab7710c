"""Words, signs and figures beside a rating that may change what it says: nobody may guess them."""

from __future__ import annotations

import re
from functools import lru_cache

from partsdb.rules.pressure import find_pressures

# What may stand beside a rating's figure without changing what it says.
_PLAIN_WORDS_LISTED = (
    "working work wp mwp mawp max maximum maximal rated "
    "rating operating service pressure burst bursting bp proof tp test tested "
    "ps pn zul zulässiger zulaessiger betriebsdruck arbeitsdruck nenndruck berstdruck "
    "prüfdruck pruefdruck druck full scale gauge and und or "
    "oder abs absolute read as psi range "
    "from to bis von of "
)
_PLAIN_WORDS = frozenset(_PLAIN_WORDS_LISTED.split())
# A figure without a unit ("3000 or 5000 psi"), a sign (">", "±", "÷") or a footnote's mark may
# make the rating another one, as a word may.
_BESIDE = re.compile(r"\d+(?:[.,/:]\d+)*|[^\W\d_]+|[?~≈<>≥*†‡§±%÷×]|[^\w\s.,;:()\[\]/|=≤+'\"°-]")
_INITIALS = re.compile(r"(?<![^\W\d_])(?:[^\W\d_]\.\s?){2,}")


@lru_cache(maxsize=4096)
def words_beside(value: str) -> str:
    """Return what a rating says beside its figures and plain words about them, "" if nothing."""
    left = value
    for stated in reversed(find_pressures(value, in_pressure_context=True)):
        left = f"{left[: stated.start]} {left[stated.end :]}"
    left = _INITIALS.sub(lambda found: re.sub(r"[.\s]", "", found[0]) + " ", left.casefold())
    return " ".join(each for each in _BESIDE.findall(left) if each not in _PLAIN_WORDS)
