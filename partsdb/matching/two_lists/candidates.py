"""Which pairs are looked at: the nearest by name, spelling and words, and sharers of a code."""

from __future__ import annotations

import numpy as np

from partsdb.matching.two_lists.evidence import Compared
from partsdb.matching.two_lists.vectors import (
    Floats,
    Ints,
    Matrix,
    distinct,
    nearest,
    unit_rows,
    weighted,
    without_frequent,
)

# The nearest kept for a row of the left list by each measure, and at most for one of the right.
_EACH_LEFT = 15
_EACH_RIGHT = 5
# A term in more than this share of all rows proposes nobody.
_FREQUENT_SHARE = 0.05
_FREQUENT_ROWS = 100
# A code that more rows have is a family's, not a part's.
_CODE_ROWS = 10


def candidates(both: Compared) -> Ints:
    """Return the pairs (left row, right row) worth comparing, in order."""
    m = both.matrices
    rows = len(both.left.idents), len(both.right.idents)
    # As many proposals from the longer list as from the shorter.
    back = int(np.clip(_EACH_LEFT * rows[0] // max(1, rows[1]), 2, _EACH_RIGHT))
    found = [_shared_codes(both)]
    for matrices, words in (
        (m.name_words, m.words),
        (m.trusted, m.words),
        (m.all_words, m.words),
        (m.name_grams, m.grams),
    ):
        limit = max(_FREQUENT_ROWS, _FREQUENT_SHARE * sum(rows))
        a, b = (_retrieval(x, words.rarity, words.rows_with, limit) for x in matrices)
        found.append(nearest(a, b, each_left=_EACH_LEFT, each_right=back))
    return distinct(np.concatenate(found))


def _retrieval(matrix: Matrix, rarity: Floats, rows_with: Floats, limit: float) -> Matrix:
    return without_frequent(unit_rows(weighted(matrix, rarity)), rows_with, limit)


def _shared_codes(both: Compared) -> Ints:
    """Return the pairs that have a code in common which few rows have."""
    rows_with: dict[str, list[int]] = {}
    for at, row in enumerate(both.right.codes):
        for code in row:
            rows_with.setdefault(code.text, []).append(at)
    pairs = [
        (at, other)
        for at, row in enumerate(both.left.codes)
        for code in row
        if len(rows_with.get(code.text, ())) <= _CODE_ROWS
        for other in rows_with.get(code.text, ())
    ]
    return np.array(pairs, np.int64).reshape(-1, 2)
