"""The descriptions of a list's lines in the words of a catalogue, worn spellings included."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.engine.build import rarity_order
from partsdb.matching.engine.described import (
    Measures,
    Senses,
    is_last,
    measures,
    place_in_row,
    word_matrix,
)
from partsdb.matching.engine.hashing import hashes_without_one, prefix_sums
from partsdb.matching.engine.index import never_empty
from partsdb.matching.engine.texts import text_words
from partsdb.matching.engine.vocabulary import Lookup, senses, word_rows

if TYPE_CHECKING:
    from collections.abc import Sequence

    from partsdb.matching.engine.hashing import I32, I64, U64, Bool
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.texts import Words

# Common practice, no source: what a word weighs that no part uses (thousandths, as rarity), and
# how many tenths of its weight a word counts that was recognised from a worn spelling.
UNKNOWN_WEIGHT, WORN_TENTHS = 4000, 7
SHORTEST_EDIT = 4


@dataclass(frozen=True, slots=True)
class LineWords:
    """The words of each line: id (-1 none), weight, what it counts if explained, and measures.

    A soft word may be a cut end: it counts for a part that explains it, against none.
    """

    words: I32
    weight: I32
    gain: I32
    soft: Bool
    stated: Measures


class WordFinder:
    """Reads descriptions in the words of one index."""

    def __init__(self, index: Index) -> None:
        self._base = Lookup(index.base["word_hash"])
        self._late = Lookup(index.delta["word_hash"]) if index.delta else None
        self._spelling = Lookup(index.base["spelling_hash"])
        self._spelled = never_empty(index.base["spelling_word"])
        self._is_lost = never_empty(index.base["spelling_is_lost"])
        self._rarity = index.vocabulary("word_rarity")
        self.order = rarity_order(self._rarity)
        self._meant = index.vocabulary("word_meant")
        self._columns = [
            index.vocabulary(f"word_{name}") for name in ("kind", "value", "unit", "scale")
        ]

    def read(self, texts: Sequence[str]) -> LineWords:
        """Return the words of a column of descriptions."""
        import numpy as np

        words = text_words(texts)
        ids = self._known(words.hashes)
        unknown = np.flatnonzero(ids < 0)
        distinct, which = np.unique(words.hashes[unknown], return_inverse=True)
        unread = _texts_of(words, unknown, which, len(distinct))
        worn = self._worn(unread, distinct)
        columns = [column[np.maximum(ids, 0)] for column in self._columns]
        for column, (_, read) in zip(columns, senses(unread).items(), strict=True):
            column[unknown] = read[which]
        known = ids >= 0
        ids = np.where(known, self._meant[np.maximum(ids, 0)], -1).astype(np.int32)
        ids[unknown] = worn[which]
        weight = np.where(ids >= 0, self._rarity[np.maximum(ids, 0)], UNKNOWN_WEIGHT)
        weight = weight.astype(np.int32)
        gain = np.where(known, weight, weight * WORN_TENTHS // 10).astype(np.int32)
        soft = is_last(words.owner) & ~known & (place_in_row(words.owner, len(texts)) >= 2)
        stated = measures(words, Senses(*columns), len(texts))
        return _in_rows(words.owner, len(texts), (ids, weight, gain, soft), stated)

    def _known(self, hashes: U64) -> I32:
        """Return the id of each word that stands in the vocabulary."""
        import numpy as np

        ids = self._base.find(hashes)
        if self._late is not None:
            left = np.flatnonzero(ids < 0)
            late = self._late.find(hashes[left])
            ids[left] = np.where(late >= 0, late + len(self._base.values), -1)
        return ids

    def _worn(self, texts: list[str], hashes: U64) -> I32:
        """Return the word that each unread one most likely means, -1 where none is near."""
        import numpy as np

        place = self._spelling.find(hashes)
        meant: I32 = np.where(place >= 0, self._spelled[place], -1).astype(np.int32)
        letters = [i for i, text in enumerate(texts) if text.isalpha() and text.isascii()]
        letters = [i for i in letters if meant[i] < 0 and SHORTEST_EDIT <= len(texts[i]) <= 24]
        if letters:
            at = np.array(letters, dtype=np.int64)
            meant[at] = self._one_edit([texts[i] for i in letters])
        for i, text in enumerate(texts):
            if not text.isalpha() and any(sign.isdigit() for sign in text):
                meant[i] = -1
        return meant

    def _one_edit(self, texts: list[str]) -> I32:
        """Return the commonest word one edit away from each text, -1 where there is none."""
        import numpy as np

        rows, lengths = word_rows(texts)
        hashes, owner, _ = hashes_without_one(prefix_sums(rows), rows, lengths)
        whole = self._base.find(hashes)
        place = self._spelling.find(hashes)
        lost = (place >= 0) & self._is_lost[place]
        found = np.r_[whole[whole >= 0], self._spelled[place[lost]]].astype(np.int64)
        owners = np.r_[owner[whole >= 0], owner[lost]]
        order = np.lexsort((found, self._rarity[found], owners))
        owners, found = owners[order], found[order]
        first = np.r_[True, owners[1:] != owners[:-1]] if len(owners) else np.zeros(0, dtype=bool)
        meant: I32 = np.full(len(texts), -1, dtype=np.int32)
        meant[owners[first]] = found[first]
        return meant


def _texts_of(words: Words, unknown: I64, which: I64, count: int) -> list[str]:
    """Return the text of each distinct unknown word."""
    import numpy as np

    first: I64 = np.zeros(count, dtype=np.int64)
    first[which[::-1]] = unknown[::-1]
    spans = zip(words.starts[first].tolist(), words.ends[first].tolist(), strict=True)
    return [words.buffer[start:end].decode(errors="replace") for start, end in spans]


def _in_rows(
    owner: I32, rows: int, columns: tuple[I32, I32, I32, Bool], stated: Measures
) -> LineWords:
    """Return the columns of words in rows, one a line."""
    import numpy as np

    ids, weight, gain, soft = columns
    matrix = word_matrix(ids, owner, rows)
    place = place_in_row(owner, rows)
    kept = place < matrix.shape[1]
    at = owner[kept], place[kept]
    weights: I32 = np.zeros(matrix.shape, dtype=np.int32)
    gains: I32 = np.zeros(matrix.shape, dtype=np.int32)
    softs: Bool = np.zeros(matrix.shape, dtype=bool)
    weights[at], gains[at], softs[at] = weight[kept], gain[kept], soft[kept]
    return LineWords(matrix, weights, gains, softs, stated)
