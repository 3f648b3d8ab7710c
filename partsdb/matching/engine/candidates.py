"""The parts that a line may mean: by its number, by what may have happened to it, by its words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.engine.build import SHORTEST_KEY, fold_hashes, heads, triples
from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.hashing import (
    SUFFIX_MARK,
    finish,
    hashes_without_one,
    powers,
    prefix_sums,
)
from partsdb.matching.engine.texts import Keys, folded, leading_zeros, number_keys
from partsdb.matching.engine.vocabulary import hashes_of
from partsdb.rules.spreadsheet import DATE, SCIENTIFIC, damages

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, I64, U64, Bool
    from partsdb.matching.engine.index import Index

LONGEST_AFFIX, SHORTEST_AFFIX = 6, 2
# How many parts one number or one triple of words may lead to.
_MOST_ALIKE, _MOST_NEAR, _MOST_BEGUN, _MOST_BY_WORDS = 40, 64, 60, 60
_KEPT_BY_WORDS = 15
_MAY_BE_DAMAGED = re.compile(
    r"[='\" ]*[\d.,' ]*\d(?:E\+?\d{1,3})?[ '\"]*|.*(?:\d[-/. ]+[A-ZÄ]{3,9}|[A-ZÄ]{3,9}[-/. ]*\d).*"
    r"|\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}(?: 00:00:00)?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Lines, the rows of parts that each may mean, how found, and the affix if there was one."""

    line: I64
    row: I64
    way: I32
    affix: U64


@dataclass(frozen=True, slots=True)
class Numbers:
    """The numbers of a chunk of lines, ready to be looked up."""

    texts: Sequence[str]
    keys: Keys
    sums: U64
    hashes: U64

    @classmethod
    def of(cls, texts: Sequence[str]) -> Numbers:
        """Return the numbers of a column of codes."""
        keys = number_keys(texts)
        sums = prefix_sums(keys.rows)
        return cls(texts, keys, sums, finish(sums[:, -1]))


def as_pairs(line: I64, row: I64, way: int, affix: U64 | None = None) -> Pairs:
    """Return pairs that were all found in one way."""
    import numpy as np

    ways = np.full(len(line), way, dtype=np.int32)
    none = np.zeros(len(line), dtype=np.uint64)
    return Pairs(
        line.astype(np.int64), row.astype(np.int64), ways, none if affix is None else affix
    )


def joined(pairs: Sequence[Pairs]) -> Pairs:
    """Return several groups of pairs as one."""
    import numpy as np

    return Pairs(
        np.concatenate([each.line for each in pairs]),
        np.concatenate([each.row for each in pairs]),
        np.concatenate([each.way for each in pairs]),
        np.concatenate([each.affix for each in pairs]),
    )


def by_key(numbers: Numbers, index: Index) -> Pairs:
    """Return the parts whose key is the line's."""
    import numpy as np

    at = np.flatnonzero(numbers.keys.lengths > 0)
    hits = index.probe("by_key", numbers.hashes[at], most=_MOST_ALIKE)
    line = at[hits.query]
    same = index.gather("key", hits.row) == numbers.hashes[line]
    return as_pairs(line[same], hits.row[same], Way.KEY)


