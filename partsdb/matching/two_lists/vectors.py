"""Sparse matrices of two lists over one vocabulary, and the nearest rows by their product."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log
from typing import Any

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Matrix = Any  # scipy publishes no types

# Rows multiplied at once: 256 x 100,000 results are 200 MB at the very most.
_CHUNK = 256


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The terms of both lists in one order, and how rare each is."""

    place: dict[str, int]
    rarity: Floats


def vocabulary(left: Sequence[Iterable[str]], right: Sequence[Iterable[str]]) -> Vocabulary:
    """Return the terms of both lists, rarity the logarithm of rows over rows with the term."""
    seen: dict[str, int] = {}
    for rows in (left, right):
        for row in rows:
            for term in set(row):
                seen[term] = seen.get(term, 0) + 1
    terms = sorted(seen)
    rows_in_all = len(left) + len(right)
    rarity = np.array([log((rows_in_all + 1) / (seen[term] + 0.5)) for term in terms])
    return Vocabulary({term: at for at, term in enumerate(terms)}, rarity)


def indicators(rows: Sequence[Iterable[str]], words: Vocabulary) -> Matrix:
    """Return the matrix with a 1 where a row has a term (unknown terms are left out)."""
    indices: list[int] = []
    ends = [0]
    for row in rows:
        indices += sorted({words.place[term] for term in row if term in words.place})
        ends.append(len(indices))
    shape = (len(rows), len(words.place))
    return sp.csr_matrix((np.ones(len(indices)), np.array(indices, int), np.array(ends)), shape)


def unit_rows(matrix: Matrix) -> Matrix:
    """Return the matrix with every row scaled to length one."""
    lengths = np.sqrt(np.asarray(matrix.multiply(matrix).sum(axis=1)).ravel())
    lengths[lengths == 0] = 1.0
    return (sp.diags(1.0 / lengths) @ matrix).tocsr()


def weighted(matrix: Matrix, weights: Floats) -> Matrix:
    """Return the matrix with every column multiplied by its weight."""
    return (matrix @ sp.diags(weights)).tocsr()


def row_dots(a: Matrix, b: Matrix, pairs: Ints) -> Floats:
    """Return the product of row pairs[:, 0] of `a` and row pairs[:, 1] of `b`, pair by pair."""
    out = np.empty(len(pairs))
    for start in range(0, len(pairs), 65536):
        part = pairs[start : start + 65536]
        out[start : start + 65536] = np.asarray(
            a[part[:, 0]].multiply(b[part[:, 1]]).sum(axis=1)
        ).ravel()
    return out


def nearest(a: Matrix, b: Matrix, count: int) -> Ints:
    """Return for every row of `a` the `count` rows of `b` with the greatest product, as pairs."""
    across = b.T.tocsr()
    found = []
    for start in range(0, a.shape[0], _CHUNK):
        product = (a[start : start + _CHUNK] @ across).tocsr()
        product.sort_indices()
        found.append(_greatest(product, count, start))
    return np.concatenate(found) if found else np.empty((0, 2), np.int64)


def _greatest(product: Matrix, count: int, first_row: int) -> Ints:
    """Return (row, column) of the greatest entries of each row, ties to the lower column."""
    rows = np.repeat(np.arange(product.shape[0]), np.diff(product.indptr))
    # Sums in another order differ in the last digits: rounding makes ties of what are ties.
    order = np.lexsort((product.indices, -np.round(product.data, 9), rows))
    rank = np.arange(len(order)) - product.indptr[rows[order]]
    kept = order[rank < count]
    return np.column_stack((rows[kept] + first_row, product.indices[kept])).astype(np.int64)


def frequent_terms_dropped(matrix: Matrix, share: float, floor: int) -> Matrix:
    """Return the matrix without terms that stand in more than a share of its rows (retrieval)."""
    rows_with = np.asarray((matrix != 0).sum(axis=0)).ravel()
    keep = (rows_with <= max(floor, share * matrix.shape[0])).astype(float)
    out = weighted(matrix, keep)
    out.eliminate_zeros()
    return out
