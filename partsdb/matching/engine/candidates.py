"""The parts that a line may mean: by its number, by what may have happened to it, by its words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partsdb.matching.engine.build import SHORTEST_KEY, fold_hashes, triples
from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.hashing import (
    SUFFIX_MARK,
    finish,
    hashes_without_one,
    powers,
    prefix_sums,
    text_sum,
)
from partsdb.matching.engine.heads import heads
from partsdb.matching.engine.tables import MOST_MARK
from partsdb.matching.engine.texts import Keys, folded, leading_zeros, number_keys
from partsdb.matching.engine.vocabulary import hashes_of
from partsdb.rules.spreadsheet import DATE, LEADING_ZEROS, SCIENTIFIC, damages

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, I64, U64, Bool
    from partsdb.matching.engine.index import Index

LONGEST_AFFIX, SHORTEST_AFFIX = 6, 2
# How many parts one number or one triple of words may lead to.
_MOST_ALIKE, _MOST_NEAR, _MOST_BEGUN, _MOST_BY_WORDS = 40, 64, 60, 60
_KEPT_BY_WORDS = 15
_WAY_OF = {SCIENTIFIC: Way.SCIENTIFIC, DATE: Way.DATE, LEADING_ZEROS: Way.ZEROS}
# As keys write them: an umlaut falls out.
_MONTHS = "JAN FEB MAR MRZ MRR APR MAY MAI JUN JUL AUG SEP OCT OKT NOV DEC DEZ"
_MONTH_STARTS = tuple(int.from_bytes(month.encode(), "big") for month in _MONTHS.split())
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
    """Return the parts whose number is the line's once look-alikes are folded, zeros kept.

    Look-alikes that only changed places are a transposition, so they are left to `by_edit`.
    """
    import numpy as np

    at = at[numbers.keys.lengths[at] > 0]
    keys = _some(numbers.keys, at)
    hashes = fold_hashes(keys)
    zeros = leading_zeros(folded(keys))
    hits = index.probe("by_fold", hashes, most=_MOST_ALIKE)
    same = index.gather("fold", hits.row) == hashes[hits.query]
    same &= index.gather("zeros", hits.row) == zeros[hits.query]
    signs = keys.rows.sum(axis=1, dtype=np.uint16)
    same &= index.gather("signs", hits.row) != signs[hits.query]
    line: I64 = at[hits.query][same].astype(np.int64)
    return as_pairs(line, hits.row[same], Way.LOOKALIKE)


def by_form(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts whose number a spreadsheet turns into the line's."""
    import numpy as np

    digits = _is_digits(numbers.keys, at)
    whole = [
        i
        for i in at[digits].tolist()
        if numbers.texts[i].isdecimal() and len(numbers.texts[i]) <= 15
    ]
    lost = np.array(whole, dtype=np.int64)
    found = [_by_value(numbers, index, lost)]
    forms: list[str] = []
    owner: list[int] = []
    ways: list[int] = []
    for line in _may_be_damaged(numbers.keys, np.setdiff1d(at, lost)).tolist():
        text = numbers.texts[line]
        if _MAY_BE_DAMAGED.fullmatch(text):
            # A sheet shows a date with a mark in it: "JAN4418" was typed, not made.
            shown_date = any(mark in text for mark in "-/. ")
            for form, name in damages(text):
                if name == DATE and not shown_date:
                    continue
                forms.append(form)
                owner.append(line)
                ways.append(_WAY_OF.get(name, Way.VALUE))
    hits = index.probe("by_form", hashes_of(forms), most=_MOST_ALIKE)
    owners, way = np.array(owner, dtype=np.int64), np.array(ways, dtype=np.int32)
    found.append(as_pairs(owners[hits.query], hits.row, Way.VALUE))
    found[-1].way[:] = way[hits.query]
    typed = [i for i, form in enumerate(forms) if form.startswith("n:")]
    plain = index.probe("by_key", hashes_of([forms[i][2:] for i in typed]), most=_MOST_ALIKE)
    found.append(
        as_pairs(owners[np.array(typed, dtype=np.int64)][plain.query], plain.row, Way.VALUE)
    )
    return joined(found)


def _may_be_damaged(keys: Keys, at: I64) -> I64:
    """Return the lines whose key begins with a figure or a month: a sheet spares all others."""
    import numpy as np

    rows = keys.rows[at]
    figure = rows[:, 0] <= ord("9")
    if rows.shape[1] < 3:
        return at[figure]
    start = (rows[:, 0].astype(np.int32) << 16) | (rows[:, 1].astype(np.int32) << 8) | rows[:, 2]
    return at[figure | np.isin(start, _MONTH_STARTS)]


def _is_digits(keys: Keys, at: I64) -> Bool:
    """Say which keys are figures alone."""
    digits: Bool = (keys.rows[at] <= ord("9")).all(axis=1)
    return digits


