"""Printed pages: are all the prices that a page shows in the rows that were read of it?"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from importers.raw import RawSheet
from importers.rows import ListRow, RowKind

PRICE_LIKE = re.compile(r"(?<![0-9.,])[0-9]{1,3}(?:[.,' ]?[0-9]{3})*[.,][0-9]{2}(?![0-9.,])")


def price_like(text: str) -> int:
    """Count the figures with two decimals in a text."""
    return len(PRICE_LIKE.findall(text))


def completeness(sheets: Sequence[RawSheet], rows: Sequence[ListRow]) -> list[str]:
    """Return one sentence per page: its price-like figures, and how many stand in item rows."""
    shown = {sheet.name: sheet.figures for sheet in sheets if sheet.figures is not None}
    read: Counter[str] = Counter()
    for row in rows if shown else ():
        if row.kind is RowKind.ITEM:
            read[row.sheet] += sum(map(price_like, row.cells))
    return [_sentence(page, figures, read[page]) for page, figures in shown.items()]


def _sentence(page: str, shown: int, read: int) -> str:
    said = f"{page}: {shown} price-like figures, {read} of them in rows read as articles"
    if read >= shown:
        return said
    return f"{said}; {shown - read} are not: look whether they are totals or prices of lost rows"
