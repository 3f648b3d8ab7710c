"""What a heading or a text says of tax in prices: included, not included, or only spoken of.

The words are common practice, no source. What can be read both ways counts as included: that is
asked about. A text on freight alone says nothing of prices.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

INCLUDED, EXCLUDED, SPOKEN = "included", "excluded", "spoken of"

_TAX = re.compile(r"vat|gst|tva|iva|btw|moms|tax|taxes|mws?t|ust|(?:umsatz|mehrwerts?)steuer")
# The number under which a firm pays it: "VAT no.", "USt-IdNr."
_NUMBER_OF = re.compile(r"no|nr|num|number|nummer|id\w*|reg\w*")
_WITH = re.compile(
    r"inkl\w*|inc|incl\w*|einschl\w*|inbegriff\w*|ent(?:halt|hält)\w*|beinhalt\w*|compr\w*|ttc"
)
_WITHOUT = re.compile(
    r"exkl\w*|excl\w*|esclus\w*|zzgl|zuz\w*|ausschl\w*|hinzu\w*|zusätzl\w*|gesondert|separately"
    r"|extra|added|ohne|without|hors|exempt"
)
# Words that say it only right beside the tax: "ex works, VAT included" excludes nothing.
_NEAR_WITH = re.compile(r"m|mit|w|with|brutto|gross")
_NEAR_WITHOUT = re.compile(r"ex|o|plus|\+|net|netto|before|no|keine?r?|free|frei")
_NOT = re.compile(r"not?|nicht|keine?r?|never")
_FAR, _NEAR = 5, 2
_WORD = re.compile(r"[^\W\d_]+|\+")
_RATE = re.compile(r"(?<![0-9.,])([0-9]{1,2}(?:[.,][0-9]{1,2})?) ?(?:%|v\. ?h\.)")
_CARRIAGE = re.compile(
    r"freight|fracht|versand|shipping|carriage|postage|porto|delivery|deposit|pfand"
)
_PRICE = re.compile(r"\bprices?\b|preis|\bprix\b")
_NET_PRICE = re.compile(
    r"\b(?:preise?|prices?)\b.{0,24}\bnett?o?\b|\bnett?o?[ -]?(?:preise?|prices?)\b|\bprix nets?\b"
)
_GROSS = re.compile(r"\bbrutto|\bgross\b")


_NO = frozenset(
    ("no", "n", "nein", "false", "0", "-", "excl", "excl.", "exkl", "exkl.", "zzgl", "zzgl.")
)


@dataclass(frozen=True, slots=True)
class TaxSaid:
    """What a text says: `kind` is "" where it speaks of no tax; `rate` is the percentage it names.

    `rate` is plain decimal text, "" where the text names none or several.
    """

    kind: str = ""
    rate: str = ""


@lru_cache(maxsize=4096)
def tax_said(text: str) -> TaxSaid:
    """Return what a heading or a text beside a table says of the tax in its prices."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    words = _WORD.findall(plain)
    found = {
        _of_one(words, at)
        for at, word in enumerate(words)
        if _TAX.fullmatch(word) and not _is_number_of(words, at)
    }
    if not found or (_CARRIAGE.search(plain) and not _PRICE.search(plain)):
        return TaxSaid()
    kind = next(each for each in (INCLUDED, EXCLUDED, SPOKEN) if each in found)
    rates = {as_rate(rate) for rate in _RATE.findall(plain)}
    return TaxSaid(kind, rates.pop() if len(rates) == 1 else "")


def kind_of_cell(cell: str, asks: str) -> str:
    """Return what a cell says under a heading that says or asks it, or only names the tax."""
    plain = " ".join(cell.casefold().split())
    if asks == SPOKEN:
        return tax_said(f"{plain} tax").kind or SPOKEN
    if plain not in _NO:
        return asks
    return EXCLUDED if asks == INCLUDED else INCLUDED


def says_net(text: str) -> bool:
    """Say whether a text beside a table calls its prices net."""
    return _NET_PRICE.search(text.casefold()) is not None


def is_gross(heading: str) -> bool:
    """Say whether a heading calls its prices gross: with tax, or before the discount."""
    return _GROSS.search(heading.casefold()) is not None


def as_rate(written: str) -> str:
    """Return "19" for "19", "19.0" or "19,00"."""
    return f"{Decimal(written.replace(',', '.')).normalize():f}"


def _is_number_of(words: list[str], at: int) -> bool:
    return at + 1 < len(words) and _NUMBER_OF.fullmatch(words[at + 1]) is not None


def _of_one(words: list[str], at: int) -> str:
    """Return what the words around one word of tax say of it."""
    before = _marked(words[max(0, at - _FAR) : at][::-1], negates=1)
    after = _marked(words[at + 1 : at + 1 + _FAR], negates=0)
    if INCLUDED in (before, after):
        return INCLUDED
    return before or after or SPOKEN


def _marked(words: list[str], *, negates: int) -> str:
    """Return what the nearest telling word says; `words` stand from the tax outwards.

    A "not" counts between the tax and the word; in front of the tax also before it: "not incl. VAT"
    is without, and "VAT incl., no discount" is with it.
    """
    for far, word in enumerate(words):
        if _WITH.fullmatch(word) or (far < _NEAR and _NEAR_WITH.fullmatch(word)):
            beside = words[max(0, far - 2) : far] + words[far + 1 : far + 1 + negates]
            return EXCLUDED if any(map(_NOT.fullmatch, beside)) else INCLUDED
        if _WITHOUT.fullmatch(word) or (far < _NEAR and _NEAR_WITHOUT.fullmatch(word)):
            return EXCLUDED
    return ""
