"""What only the whole catalogue can answer, out of its index on disk."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import TYPE_CHECKING

from partsdb.matching.engine.hashing import LONGEST, text_hash
from partsdb.matching.sense import Sense
from partsdb.matching.worded import ENTRIES_SEEN, best_by_words, search_words, spelled_as

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I64
    from partsdb.matching.engine.index import Index, Segment

KeysWith = Callable[[str, str], Collection[str]]
KnownKeys = Callable[[Collection[str]], Collection[str]]


class WholeInIndex:
    """The whole catalogue by its index; the keys are asked of whoever holds them."""

    def __init__(
        self, index: Index, sense: Sense, *, keys_with: KeysWith, known_keys: KnownKeys
    ) -> None:
        self.sense, self.keys_with, self.known_keys = sense, keys_with, known_keys
        self._index = index
        self._held: dict[str, Sequence[int] | None] = {}
        self._found: dict[str, list[int]] = {}

    def by_words(self, description: str, *, limit: int) -> list[int]:
        """Return the ids of the parts that share the rarest words of a description, best first."""
        if description not in self._found:
            words, parts = search_words(description), self._index.living
            found = best_by_words(words, self._holders, parts=parts, limit=limit)
            self._found[description] = found
        return self._found[description]

    def _holders(self, word: str) -> Sequence[int] | None:
        """Return the parts whose descriptions hold a word in any spelling, None for too many."""
        if word not in self._held:
            self._held[word] = self._read(word)
        return self._held[word]

    def _read(self, word: str) -> Sequence[int] | None:
        import numpy as np

        # Several spellings may have been taken for one word when the index was built.
        places = {self._index.word(text_hash(each.encode()[:LONGEST])) for each in spelled_as(word)}
        rows = [rows for place in sorted(places - {-1}) for rows in self._rows(place)]
        removed = self._index.rows - self._index.living
        if sum(map(len, rows)) > len(rows) * ENTRIES_SEEN + removed:
            return None
        every = np.unique(np.concatenate([np.zeros(0, dtype=np.int64), *rows]))
        living = every[self._index.is_living(every)]
        ids: list[int] = np.sort(self._index.gather("part_id", living)).tolist()
        return ids if len(ids) <= ENTRIES_SEEN else None

    def _rows(self, word: int) -> list[I64]:
        """Return the rows that hold a word, segment by segment."""
        held = []
        for segment, offset in self._index.segments():
            starts = segment["holder_start"]
            if word + 1 < len(starts):
                held.append(_slice(segment, starts[word], starts[word + 1]) + offset)
        return held


def _slice(segment: Segment, start: int, stop: int) -> I64:
    import numpy as np

    rows: I64 = segment["holder"][start:stop].astype(np.int64)
    return rows