def by_fold(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose number is the line's once look-alikes are folded, zeros kept."""
    import numpy as np

    at = at[numbers.keys.lengths[at] > 0]
    keys = _some(numbers.keys, at)
    hashes = fold_hashes(keys)
    zeros = leading_zeros(folded(keys))
    hits = index.probe("by_fold", hashes, most=_MOST_ALIKE)
    same = index.gather("fold", hits.row) == hashes[hits.query]
    same &= index.gather("zeros", hits.row) == zeros[hits.query]
    line: I64 = at[hits.query][same].astype(np.int64)
    return as_pairs(line, hits.row[same], Way.LOOKALIKE)


def by_form(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose number a spreadsheet turns into the line's."""
    import numpy as np

    forms: list[str] = []
    owner: list[int] = []
    ways: list[int] = []
    for line in at.tolist():
        text = numbers.texts[line]
        if not _MAY_BE_DAMAGED.fullmatch(text):
            continue
        for form, name in damages(text):
            way = Way.SCIENTIFIC if name == SCIENTIFIC else Way.DATE if name == DATE else Way.VALUE
            forms.append(form)
            owner.append(line)
            ways.append(Way.ZEROS if text.strip().isdecimal() else way)
    hits = index.probe("by_form", hashes_of(forms), most=_MOST_ALIKE)
    found = as_pairs(np.array(owner, dtype=np.int64)[hits.query], hits.row, Way.VALUE)
    found.way[:] = np.array(ways, dtype=np.int32)[hits.query]
    whole = [form[2:] if form.startswith("n:") else "" for form in forms]
    typed = index.probe("by_key", hashes_of(whole), most=_MOST_ALIKE)
    stands = np.array([bool(text) for text in whole], dtype=np.bool_)[typed.query]
    plain = as_pairs(np.array(owner, dtype=np.int64)[typed.query], typed.row, Way.VALUE)
    return joined(
        [found, Pairs(*(c[stands] for c in (plain.line, plain.row, plain.way, plain.affix)))]
    )


def by_affix(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose key is the line's without two to six characters at one end."""
    import numpy as np

    tables = powers()
    groups = []
    for length in range(SHORTEST_AFFIX, LONGEST_AFFIX + 1):
        some = at[numbers.keys.lengths[at] - length >= SHORTEST_KEY]
        if not len(some):
            continue
        sums, ends = numbers.sums[some], numbers.keys.lengths[some]
        head, whole = sums[:, length], sums[:, -1]
        tail = sums[np.arange(len(some)), ends - length]
        behind = finish((whole - head) * tables.inverse[length])
        cut = (whole - tail) * tables.inverse[ends - length]
        for hashes, affix, way in (
            (behind, finish(head), Way.PREFIX),
            (finish(tail), finish(cut + np.uint64(SUFFIX_MARK)), Way.SUFFIX),
        ):
            hits = index.probe("by_key", hashes, most=_MOST_ALIKE)
            same = index.gather("key", hits.row) == hashes[hits.query]
            query = hits.query[same]
            named = np.where(_has_letter(numbers.keys, some, length, way), affix, np.uint64(0))
            groups.append(as_pairs(some[query], hits.row[same], way, named[query]))
    return joined(groups) if groups else nothing()


def _has_letter(keys: Keys, at: I64, length: int, way: Way) -> Bool:
    """Say whose affix of a length has a letter: figures alone are part of a number."""
    import numpy as np

    place = np.arange(length)[None, :]
    if way == Way.SUFFIX:
        place = place + (keys.lengths[at] - length)[:, None]
    letters: Bool = (keys.rows[at[:, None], place] >= ord("A")).any(axis=1)
    return letters


def nothing() -> Pairs:
    """Return no pairs."""
    import numpy as np

    return as_pairs(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), Way.WORDS)


def by_edit(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose key is one substitution, swap, insertion or deletion away."""
    import numpy as np

    at = at[numbers.keys.lengths[at] >= SHORTEST_KEY]
    keys = _some(numbers.keys, at)
    lost, owner, place = hashes_without_one(numbers.sums[at], keys.rows, keys.lengths)
    swapped = index.probe("by_lost", lost, most=_MOST_NEAR)
    near = np.abs(place[swapped.query].clip(max=31) - swapped.mark) <= 2
    longer = index.probe("by_key", lost, most=_MOST_ALIKE)
    shorter = index.probe("by_lost", numbers.hashes[at], most=_MOST_NEAR)
    line = np.concatenate(
        [at[owner[swapped.query[near]]], at[owner[longer.query]], at[shorter.query]]
    )
    row = np.concatenate([swapped.row[near], longer.row, shorter.row])
    other = index.gather("key", row) != numbers.hashes[line]
    return as_pairs(line[other], row[other], Way.EDIT)


def by_head(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose number begins with the line's."""
    import numpy as np

    at = at[numbers.keys.lengths[at] >= SHORTEST_KEY]
    keys = _some(numbers.keys, at)
    first, last = heads(keys), heads(keys, fill=36)
    groups = []
    for segment, offset in index.segments():
        table = segment["head"]
        start = np.searchsorted(table, first)
        counts = np.minimum(np.searchsorted(table, last, "right") - start, _MOST_BEGUN)
        place = np.repeat(start - (np.cumsum(counts) - counts), counts) + np.arange(counts.sum())
        row = segment["head_row"][place].astype(np.int64) + offset
        line = np.repeat(at, counts)
        fit = index.is_living(row) & (index.gather("key", row) != numbers.hashes[line])
        groups.append(as_pairs(line[fit], row[fit], Way.BEGINS))
    return joined(groups)


def by_words(matrix: I32, index: Index, at: I64) -> Pairs:
    """Return the parts that share the most triples of rare words with the line."""
    import numpy as np

    hashes, owner = triples(matrix[at], index.vocabulary("word_rarity"))
    hits = index.probe("by_triple", hashes, most=_MOST_BY_WORDS)
    line = at[owner[hits.query]].astype(np.int64)
    pair, votes = np.unique(line * index.rows + hits.row, return_counts=True)
    line, row = pair // index.rows, pair % index.rows
    order = np.lexsort((row, -votes, line))
    line, row = line[order], row[order]
    first = np.r_[True, line[1:] != line[:-1]] if len(line) else np.zeros(0, dtype=np.bool_)
    place = np.arange(len(line))
    place -= np.maximum.accumulate(np.where(first, place, 0))
    kept = place < _KEPT_BY_WORDS
    return as_pairs(line[kept], row[kept], Way.WORDS)


def _some(keys: Keys, at: I64) -> Keys:
    return Keys(keys.rows[at], keys.lengths[at])
