"""The unit words that a heading names: currency, pressure unit, basis, "per 100", "from 10"."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from importers.currency_words import CURRENCIES as CURRENCIES
from importers.currency_words import SPELT, is_spelt_out

PRESSURE_UNITS = ("bar", "psi", "MPa")
_UNITS = (
    # (pattern in the casefolded heading, unit)
    (r"\bbar\b", "bar"),
    (r"\bpsi\b|\blbs?\b(?!\.? ?ft)|\bpounds?\b|#$", "psi"),
    (r"\bmpa\b", "MPa"),
    *SPELT,
    (r"\bburst\b|\bberst\w*|\bbp\b", "burst"),
    (r"\bproof\b|\btest pressure\b|\bprüfdruck\b", "proof"),
    (r"\bkg\b", "kg"),
    (r"\bg\b|\bgramm?\b", "g"),
    (r"%|\bper ?cent\b|\bprozent\b", "percent"),
)
# How many of them are units of measure, to be taken off before a word is looked up.
_COUNTED = 3 + len(SPELT)
_OF_PRICE = (*CURRENCIES, "per", "from")
_OF_MEANING = {
    "rating": (*PRESSURE_UNITS, "burst", "proof", "working"),
    "price": _OF_PRICE,
    "list_price": _OF_PRICE,
    "discount": ("percent", "code"),
    "weight": ("kg", "g"),
    "lead_days": ("days", "weeks"),
}
_PER = re.compile(
    r"(?:\bper\b|\bje\b|\bpro\b|/|\bp\.?/?|\bfor\b)\s?(10000?|1000|100|10)\b"
    r"|\b(hundred|hundert|thousand|tausend)\b"
)
_PER_WORDS = {"hundred": "100", "hundert": "100", "thousand": "1000", "tausend": "1000"}
_FROM = re.compile(
    r"(?:\bab\b|\bfrom\b|≥|>=?)\s?([0-9]{1,6})\b|\b([0-9]{1,6})\s?\+|\b([0-9]{1,6})\s?-\s?[0-9]+\b"
)
# "All prices per 100 pieces", "Preise in EUR je 100 Stk": never "prices for 100 bar hoses".
_SPOKEN = re.compile(
    r"\b(?:prices?|preise?)\b(?: [^\W\d]+){0,4}? ?(?:\bper\b|\bje\b|\bpro\b|/|\bfor\b|\bfür\b) ?"
    r"(?:(10000?|1000|100|10|hundred|hundert|thousand|tausend)"
    r"(?= ?(?:$|(?:pieces?|pcs?|st|stk|stück|units?|ea|off|net|netto|excl|zzgl|eur|gbp|usd)\b))"
    r"|(pack|vpe|box|carton|karton)\b|(met(?:re|er)s?|lfm)\b)"
)
_EACH = re.compile(
    r"(?:/|\bper\b|\bje\b|\bpro\b)\s?"
    r"(?:st|stk|stück|pc|pcs|pce|piece|ea|each|unit|kit|set|satz)\b|\b(?:stk|stück|pcs|each)\b"
)
_PER_WORD = r"(?:\bper\b|\bje\b|\bpro\b|/)\s?"
_PER_PACK = re.compile(
    _PER_WORD + r"(?:pack(?:et|ung|age)?|pkt|pk|vpe|ve|verpackungseinheit|gebinde|box|carton|karton"
    r"|bag|beutel)\b(?:\s?(?:of|à|zu)\s?([0-9]{1,4})\b)?|\bpack(?:ungs)?[ -]?(?=price|preis)"
)
# A metre or a thousand, a hundred or a carton: said as it stands, and asked about row by row.
_PER_LETTER = re.compile(_PER_WORD + r"([mc])\b")
_MONEY = "€$£¥₽₺₹₩₴₪฿"
# "All prices in GBP", "Hoses in US dollars": up to four words without a figure among them.
_IN_MONEY = re.compile(rf"\b(?:prices?|preise?|in)((?: (?:[^\W\d]*[{_MONEY}]|[^\W\d]+)){{1,4}})")
_NOISE = re.compile(rf"[^\w%#{_MONEY}+/≥>-]+|(?<![0-9])-|-(?![0-9])")


def plain_heading(text: str) -> str:
    """Return a heading in lower case with single blanks for everything that is no letter."""
    folded = unicodedata.normalize("NFKC", text).casefold().replace("\u00ad", "")
    return " ".join(_NOISE.sub(" ", folded).split())


def without_units(plain: str) -> str:
    """Return a plain heading without the words of unit, price basis and quantity."""
    rest = plain
    for spoken in (_FROM, _PER, _PER_PACK, _EACH, _PER_LETTER):
        rest = spoken.sub(" ", rest)
    for pattern, _ in _UNITS[:_COUNTED]:
        rest = re.sub(pattern, " ", rest)
    return " ".join(re.sub(rf"[%#{_MONEY}+/≥>]", " ", rest).split())


def units_for(meaning: str, text: str, first: str = "") -> str:
    """Return the unit words of a heading that bear on its meaning, in a fixed order.

    Two currencies or two pressure units in one heading decide nothing and are left out.
    """
    kept = [word for word in _words(plain_heading(text), first) if _bears(meaning, word)]
    for family in (CURRENCIES, PRESSURE_UNITS):
        if sum(word in family for word in kept) > 1:
            kept = [word for word in kept if word not in family]
    return " ".join(kept)


def _bears(meaning: str, word: str) -> bool:
    return word.split()[0] in _OF_MEANING.get(meaning, ())


def _words(plain: str, first: str = "") -> list[str]:
    words = [unit for pattern, unit in _UNITS if re.search(pattern, plain)]
    if first and first not in words:
        words.append(first)
    if per := _price_basis(plain):
        words.append(f"per {per}")
    if least := _break_quantity(plain):
        words.append(f"from {least}")
    return words


def is_only_units(text: str) -> bool:
    """Say whether a cell holds unit words and nothing else: "bar", "(EUR)", "per 100", "10+"."""
    plain = plain_heading(text)
    return bool(_words(plain)) and not without_units(plain)


def currencies_of(text: str) -> list[str]:
    """Return the currencies that a running text names."""
    found = [word for word in _words(plain_heading(text)) if word in CURRENCIES]
    return [word for word in found if is_spelt_out(word, text)]


def is_price_by_unit(text: str) -> bool:
    """Say whether a heading of units alone is a price's: "EUR/Stk", "£ each", "10-49", "ab 10"."""
    if not is_only_units(text):
        return False
    words = _words(plain_heading(text))
    # "CAD" may be a column of drawings: such a word beside nothing is no price.
    named = [w for w in words if w in CURRENCIES and is_spelt_out(w, "")]
    return bool(named) or any(w.startswith("from ") for w in words)


