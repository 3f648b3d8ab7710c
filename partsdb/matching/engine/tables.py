"""Sorted tables of hashes on disk: hash, part row and a small mark packed into one 64-bit number.

Packing keeps a table at eight bytes an entry, sorts it without a second array, and orders equal
hashes by row, so that the same catalogue always gives the same table. The hash loses its low bits:
what must be exact is checked afterwards against the part's whole hash.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import I32, I64, U8, U64

PLACE_BITS = 5
# No map is larger than this: eight megabytes stay near the processor.
_MOST_SEEN_BITS = 26
# So many buckets even for a few entries: most hashes then meet an empty one and are done.
_LEAST_BUCKET_BITS = 12
MOST_MARK = (1 << PLACE_BITS) - 1


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
        entries |= np.minimum(mark, MOST_MARK).astype(np.uint64)
    entries.sort()
    return entries


def bucket_starts(table: U64) -> I32:
    """Return where each of 2^k buckets of the hash begins, about three entries a bucket."""
    import numpy as np

    bits = max(_LEAST_BUCKET_BITS, (len(table) // 2).bit_length())
    counts = np.bincount((table >> np.uint64(64 - bits)).astype(np.int64), minlength=1 << bits)
    starts: I32 = np.zeros(len(counts) + 1, dtype=np.int32)
    np.cumsum(counts, out=starts[1:])
    return starts


def seen_bits(table: U64) -> U8:
    """Return a map of the hashes that a table holds, sixteen bits an entry at most.

    A hash whose bit is not set stands nowhere: most of those that are asked for are done with it.
    """
    import numpy as np

    bits = min(_MOST_SEEN_BITS, max(_LEAST_BUCKET_BITS, len(table).bit_length() + 3))
    seen = np.zeros(1 << bits, dtype=np.bool_)
    seen[table >> np.uint64(64 - bits)] = True
    return np.packbits(seen, bitorder="little")


class Queries:
    """Hashes to be looked up, in rising order: near ones lie near in a table."""

    def __init__(self, hashes: U64) -> None:
        self._hashes = hashes
        self._in_order: dict[int, tuple[U64, I64]] = {}

    def heads(self, low: int) -> tuple[U64, I64]:
        """Return the hashes without their `low` bits, rising, and where each stood before."""
        if low not in self._in_order:
            self._in_order[low] = self._sorted(low)
        return self._in_order[low]

    def _sorted(self, low: int) -> tuple[U64, I64]:
        import numpy as np

        shift, count = np.uint64(low), len(self._hashes)
        if count.bit_length() > low:
            order: I64 = np.argsort(self._hashes, kind="stable")
            return self._hashes[order] >> shift, order
        # The place goes where the low bits were: numbers sort in a third of the time of places.
        packed = (self._hashes >> shift << shift) | np.arange(count, dtype=np.uint64)
        packed.sort()
        return packed >> shift, (packed & np.uint64((1 << low) - 1)).astype(np.int64)


@dataclass(frozen=True, slots=True)
class Table:
    """A sorted table, the starts of its buckets, and where there is one its map of hashes."""

    entries: U64
    starts: I32
    layout: Layout
    seen: U8 | None = None

    def probe(self, queries: Queries, *, most: int) -> Hits:
        """Return at most `most` entries for each hash, in order of row."""
        import numpy as np

        table, low = self.entries, np.uint64(self.layout.low_bits)
        heads, order = queries.heads(self.layout.low_bits)
        heads, order = self._likely(heads, order)
        start = _lower_bounds(table, self.starts, heads << low)
        inside = np.flatnonzero(start < len(table))
        inside = inside[(table[start[inside]] >> low) == heads[inside]]
        heads, start, order = heads[inside], start[inside], order[inside]
        counts = _run_lengths(table, start, heads, low, most)
        first = np.repeat(start - (np.cumsum(counts) - counts), counts)
        entries = table[first + np.arange(len(first))]
        rows = (entries >> np.uint64(PLACE_BITS)) & np.uint64((1 << self.layout.row_bits) - 1)
        marks = entries & np.uint64(MOST_MARK)
        return Hits(np.repeat(order, counts), rows.astype(np.int64), marks.astype(np.int32))

    def _likely(self, heads: U64, order: I64) -> tuple[U64, I64]:
        """Return the hashes whose bit is set in the map."""
        import numpy as np

        bits = 0 if self.seen is None else (8 * len(self.seen)).bit_length() - 1
        # A map finer than the heads cannot be asked: the low bits are gone.
        if self.seen is None or bits > 64 - self.layout.low_bits:
            return heads, order
        bit = heads >> np.uint64(64 - self.layout.low_bits - bits)
        byte = self.seen[bit >> np.uint64(3)]
        kept = np.flatnonzero(byte >> (bit & np.uint64(7)).astype(np.uint8) & 1)
        return heads[kept], order[kept]


def _lower_bounds(table: U64, starts: I32, wanted: U64) -> I64:
    """Return the first place of `table` that is not less than each of `wanted`."""
    import numpy as np

    bucket = (wanted >> np.uint64(64 - (len(starts) - 1).bit_length() + 1)).astype(np.int64)
    place, stop = starts[bucket].astype(np.int64), starts[bucket + 1].astype(np.int64)
    active = np.flatnonzero(place < stop)
    while len(active):
        middle = (place[active] + stop[active]) >> 1
        less = table[middle] < wanted[active]
        place[active[less]] = middle[less] + 1
        stop[active[~less]] = middle[~less]
        active = active[place[active] < stop[active]]
    return place


def _run_lengths(table: U64, start: I64, heads: U64, low: np.uint64, most: int) -> I64:
    """Return how many entries from each start bear the same head, at most `most`."""
    import numpy as np

    counts = np.ones(len(start), dtype=np.int64)
    active = np.flatnonzero(start + 1 < len(table))
    while len(active):
        active = active[(table[start[active] + counts[active]] >> low) == heads[active]]
        counts[active] += 1
        active = active[(counts[active] < most) & (start[active] + counts[active] < len(table))]
    return counts
