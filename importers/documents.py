"""Rows of an open trade document by meaning: one sheet whose columns need no header."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from importers.limits import Limits, refuse
from importers.raw import RawRow, RawSheet, Source
from importers.rows import MEANINGS, Column, ReaderError

_BREAK = re.compile(r"price_from_([0-9]+)")
_NUMBER = re.compile(r"-?[0-9]{1,20}(?:\.[0-9]{1,20})?")
# UN/ECE Recommendation 20 and X12 data element 355 (both from memory): units that count many.
MANY_UNITS = {"CEN": "100", "MIL": "1000", "HU": "100", "TH": "1000"}


@dataclass(slots=True)
class Article:
    """One article of a document: where it stands, its fields by meaning, what is odd about it."""

    number: int
    fields: dict[str, str] = field(default_factory=dict)
    odd: list[str] = field(default_factory=list)
    refused: str = ""

    def add(self, key: str, text: str, joint: str = "; ") -> None:
        """Put a text to a field, after what is there; a blank or repeated one changes nothing."""
        text = text.strip()
        before = self.fields.get(key, "")
        if text and text not in before.split(joint):
            self.fields[key] = f"{before}{joint}{text}" if before else text

    def once(self, key: str, text: str) -> None:
        """Set a field; a second, other value refuses the article."""
        text = text.strip()
        before = self.fields.setdefault(key, text) if text else text
        if text and before != text:
            words = key.replace("_", " ")
            self.refused = f'the article has two of {words}: "{before}" and "{text}"'

    def price(self, key: str, text: str, per: str = "", unit: str = "") -> None:
        """Set a price with its basis; `per` is a count of units, `unit` may count many itself."""
        if not _NUMBER.fullmatch(text):
            self.odd.append(f'no price can be read from "{text}"')
            return
        self.once(key, text)
        basis = _basis(per, unit)
        if not basis:
            self.refused = f'the price basis "{per}" is no whole number of units'
        elif key == "price" and basis != "1":
            self.once("price_per", basis)
        elif key.startswith("price_from") and basis != self.fields.get("price_per", "1"):
            self.refused = f"the price break is for {basis} units, the price is not"
        if unit:
            self.add("unit", unit)


def _basis(per: str, unit: str) -> str:
    """Return for how many units a price is, "" when that is no whole number."""
    whole = re.fullmatch(r"0*([1-9][0-9]{0,8})(?:\.0*)?", per.strip() or "1")
    if not whole:
        return ""
    many = MANY_UNITS.get(unit.strip().upper(), "1")
    return str(int(whole.group(1)) * int(many))


def sheet_of(counted: str, articles: Iterable[Article], limits: Limits, *, place: str) -> RawSheet:
    """Return the articles as a sheet; `counted` is what their numbers count ("segment")."""
    kept = list(articles)
    if len(kept) > limits.rows:
        raise refuse("rows", len(kept), limits.rows, place=place)
    keys = sorted({key for article in kept for key in article.fields}, key=_order)
    columns = tuple(_column(index, key) for index, key in enumerate(keys))
    rows = [_row(article, keys, limits, f"{place} {counted}") for article in kept]
    return RawSheet(counted, rows, columns=columns)


def _order(key: str) -> tuple[int, int]:
    found = _BREAK.fullmatch(key)
    if found:
        return len(MEANINGS), int(found.group(1))
    return (MEANINGS.index(key) if key in MEANINGS else len(MEANINGS) + 1), 0


def _column(index: int, key: str) -> Column:
    found = _BREAK.fullmatch(key)
    if found:
        return Column(index, f"Price from {found.group(1)}", "other", f"from {found.group(1)}")
    if key == "superseded_by":
        return Column(index, "Replaced by", "other", "superseded")
    return Column(index, key.replace("_", " "), key)


def _row(article: Article, keys: list[str], limits: Limits, place: str) -> RawRow:
    longest = max(map(len, article.fields.values()), default=0)
    if longest > limits.cell_chars:
        where = f"{place} {article.number}"
        raise refuse("cell_chars", longest, limits.cell_chars, place=where)
    cells = [article.fields.get(key, "") for key in keys]
    return RawRow(article.number, cells, odd=tuple(article.odd), refused=article.refused)


def broken(source: Source, where: str, message: str) -> ReaderError:
    """Return the refusal of a document that contradicts itself; `where` is "segment 14"."""
    return ReaderError(
        message,
        place=f"{source.name} {where}".strip(),
        hint="ask the supplier to send the document again: a part of it may be missing or changed",
    )
