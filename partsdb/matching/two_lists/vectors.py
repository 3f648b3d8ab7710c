"""Sparse matrices of two lists over one vocabulary, and the nearest rows by their product."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Matrix = Any  # scipy publishes no types

# Results held at once: 8 million of them are 64 MB.
_CELLS = 8_000_000


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The terms of both lists in one order, and how rare each is."""

    place: dict[str, int]
    rarity: Floats
    rows_with: Floats


def vocabulary(left: Sequence[Iterable[str]], right: Sequence[Iterable[str]]) -> Vocabulary:
    """Return the terms of both lists, rarity the logarithm of rows over rows with the term."""
    seen: dict[str, int] = {}
    for rows in (left, right):
        for row in rows:
            for term in set(row):
                seen[term] = seen.get(term, 0) + 1
    terms = sorted(seen)
    rows_in_all = len(left) + len(right)
    rows_with = np.array([seen[term] for term in terms], float)
    rarity = np.log((rows_in_all + 1) / (rows_with + 0.5))
    return Vocabulary({term: at for at, term in enumerate(terms)}, rarity, rows_with)


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


def row_sums(matrix: Matrix) -> Floats:
    """Return the sum of every row."""
    return np.asarray(matrix.sum(axis=1), float).ravel()


def row_dots(a: Matrix, b: Matrix, pairs: Ints) -> Floats:
    """Return the product of row pairs[:, 0] of `a` and row pairs[:, 1] of `b`, pair by pair."""
    out = np.empty(len(pairs))
    for start in range(0, len(pairs), 65536):
        part = pairs[start : start + 65536]
        out[start : start + 65536] = np.asarray(
            a[part[:, 0]].multiply(b[part[:, 1]]).sum(axis=1)
        ).ravel()
    return out


def nearest(a: Matrix, b: Matrix, *, each_left: int, each_right: int) -> Ints:
    """Return the pairs of rows with the greatest products, some for each row of either matrix.

    One product serves both directions. Rows without a common term make no pair.
    """
    across = b.T.tocsr()
    step = max(1, _CELLS // max(1, b.shape[0]))
    pairs: list[Ints] = []
    columns: list[tuple[Ints, Floats]] = []
    for start in range(0, a.shape[0], step):
        dense = (a[start : start + step] @ across).toarray()
        rows = _greatest(dense, each_left)
        pairs.append(rows + np.array([[start, 0]]))
        back = _greatest(dense.T, each_right)
        columns.append((back[:, ::-1] + np.array([[start, 0]]), dense[back[:, 1], back[:, 0]]))
    if not pairs:
        return np.empty((0, 2), np.int64)
    pairs.append(_best_per_column(columns, each_right))
    return distinct(np.concatenate(pairs))


def distinct(pairs: Ints) -> Ints:
    """Return each pair once, in order."""
    out: Ints = np.unique(pairs, axis=0)
    return out


def _greatest(dense: Floats, count: int) -> Ints:
    """Return (row, column) of the `count` greatest positive entries of each row."""
    count = min(count, dense.shape[1])
    if not count:
        return np.empty((0, 2), np.int64)
    at = np.argpartition(-dense, count - 1, axis=1)[:, :count]
    rows = np.repeat(np.arange(dense.shape[0]), count)
    kept = dense[rows, at.ravel()] > 0
    return np.column_stack((rows, at.ravel()))[kept].astype(np.int64)


def _best_per_column(found: list[tuple[Ints, Floats]], count: int) -> Ints:
    """Return the `count` best pairs of each column out of what the parts have found."""
    pairs = np.concatenate([part for part, _ in found])
    values = np.concatenate([part for _, part in found])
    order = np.lexsort((pairs[:, 0], -values, pairs[:, 1]))
    column = pairs[order, 1]
    first = np.searchsorted(column, column, side="left")
    best: Ints = pairs[order[np.arange(len(order)) - first < count]]
    return best


def without_frequent(matrix: Matrix, rows_with: Floats, limit: float) -> Matrix:
    """Return the matrix without the terms that stand in more than `limit` rows (for retrieval)."""
    out = weighted(matrix, (rows_with <= limit).astype(float))
    out.eliminate_zeros()
    return out
