"""Rows whose cells stand a column off: a separator inside a cell moves all that follow it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from importers.content import PRICE_LIKE, SAMPLE, content_of
from importers.layout import PRICES, Header
from importers.raw import NUMBER, RawRow
from importers.rows import Alarm, Column, column_letters

Keys = Sequence[tuple[str, Column]]
# Where a figure with two decimals is out of place, unless half of the column's cells are such.
_NO_PRICE = frozenset(
    ("code", "maker", "maker_number", "replaces", "description", "unit", "stock", "min_qty",
     "pack", "lead_days", "material", "thread", "ean", "origin", "note")
)  # fmt: skip
_CENTS = re.compile(r"[0-9]{2}")
_MOSTLY = 0.6
# So many rows with one more cell than the header are a column without heading, not rows gone wrong.
_NEARLY_ALL = 0.9


@dataclass(frozen=True, slots=True)
class Shape:
    """How the rows of a table stand.

    `width` is the number of cells that a row may have, 0 for any; `price` the column of prices
    with decimals, -1 for none; `elsewhere` the columns in which such a figure is out of place.
    """

    width: int = 0
    price: int = -1
    elsewhere: tuple[int, ...] = ()

    def fault(self, row: RawRow) -> str:
        """Return why the row cannot be read column by column, "" for a row that stands right."""
        cells = row.cells
        if self.width and len(cells) > self.width and any(map(str.strip, cells[self.width :])):
            filled = max(i + 1 for i, cell in enumerate(cells) if cell.strip())
            return (
                f"the row has {filled} cells, the header {self.width}: is a separator inside a "
                "cell? its columns cannot be told"
            )
        if 0 <= self.price < len(cells) and cells[self.price].strip().isdecimal():
            return self._stray_price(row)
        return ""

    def _stray_price(self, row: RawRow) -> str:
        if row.kind(self.price) == NUMBER:
            return ""
        for index in self.elsewhere:
            cell = row.cell(index).strip()
            if PRICE_LIKE.fullmatch(cell):
                place = f"{column_letters(index)}{row.number}"
                return (
                    f'"{row.cells[self.price].strip()}" stands as the price and "{cell}" in '
                    f"{place}: are the cells a column off? its columns cannot be told"
                )
        return ""


ANY = Shape()


def shape_of(header: Header, keys: Keys, body: Sequence[RawRow], *, is_text: bool) -> Shape:
    """Return the shape of a table's rows; only in text the header says how many cells they have."""
    price = next((column.index for key, column in keys if key == "price"), -1)
    width = _width(len(header.texts), body) if is_text else 0
    if price < 0 or content_of(body, price).price_like < _MOSTLY:
        return Shape(width)
    elsewhere = [
        column.index
        for key, column in keys
        if key in _NO_PRICE and _price_share(body, column.index) < 0.5
    ]
    return Shape(width, price, tuple(elsewhere))


def _width(headed: int, body: Sequence[RawRow]) -> int:
    """Return how many cells a row may have: the header's, or one more that nearly all rows have."""
    sample = body[:SAMPLE]
    widths = Counter(_filled(row) for row in sample)
    most, count = max(widths.items(), key=lambda item: item[1], default=(headed, 0))
    return most if most > headed and count >= _NEARLY_ALL * len(sample) else headed


def cut_prices(header: Header, keys: Keys, body: Sequence[RawRow], place: str) -> list[Alarm]:
    """Doubt a text list whose prices are cut at their decimal comma: each is two cells then.

    So a list with decimal commas is spoiled that is separated by commas without quotation marks.
    """
    sample = body[:SAMPLE]
    price = next((column.index for key, column in keys if key in PRICES), -1)
    cut = [row for row in sample if _is_cut(row, price, len(header.texts))]
    if price < 0 or not cut or len(cut) < _NEARLY_ALL * len(sample):
        return []
    row = cut[0]
    told = (
        f"{place}: the price at {column_letters(price)}{row.number} seems to be cut at its decimal "
        f'comma into "{row.cell(price)}" and "{row.cell(price + 1)}", for the rows have more cells '
        "than the header: ask for the list separated by semicolons, or as .xlsx"
    )
    return [Alarm(told)]


def _is_cut(row: RawRow, price: int, headed: int) -> bool:
    whole, cents = row.cell(price).strip(), row.cell(price + 1).strip()
    return _filled(row) > headed and whole[-1:].isdecimal() and _CENTS.fullmatch(cents) is not None


def _filled(row: RawRow) -> int:
    return max((i + 1 for i, cell in enumerate(row.cells) if cell.strip()), default=0)


def _price_share(body: Sequence[RawRow], index: int) -> float:
    sample = body[:SAMPLE]
    found = sum(bool(PRICE_LIKE.fullmatch(row.cell(index).strip())) for row in sample)
    return found / max(len(sample), 1)
