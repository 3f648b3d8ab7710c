"""The first characters of a key as one number that sorts as keys do."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from partsdb.matching.engine.hashing import I64, U64
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.texts import Keys

HEAD_LENGTH = 12
_SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
# Every sign has a rank from 1; 0 stands behind the end of a key.
_RADIX = len(_SIGNS) + 1


def heads(keys: Keys, *, fill: int = 0) -> U64:
    """Return the head of each key, what lies behind its end filled with one rank."""
    import numpy as np

    total: U64 = np.zeros(len(keys.rows), dtype=np.uint64)
    table = np.zeros(256, dtype=np.uint64)
    for rank, sign in enumerate(_SIGNS, start=1):
        table[ord(sign)] = rank
    for place in range(HEAD_LENGTH):
        total *= np.uint64(_RADIX)
        if place < keys.rows.shape[1]:
            rank_here = table[keys.rows[:, place]]
            total += np.where(place < keys.lengths, rank_here, np.uint64(fill))
        else:
            total += np.uint64(fill)
    return total


def begun_by(index: Index, keys: Keys, most: int | I64) -> Iterator[tuple[I64, I64]]:
    """Yield for each segment the row of every part whose key begins with one of these, by head.

    With each row comes the place of its key; `most` bounds the rows of one key, or of each.
    """
    import numpy as np

    first, last = heads(keys), heads(keys, fill=_RADIX - 1)
    for segment, offset in index.segments():
        table = segment["head"]
        start = np.searchsorted(table, first)
        counts = np.minimum(np.searchsorted(table, last, "right") - start, most)
        place = np.repeat(start - (np.cumsum(counts) - counts), counts) + np.arange(counts.sum())
        row = segment["head_row"][place].astype(np.int64) + offset
        yield np.repeat(np.arange(len(counts)), counts), row


def head_bounds(key: str) -> tuple[int, int]:
    """Return the least and the greatest head of the keys that begin with `key`."""
    low = high = 0
    for place in range(HEAD_LENGTH):
        rank = _SIGNS.find(key[place]) + 1 if place < len(key) else 0
        low = low * _RADIX + rank
        high = high * _RADIX + (rank if place < len(key) else _RADIX - 1)
    return low, high
