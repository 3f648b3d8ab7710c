"""Which currencies a text names: by code, by sign or by word; what is not known is said, no guess.

The codes are those of ISO 4217; the signs and words are common practice, no source.
"""

from __future__ import annotations

import re

# Pattern in the casefolded text, by code. "$" alone is the dollar of the United States; with a
# letter before it, it is another one's.
_SPELT = {
    "EUR": r"\beuros?\b|\beur\b|€",
    "GBP": r"\bgbp\b|£|\bsterling\b",
    "USD": r"\busd\b|us ?\$|(?<![a-z])\$|\bu ?s ?a? ?dollars?\b",
    "CHF": r"\bchf\b|\bsfr\b|\bswiss francs?\b|\bschweizer franken\b",
    "AUD": r"\baud\b|\bau?\$|\baustralian dollars?\b",
    "CAD": r"\bcad\b|\bca?n?\$|\bcanadian dollars?\b",
    "NZD": r"\bnzd\b|\bnz\$",
    "HKD": r"\bhkd\b|\bhk\$",
    "SGD": r"\bsgd\b|\bs\$",
    "JPY": r"\bjpy\b|\byen\b",
    "CNY": r"\bcny\b|\brmb\b|\byuan\b",
    "SEK": r"\bsek\b",
    "NOK": r"\bnok\b",
    "DKK": r"\bdkk\b",
    "PLN": r"\bpln\b|\bzł\b|\bzloty\b",
    "CZK": r"\bczk\b|\bkč\b",
    "HUF": r"\bhuf\b",
    "RON": r"\bron\b",
    "BGN": r"\bbgn\b",
    "TRY": r"\btry\b|₺",
    "RUB": r"\brub\b|₽",
    "UAH": r"\buah\b|₴",
    "INR": r"\binr\b|₹",
    "KRW": r"\bkrw\b|₩",
    "ILS": r"\bils\b|₪",
    "THB": r"\bthb\b|฿",
    "ZAR": r"\bzar\b",
    "AED": r"\baed\b",
    "MXN": r"\bmxn\b",
    "BRL": r"\bbrl\b|\br\$",
}
CURRENCIES = tuple(_SPELT)
SPELT = tuple((pattern, code) for code, pattern in _SPELT.items())
# Codes that are words too: in running text and as a lone heading they count in capitals alone.
_WORDS = frozenset(("TRY", "CAD", "RON", "NOK", "SEK", "HUF"))
_FIRST = frozenset(("EUR", "GBP", "USD", "CHF"))
# Signs and words of several currencies.
_UNKNOWN = re.compile(r"¥|\bkr\b\.?|\bkron(?:a|or|e|er|en)\b|\bdollars?\b|\bpesos?\b|\brupees?\b")


def is_spelt_out(code: str, text: str) -> bool:
    """Say whether a code that is a word too stands in capitals in the text as printed."""
    return code not in _WORDS or re.search(rf"\b{code}\b", text) is not None


def unit_currency(unit: str) -> str:
    """Return the first currency that a column's unit names ("EUR per 100"), "" for none."""
    return next((word for word in unit.split() if word in CURRENCIES), "")


def unknown_money(text: str) -> str:
    """Return the sign or word in a text that several currencies have ("kr", "¥"), "" for none."""
    found = _UNKNOWN.search(text.casefold())
    return found.group() if found else ""


def code_pattern() -> str:
    """Return a pattern of the codes beside the four whose signs are known, as in "12.50 PLN"."""
    return "|".join(code.lower() for code in CURRENCIES if code not in _FIRST)
