"""Sorted tables of hashes on disk: hash, part row and a small mark packed into one 64-bit number.

Packing keeps a table at eight bytes an entry, sorts it without a second array, and orders equal
hashes by row, so that the same catalogue always gives the same table. The hash loses its low bits:
what must be exact is checked afterwards against the part's whole hash.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import I32, I64, U64

PLACE_BITS = 5


@dataclass(frozen=True, slots=True)
class Layout:
    """How many low bits of an entry are the part's row; the mark lies below them."""

    row_bits: int

    @property
    def low_bits(self) -> int:
        """Return how many bits the hash gives up."""
        return self.row_bits + PLACE_BITS


@dataclass(frozen=True, slots=True)
class Hits:
    """What a table holds for some queries: the query's place, the part's row, the mark."""

    query: I64
    row: I64
    mark: I32


def layout_for(parts: int) -> Layout:
    """Return the layout of a catalogue of so many parts."""
    return Layout(max(1, parts.bit_length()))


def packed(
    hashes: U64, rows: NDArray[Any], layout: Layout, mark: NDArray[Any] | None = None
) -> U64:
    """Return a sorted table; `mark` is cut to what its bits hold."""
    import numpy as np

    low = np.uint64(layout.low_bits)
    entries: U64 = (hashes >> low) << low
    entries |= rows.astype(np.uint64) << np.uint64(PLACE_BITS)
    if mark is not None:
        entries |= np.minimum(mark, (1 << PLACE_BITS) - 1).astype(np.uint64)
    entries.sort()
    return entries


def probe(table: U64, hashes: U64, layout: Layout, *, most: int) -> Hits:
    """Return at most `most` entries for each hash, in order of row."""
    import numpy as np

    low = np.uint64(layout.low_bits)
    heads = hashes >> low
    order = np.argsort(heads)
    heads = heads[order]
    start = np.searchsorted(table, heads << low)
    inside = np.flatnonzero(start < len(table))
    inside = inside[(table[start[inside]] >> low) == heads[inside]]
    heads, start, order = heads[inside], start[inside], order[inside]
    stop = np.searchsorted(table, (heads << low) | np.uint64((1 << layout.low_bits) - 1), "right")
    counts = np.minimum(stop - start, most)
    first = np.repeat(start - (np.cumsum(counts) - counts), counts)
    entries = table[first + np.arange(len(first))]
    rows = (entries >> np.uint64(PLACE_BITS)) & np.uint64((1 << layout.row_bits) - 1)
    marks = entries & np.uint64((1 << PLACE_BITS) - 1)
    return Hits(np.repeat(order, counts), rows.astype(np.int64), marks.astype(np.int32))
