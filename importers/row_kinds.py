"""What a row is, told from its shape: item, section, total, note or a header come again."""

from __future__ import annotations

import re
from dataclasses import dataclass

from importers.raw import ERROR, NO_VALUE, RawRow
from importers.rows import RowKind

_TOTAL = re.compile(
    r"(?:grand |sub-?|net )?totals?\b|(?:end|gesamt|zwischen|netto)?summe\b|gesamt(?:betrag)?\b"
    r"|übertrag\b|zwischensumme\b|carried forward\b|brought forward\b|sum\b",
    re.IGNORECASE,
)
_NOTE = re.compile(
    r"\*|notes?\b|hinweis|anmerkung|nb\b|n\.b\.|prices?\b|(?:alle )?preise|all prices"
    r"|valid\b|gültig"
    r"|page [0-9]|seite [0-9]|subject to|änderungen|terms\b|freight|carriage|fracht|versand|postage"
    r"|delivery\b|lieferung|minimum order|mindestbestell|e&oe|stand\b|continued|fortsetzung|end of"
    r"|ende der",
    re.IGNORECASE,
)
_CODE = re.compile(r"(?=\S*[0-9])\S+")
_SECTION_LENGTH = 60


@dataclass(frozen=True, slots=True)
class Places:
    """Where a table keeps what tells its rows apart: 0-based columns, -1 for none."""

    code: int
    description: int
    prices: tuple[int, ...]


# What a row without code and price is, whatever the columns mean.
NO_PLACES = Places(-1, -1, ())


def kind_of(row: RawRow, places: Places) -> RowKind:
    """Return the kind of a row inside a table; headers come again are told by the caller."""
    code, text = _at(row, places.code), _at(row, places.description)
    price = any(_has_digit(_at(row, index)) for index in places.prices)
    filled = [(i, cell.strip()) for i, cell in enumerate(row.cells) if cell.strip()]
    first = filled[0][1] if filled else ""
    if _TOTAL.match(first) and (not _has_digit(code) or (" " in code and not text)):
        return RowKind.TOTAL
    if ERROR in row.kinds or NO_VALUE in row.kinds:
        return RowKind.ITEM  # to be refused with its cell, never passed over as a heading
    if len(filled) == 1:
        return _lone(filled[0][0], first, places)
    if code or (text and price):
        return _with_code(code, text, price=price, filled=len(filled))
    if price and not text:
        return RowKind.NOTE
    return _words(first)


def _with_code(code: str, text: str, *, price: bool, filled: int) -> RowKind:
    """An article has a code or a price; a code cell of words alone beside nothing is a heading."""
    if price or _has_digit(code):
        return RowKind.ITEM
    if _NOTE.match(code) and not text:
        return RowKind.NOTE
    return RowKind.ITEM if text or filled > 2 else _words(code)


def _lone(index: int, text: str, places: Places) -> RowKind:
    """Tell what a row with one filled cell is: an article without price only if it is a code."""
    if index == places.code and _CODE.fullmatch(text):
        return RowKind.ITEM
    if index in places.prices and _has_digit(text):
        return RowKind.NOTE
    return _words(text)


def _words(text: str) -> RowKind:
    if _NOTE.match(text) or len(text) > _SECTION_LENGTH or text.endswith((".", ":", ",")):
        return RowKind.SECTION if text.endswith(":") and len(text) < 40 else RowKind.NOTE
    if text[:1].islower() or not any(map(str.isalpha, text)):
        return RowKind.NOTE
    return RowKind.SECTION


def _at(row: RawRow, index: int) -> str:
    return row.cell(index).strip() if index >= 0 else ""


def _has_digit(text: str) -> bool:
    return any(map(str.isdecimal, text))
