"""A list made ready for comparison: its words, what each row reaches, its names and codes."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from partsdb.matching.two_lists.codes import Code, codes_of
from partsdb.matching.two_lists.records import Listing, plain
from partsdb.matching.two_lists.words import Word, words_of

# Characters of a cell that are read: what comes later in a text seldom tells two things apart.
_CELL_SIGNS = 2000
_NOT_SIGN = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True)
class Side:
    """One list: per row its words, its codes, and all its letters and digits in one string."""

    idents: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    words: tuple[tuple[Word, ...], ...]
    codes: tuple[tuple[Code, ...], ...]
    signs: tuple[str, ...]

    def texts(self) -> list[list[str]]:
        """Return the words of each row as text."""
        return [[word.text for word in row] for row in self.words]


def side(listing: Listing, text_columns: Collection[int]) -> Side:
    """Return the list made ready, its text columns read in their order."""
    read = [
        [(at, plain(record.cells[at][:_CELL_SIGNS])) for at in text_columns]
        for record in listing.records
    ]
    return Side(
        tuple(record.ident for record in listing.records),
        tuple(record.cells for record in listing.records),
        tuple(tuple(words_of(row)) for row in read),
        tuple(codes_of(row) for row in read),
        tuple(_NOT_SIGN.sub("", "".join(text for _, text in row)) for row in read),
    )


def reaches(sides: Sequence[Side], known: Collection[str]) -> list[list[set[str]]]:
    """Return, per list and row, the words that the row reaches.

    "photo story" reaches "photostory" where that is a word somewhere, and the other way round:
    what one shop joins the other splits.
    """
    parts: dict[str, set[str]] = {}
    joined = []
    for one in sides:
        rows = []
        for row in one.words:
            found = {word.text for word in row}
            for whole, pieces in _joins(row):
                if whole in known:
                    found.add(whole)
                    parts.setdefault(whole, set()).update(pieces)
            rows.append(found)
        joined.append(rows)
    return [[row.union(*(parts.get(word, ()) for word in row)) for row in rows] for rows in joined]


def _joins(row: Sequence[Word]) -> Iterable[tuple[str, tuple[str, ...]]]:
    """Yield two and three neighbouring words of a column joined, with the words."""
    for at in range(len(row) - 1):
        first, second = row[at], row[at + 1]
        if first.column != second.column:
            continue
        yield first.text + second.text, (first.text, second.text)
        if at + 2 < len(row) and row[at + 2].column == first.column:
            third = row[at + 2].text
            yield first.text + second.text + third, (first.text, second.text, third)