def _by_value(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts that differ from a line of figures alone by leading zeros or empty decimals.

    The form is "n:" and the figures without leading zeros (see `rules.spreadsheet.damages`).
    """
    import numpy as np

    tables = powers()
    zeros = leading_zeros(_some(numbers.keys, at))
    rest = numbers.sums[at, -1] - numbers.sums[at, zeros]
    rest = rest * tables.inverse[zeros] * tables.power[2]
    hits = index.probe("by_form", finish(rest + np.uint64(text_sum("n:"))), most=_MOST_ALIKE)
    line = at[hits.query]
    other = index.gather("key", hits.row) != numbers.hashes[line]
    return as_pairs(line[other], hits.row[other], Way.ZEROS)


def by_affix(numbers: Numbers, index: Index, at: I64, taught: U64 | None = None) -> Pairs:
    """Return the parts whose key is the line's without two to six characters at one end.

    Behind an affix of `taught`, also the parts one edit from what is left.
    """
    groups = [nothing()]
    for length in range(SHORTEST_AFFIX, LONGEST_AFFIX + 1):
        some = at[numbers.keys.lengths[at] - length >= SHORTEST_KEY]
        for way in (Way.PREFIX, Way.SUFFIX):
            if len(some):
                groups += _by_affix_of(numbers, index, some, (length, way, taught))
    return joined(groups)


def _by_affix_of(
    numbers: Numbers, index: Index, at: I64, asked: tuple[int, Way, U64 | None]
) -> list[Pairs]:
    """Return the pairs for affixes of one length at one end."""
    import numpy as np

    length, way, taught = asked
    tables = powers()
    sums, ends = numbers.sums[at], numbers.keys.lengths[at] - length
    whole = sums[:, -1]
    if way == Way.PREFIX:
        affix = finish(sums[:, length])
        hashes = finish((whole - sums[:, length]) * tables.inverse[length])
    else:
        left = sums[np.arange(len(at)), ends]
        affix = finish((whole - left) * tables.inverse[ends] + np.uint64(SUFFIX_MARK))
        hashes = finish(left)
    affix = np.where(_has_letter(numbers.keys, at, length, way), affix, np.uint64(0))
    hits = index.probe("by_key", hashes, most=_MOST_ALIKE)
    same = index.gather("key", hits.row) == hashes[hits.query]
    query = hits.query[same]
    found = as_pairs(at[query], hits.row[same], way, affix[query])
    if taught is None or not len(taught):
        return [found]
    bare = np.flatnonzero(np.isin(affix, taught))
    near = by_edit(_stripped(numbers.keys, at[bare], length, way), index)
    return [found, as_pairs(at[bare][near.line], near.row, Way.EDIT)]


def _stripped(keys: Keys, at: I64, length: int, way: Way) -> Numbers:
    """Return what is left of some keys without an affix."""
    import numpy as np

    rows, lengths = keys.rows[at], keys.lengths[at] - length
    if way == Way.PREFIX:
        rows = rows[:, length:]
    else:
        rows = np.where(np.arange(rows.shape[1])[None, :] < lengths[:, None], rows, 0)
    sums = prefix_sums(np.ascontiguousarray(rows, dtype=np.uint8))
    return Numbers((), Keys(rows.astype(np.uint8), lengths), sums, finish(sums[:, -1]))


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


def by_edit(numbers: Numbers, index: Index) -> Pairs:
    """Return the parts whose key is one substitution, swap, insertion or deletion away."""
    import numpy as np

    at = np.flatnonzero(numbers.keys.lengths >= SHORTEST_KEY)
    keys = _some(numbers.keys, at)
    lost, owner, place = hashes_without_one(numbers.sums[at], keys.rows, keys.lengths)
    both = index.probe("by_lost", lost, most=_MOST_NEAR)
    longer = index.probe("by_key", lost, most=_MOST_ALIKE)
    shorter = index.probe("by_lost", numbers.hashes[at], most=_MOST_NEAR)
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


def by_words(matrix: I32, order: I32, index: Index, at: I64) -> Pairs:
    """Return the parts that share the most triples of rare words with the line.

    `order` are the words of the index, the rarest first.
    """
    import numpy as np

    hashes, owner = triples(matrix[at], order)
    hits = index.probe("by_triple", hashes, most=_MOST_BY_WORDS)
    line = at[owner[hits.query]].astype(np.int64)
    # One sortable number a pair: fewer rows than 2^36, and at most ten triples of five words.
    pair = np.sort((line << 36) | hits.row)
    first = np.flatnonzero(np.r_[True, pair[1:] != pair[:-1]]) if len(pair) else pair
    votes = np.diff(np.r_[first, len(pair)])
    line, row = pair[first] >> 36, pair[first] & ((1 << 36) - 1)
    ranked = np.sort((line << 40) | ((15 - votes) << 36) | row)
    line, row = ranked >> 40, ranked & ((1 << 36) - 1)
    kept = first_few(line, _KEPT_BY_WORDS)
    return as_pairs(line[kept], row[kept], Way.WORDS)


def first_few(line: I64, few: int) -> Bool:
    """Mark the first few of each line; equal lines stand together."""
    import numpy as np

    fresh = np.ones(len(line), dtype=np.bool_)
    fresh[1:] = line[1:] != line[:-1]
    place = np.arange(len(line))
    marks: Bool = place - np.maximum.accumulate(np.where(fresh, place, 0)) < few
    return marks


def _some(keys: Keys, at: I64) -> Keys:
    return Keys(keys.rows[at], keys.lengths[at])