def _price_basis(plain: str) -> str:
    """Return "100" for "per 100", "je 100", "/100"; "pack" or "m" for those; "" for no basis."""
    found = _PER.search(plain)
    if found:
        number, word = found.groups()
        return number or _PER_WORDS[word]
    if pack := _PER_PACK.search(plain):
        return pack.group(1) or "pack"
    letter = _PER_LETTER.search(plain)
    return letter.group(1) if letter else ""


@lru_cache(maxsize=1024)
def spoken_basis(text: str) -> str:
    """Return for how many units a sentence beside the table says that its prices are.

    "100", "pack" or "MTR" (UN/ECE Recommendation 20); "" when it says nothing of that.
    """
    found = _SPOKEN.search(plain_heading(text))
    if not found:
        return ""
    number, pack, metre = found.groups()
    return "pack" if pack else "MTR" if metre else _PER_WORDS.get(number, number)


@lru_cache(maxsize=1024)
def spoken_currency(text: str) -> str:
    """Return the one currency that a sentence says its prices are in, "" for none or several."""
    said = " ".join(found.group(1) for found in _IN_MONEY.finditer(plain_heading(text)))
    named = {word for word in _words(said) if word in CURRENCIES and is_spelt_out(word, text)}
    return named.pop() if len(named) == 1 else ""


def says_each(heading: str) -> bool:
    """Say whether a heading says that its prices are for one piece: "EUR/Stk", "per piece"."""
    return _EACH.search(plain_heading(heading)) is not None


def _break_quantity(plain: str) -> str:
    """Return "10" for "ab 10", "from 10", "10+", "10-49"; "" where no quantity is named."""
    found = _FROM.search(plain)
    return next((group for group in found.groups() if group), "") if found else ""
