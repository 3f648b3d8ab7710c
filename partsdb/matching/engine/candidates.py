"""The parts that a line's number leads to by itself, and those that its words lead to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsdb.matching.engine.build import triples
from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.hashing import hashes_without_one
from partsdb.matching.engine.heads import begun_by
from partsdb.matching.engine.number_tables import SHORTEST_KEY, beyond_hashes, fold_hashes
from partsdb.matching.engine.pairs import Numbers, Pairs, as_pairs, first_few, joined
from partsdb.matching.engine.tables import MOST_MARK, Queries
from partsdb.matching.engine.texts import Keys, folded, leading_zeros, some_keys

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, I64
    from partsdb.matching.engine.index import Index

# How many parts one number or one triple of words may lead to.
MOST_ALIKE, MOST_NEAR, MOST_BEGUN, MOST_BY_WORDS = 40, 64, 60, 60
KEPT_BY_WORDS = 15


def by_key(numbers: Numbers, index: Index) -> Pairs:
    """Return the parts whose key is the line's."""
    import numpy as np

    at = np.flatnonzero(numbers.keys.lengths > 0)
    hits = index.probe("by_key", numbers.hashes[at], most=MOST_ALIKE)
    line = at[hits.query]
    same = index.gather("key", hits.row) == numbers.hashes[line]
    return as_pairs(line[same], hits.row[same], Way.KEY)


def by_fold(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose number is the line's once look-alikes are folded, zeros kept.

    Look-alikes that only changed places are a transposition, so they are left to `by_edit`.
    """
    import numpy as np

    at = at[numbers.keys.lengths[at] > 0]
    keys = some_keys(numbers.keys, at)
    hashes = fold_hashes(keys)
    zeros = leading_zeros(folded(keys))
    hits = index.probe("by_fold", hashes, most=MOST_ALIKE)
    same = index.gather("fold", hits.row) == hashes[hits.query]
    same &= index.gather("zeros", hits.row) == zeros[hits.query]
    signs = keys.rows.sum(axis=1, dtype=np.uint16)
    same &= index.gather("signs", hits.row) != signs[hits.query]
    line: I64 = at[hits.query][same].astype(np.int64)
    return as_pairs(line, hits.row[same], Way.LOOKALIKE)


def by_edit(numbers: Numbers, index: Index) -> Pairs:
    """Return the parts whose key is one substitution, swap, insertion or deletion away."""
    import numpy as np

    at = np.flatnonzero(numbers.keys.lengths >= SHORTEST_KEY)
    keys = some_keys(numbers.keys, at)
    lost, owner, place = hashes_without_one(numbers.sums[at], keys.rows, keys.lengths)
    asked = Queries(lost)
    both = index.probe("by_lost", asked, most=MOST_NEAR)
    longer = index.probe("by_key", asked, most=MOST_ALIKE)
    shorter = index.probe("by_lost", numbers.hashes[at], most=MOST_NEAR)
    mine = owner[both.query]
    one = _one_edit(keys, index, (mine, both.row, place[both.query], both.mark))
    kept = one > 0
    line = np.concatenate([mine[kept], owner[longer.query], shorter.query])
    row = np.concatenate([both.row[kept], longer.row, shorter.row])
    pairs = as_pairs(at[line], row, Way.EDIT)
    pairs.way[: kept.sum()] = one[kept]
    other = index.gather("key", row) != numbers.hashes[pairs.line]
    return Pairs(pairs.line[other], row[other], pairs.way[other], pairs.affix[other])


def _one_edit(keys: Keys, index: Index, pairs: tuple[I32, I64, Any, I32]) -> I32:
    """Return how pairs that are equal without one sign each differ: EDIT, LETTER or 0 for more.

    At one place it is a substitution; a letter within the number, old or new, makes it LETTER. At
    two neighbouring places it is a swap if the sums of the signs are equal. `pairs` are lines,
    rows, and the places left out of each.
    """
    import numpy as np

    line, row, place, mark = pairs
    own = keys.rows[line, place].astype(np.int32)
    sums = keys.rows.sum(axis=1, dtype=np.int32)
    change = index.gather("signs", row).astype(np.int32) - sums[line]
    apart = np.abs(place.clip(max=MOST_MARK) - mark)
    letter = ((own >= ord("A")) | (own + change >= ord("A"))) & (place < keys.lengths[line] - 1)
    substituted = np.where(letter, Way.LETTER, Way.EDIT)
    swapped = np.where((apart == 1) & (change == 0), Way.EDIT, 0)
    return np.where(apart == 0, substituted, swapped).astype(np.int32)


def by_head(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose number begins with the line's."""
    at = at[numbers.keys.lengths[at] >= SHORTEST_KEY]
    keys = some_keys(numbers.keys, at)
    groups = []
    for which, row in begun_by(index, keys, MOST_BEGUN):
        line = at[which]
        fit = index.is_living(row) & (index.gather("key", row) != numbers.hashes[line])
        groups.append(as_pairs(line[fit], row[fit], Way.BEGINS))
    return joined(groups)


def by_words(matrix: I32, order: I32, index: Index, at: I64) -> Pairs:
    """Return the parts that share the most triples of rare words with the line.

    `order` are the words of the index, the rarest first.
    """
    import numpy as np

    hashes, owner = triples(matrix[at], order)
    hits = index.probe("by_triple", hashes, most=MOST_BY_WORDS)
    line = at[owner[hits.query]].astype(np.int64)
    # One sortable number a pair: fewer rows than 2^36, and at most ten triples of five words.
    pair = np.sort((line << 36) | hits.row)
    first = np.flatnonzero(np.r_[True, pair[1:] != pair[:-1]]) if len(pair) else pair
    votes = np.diff(np.r_[first, len(pair)])
    line, row = pair[first] >> 36, pair[first] & ((1 << 36) - 1)
    ranked = np.sort((line << 40) | ((15 - votes) << 36) | row)
    line, row = ranked >> 40, ranked & ((1 << 36) - 1)
    kept = first_few(line, KEPT_BY_WORDS)
    return as_pairs(line[kept], row[kept], Way.WORDS)


def other_numbers_apart(pairs: Pairs, numbers: Numbers, index: Index) -> Pairs:
    """Return the pairs, those whose numbers differ in letters that no key holds as near misses."""
    import numpy as np

    ours, theirs = beyond_hashes(numbers.texts)[pairs.line], index.gather("beyond", pairs.row)
    way = np.where(ours != theirs, np.maximum(pairs.way, Way.EDIT), pairs.way)
    return Pairs(pairs.line, pairs.row, way.astype(np.int32), pairs.affix)
