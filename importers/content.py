"""What the cells of a column look like, whatever its heading says."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from importers.raw import NUMBER, RawRow

PRICE_LIKE = re.compile(
    r"(?:€|£|\$|[A-Z]{3} ?)? ?[0-9][0-9.,' ]*[.,][0-9]{2} ?(?:€|£|\$|[A-Z]{3})?"
)
_CENTS = re.compile(r"[.,](?!00)[0-9]{2}(?![0-9])")
_CODE = re.compile(r"(?=.*[0-9])[A-Za-z0-9][A-Za-z0-9./_+#-]*(?: [A-Za-z0-9./_+#-]+)?")
SAMPLE = 200


@dataclass(frozen=True, slots=True)
class Content:
    """Shares of a column's sampled cells, each 0 to 1; `length` is the mean number of letters.

    `cents` are the figures with two decimals that are not 00, as prices mostly have.
    """

    fill: float
    price_like: float
    cents: float
    code_like: float
    distinct: float
    length: float
    is_counter: bool


def content_of(rows: Sequence[RawRow], index: int) -> Content:
    """Return what the first filled rows show in a 0-based column."""
    sample = rows[:SAMPLE]
    cells = [row.cell(index).strip() for row in sample]
    filled = [cell for cell in cells if cell]
    if not filled:
        return Content(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, is_counter=False)
    stored = sum(row.kind(index) == NUMBER and "." in row.cell(index) for row in sample)
    prices = sum(bool(PRICE_LIKE.fullmatch(cell)) for cell in filled)
    codes = sum(bool(_CODE.fullmatch(cell)) for cell in filled)
    return Content(
        fill=len(filled) / len(cells),
        price_like=max(prices, stored) / len(filled),
        cents=max(sum(bool(_CENTS.search(cell)) for cell in filled), stored) / len(filled),
        code_like=codes / len(filled),
        distinct=len(set(filled)) / len(filled),
        length=sum(map(len, filled)) / len(filled),
        is_counter=_is_counter(filled),
    )


def _is_counter(filled: list[str]) -> bool:
    """Say whether the cells just count 1, 2, 3 or 10, 20, 30: a position, never a code."""
    if len(filled) < 2 or not all(cell.isdecimal() and len(cell) < 7 for cell in filled):
        return False
    numbers = [int(cell) for cell in filled]
    steps = {b - a for a, b in pairwise(numbers)}
    return len(steps) == 1 and numbers[0] in (1, 10, 100) and steps <= {1, 10, 100}
