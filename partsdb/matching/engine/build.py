"""Builds the words of a catalogue's index: which there are, how rare, and what parts they hold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any

from partsdb.matching.engine.described import Measures, Senses, measures, word_matrix
from partsdb.matching.engine.hashing import (
    finish,
    powers,
    text_hash,
)
from partsdb.matching.engine.tables import Layout, layout_for, packed
from partsdb.matching.engine.texts import (
    text_words,
)
from partsdb.matching.engine.vocabulary import (
    Lookup,
    distinct,
    first_words,
    senses,
    spellings,
    texts_of,
    word_rarity,
)

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, U64
    from partsdb.matching.engine.texts import Words

    Arrays = dict[str, Any]

_SLICE = 50_000
# Room for parts that come later, however little the first ones say.
_LEAST_WORDS, _LEAST_MEASURES = 12, 4
RARE_WORDS, MOST_OF_ONE_TRIPLE = 5, 60


@dataclass(frozen=True, slots=True)
class Catalogue:
    """The parts to be indexed, column by column."""

    ids: Sequence[int]
    numbers: Sequence[str]
    descriptions: Sequence[str]
    makers: Sequence[str]

    def in_order(self) -> Catalogue:
        """Return the parts in order of their ids, so that their rows never depend on the caller."""
        ids = list(self.ids)
        if all(one < other for one, other in pairwise(ids)):
            return self
        order = sorted(range(len(ids)), key=ids.__getitem__)
        return Catalogue(
            [ids[i] for i in order],
            [self.numbers[i] for i in order],
            [self.descriptions[i] for i in order],
            [self.makers[i] for i in order],
        )


def word_arrays(catalogue: Catalogue, abbreviations: Mapping[str, str]) -> Arrays:
    """Return the vocabulary of the descriptions, and the words and measures of each part."""
    import numpy as np

    parts = len(catalogue.ids)
    slices = [
        text_words(catalogue.descriptions[start : start + _SLICE])
        for start in range(0, max(1, parts), _SLICE)
    ]
    known = distinct(np.concatenate([distinct(words.hashes) for words in slices]))
    lookup = Lookup(known)
    texts = texts_of(slices, lookup)
    meant = _meanings(texts, known, abbreviations)
    stated = senses(texts)
    rows = [_rows_of(words, lookup, meant, stated) for words in slices]
    matrix = _stacked([words for words, _ in rows], least=_LEAST_WORDS, fill=-1)
    kind = _stacked([held.kind for _, held in rows], least=_LEAST_MEASURES)
    value = _stacked([held.value for _, held in rows], least=_LEAST_MEASURES)
    rarity = word_rarity(matrix, parts, len(known))
    return {
        "facts": np.hstack([matrix, kind, value.view(np.int32)]),
        "widths": np.array([matrix.shape[1], kind.shape[1]], dtype=np.int32),
        "word_hash": known,
        "word_rarity": rarity,
        "word_meant": meant,
        "by_triple": triple_table(matrix, rarity_order(rarity), layout_for(parts)),
        **stated,
        **spellings(texts, known, rarity, abbreviations),
        **holders(matrix, len(known)),
    }


def _rows_of(words: Words, lookup: Lookup, meant: I32, stated: Arrays) -> tuple[I32, Measures]:
    """Return the words and the measures of a slice of the parts, one row each."""
    found = lookup.find(words.hashes)
    columns = (stated[f"word_{name}"][found] for name in ("kind", "value", "unit", "scale"))
    kind, value, unit, scale = columns
    held = measures(words, Senses(kind, value, unit, scale), words.rows)
    return word_matrix(meant[found], words.owner, words.rows), held


def _stacked(matrices: list[Any], *, least: int, fill: int = 0) -> Any:
    """Return matrices of unequal widths as one, at least so wide."""
    import numpy as np

    width = max(least, *(matrix.shape[1] for matrix in matrices))
    rows = sum(len(matrix) for matrix in matrices)
    whole = np.full((rows, width), fill, dtype=matrices[0].dtype)
    start = 0
    for matrix in matrices:
        whole[start : start + len(matrix), : matrix.shape[1]] = matrix
        start += len(matrix)
    return whole


def _meanings(texts: list[str], known: U64, abbreviations: Mapping[str, str]) -> I32:
    """Return for each word the word that it is short for, itself otherwise."""
    import numpy as np

    short = first_words(abbreviations)
    meant: I32 = np.arange(len(known), dtype=np.int32)
    pairs = [(i, text_hash(short[text])) for i, text in enumerate(texts) if text in short]
    if pairs:
        places = np.array([i for i, _ in pairs], dtype=np.int32)
        full = Lookup(known).find(np.array([h for _, h in pairs], dtype=np.uint64))
        meant[places[full >= 0]] = full[full >= 0]
    return meant


def holders(matrix: I32, known: int) -> Arrays:
    """Return for each word the rows of the parts that hold it, in order."""
    import numpy as np

    rows, _ = np.nonzero(matrix >= 0)
    ids = matrix[matrix >= 0]
    entries = distinct((ids.astype(np.int64) << 32) | rows)
    starts = np.searchsorted(entries >> 32, np.arange(known + 1)).astype(np.int64)
    return {"holder_start": starts, "holder": (entries & 0xFFFFFFFF).astype(np.int32)}


def triple_table(matrix: I32, order: I32, layout: Layout) -> U64:
    """Return the table of the parts by three of their rarest words, crowded ones left out."""
    import numpy as np

    pieces = []
    for start in range(0, len(matrix), _SLICE):
        hashes, owner = triples(matrix[start : start + _SLICE], order)
        pieces.append(packed(hashes, owner + start, layout))
    table = np.concatenate(pieces) if pieces else np.zeros(0, dtype=np.uint64)
    table.sort()
    heads_ = table >> np.uint64(layout.low_bits)
    edges = np.flatnonzero(np.r_[True, heads_[1:] != heads_[:-1]])
    sizes = np.diff(np.r_[edges, len(table)])
    kept: U64 = table[np.repeat(sizes <= MOST_OF_ONE_TRIPLE, sizes)]
    return kept


def rarity_order(rarity: I32) -> I32:
    """Return the words from the rarest to the commonest; equally rare ones by id."""
    import numpy as np

    return np.argsort(-rarity, kind="stable").astype(np.int32)


def triples(matrix: I32, order: I32) -> tuple[U64, I32]:
    """Return (hashes, owner) of every three among the rarest known words of each row."""
    import numpy as np

    none = len(order)
    rank: I32 = np.full(none + 1, none, dtype=np.int32)
    rank[order] = np.arange(none)
    # A row and a line must choose and order the same words, so both go by rank.
    ranked = np.sort(rank[matrix], axis=1)[:, :RARE_WORDS]
    rare = np.r_[order, -1].astype(np.int32)[ranked]
    rare.sort(axis=1)
    stirred = finish((rare.astype(np.int64) + 1).astype(np.uint64) * powers().power[1])
    stirred[rare < 0] = 0
    hashes, owners = [], []
    for i, j, k in combinations(range(rare.shape[1]), 3):
        full = (rare[:, i] >= 0) & (rare[:, i] != rare[:, j]) & (rare[:, j] != rare[:, k])
        at = np.flatnonzero(full)
        three = (
            stirred[at, i] * np.uint64(3)
            + stirred[at, j] * np.uint64(5)
            + stirred[at, k] * np.uint64(7)
        )
        hashes.append(finish(three))
        owners.append(at.astype(np.int32))
    if not hashes:
        return np.zeros(0, dtype=np.uint64), np.zeros(0, dtype=np.int32)
    return np.concatenate(hashes), np.concatenate(owners)
