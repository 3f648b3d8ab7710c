"""What a certificate, told in words, names of what it must: a standard, the item, its days."""

from __future__ import annotations

import re

from partsdb.rules.certificates import valid_to
from partsdb.rules.numbers import stands_in

# Bodies whose standards a certificate may name; letters, then a number ("EN 10204 3.1").
_BODIES = "ISO|EN|IEC|DIN|SAE|ASME|ASTM|ANSI|BS|API|UL|JIS|NFPA"
_STANDARD = re.compile(rf"\b(?:(?:{_BODIES})[ /-]?)+[A-Z]{{0,2}}[ -]?\d[\w.:-]*(?: \d\.\d\b)?")
_DATE = re.compile(r"\b(?:\d{4}-\d{2}(?:-\d{2})?|\d{1,2}\.\d{1,2}\.\d{4}|(?:19|20)\d{2})\b")


def standards_named(text: str) -> tuple[str, ...]:
    """Return the standards that a text names, as written, each once."""
    return tuple(dict.fromkeys(found.group(0).rstrip(".:-") for found in _STANDARD.finditer(text)))


def lacks(text: str, item: str, *, until: str = "") -> tuple[str, ...]:
    """Return what a certificate, told in words, does not name of what it must (handbook 6.6).

    `item` is the article's number, `until` the day (ISO) on which it expires where that is given.
    """
    written = _STANDARD.sub(" ", text)
    named = {
        "standard": bool(standards_named(text)),
        "item": stands_in(item, text),
        "date": bool(_DATE.search(written)),
        "expiry": bool(until or valid_to(text)),
    }
    return tuple(what for what, is_named in named.items() if not is_named)
