"""The parts whose number, damaged in a way that we know, is the line's: sheets and affixes."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from partsdb.matching.engine.candidates import MOST_ALIKE, by_edit
from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.hashing import (
    LONGEST,
    SUFFIX_MARK,
    finish,
    powers,
    prefix_sums,
    text_sum,
)
from partsdb.matching.engine.number_tables import SHORTEST_KEY
from partsdb.matching.engine.pairs import Numbers, Pairs, as_pairs, joined, nothing
from partsdb.matching.engine.texts import Keys, leading_zeros, some_keys
from partsdb.matching.engine.vocabulary import hashes_of
from partsdb.rules.spreadsheet import DATE, LEADING_ZEROS, SCIENTIFIC, damages

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I64, U64, Bool
    from partsdb.matching.engine.index import Index

LONGEST_AFFIX, SHORTEST_AFFIX = 6, 2
WAY_OF = {SCIENTIFIC: Way.SCIENTIFIC, DATE: Way.DATE, LEADING_ZEROS: Way.ZEROS}
# As keys write them: an umlaut falls out.
MONTHS = (
    "JAN", "FEB", "MAR", "MRZ", "MRR", "APR", "MAY", "MAI", "JUN", "JUL", "AUG", "SEP", "OCT",
    "OKT", "NOV", "DEC", "DEZ",
)  # fmt: skip
_MONTH_STARTS = tuple(int.from_bytes(month.encode(), "big") for month in MONTHS)
MAY_BE_DAMAGED = re.compile(
    r"[='\" ]*[\d.,' ]*\d(?:E\+?\d{1,3})?[ '\"]*|.*(?:\d[-/. ]+[A-ZÄ]{3,9}|[A-ZÄ]{3,9}[-/. ]*\d).*"
    r"|\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}(?: 00:00:00)?",
    re.IGNORECASE,
)


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
        if MAY_BE_DAMAGED.fullmatch(text):
            for form, name in damages(text):
                if len(form) > LONGEST or (name == DATE and not shows_date(text)):
                    continue
                forms.append(form)
                owner.append(line)
                ways.append(WAY_OF.get(name, Way.VALUE))
    hits = index.probe("by_form", hashes_of(forms), most=MOST_ALIKE)
    owners, way = np.array(owner, dtype=np.int64), np.array(ways, dtype=np.int32)
    found.append(as_pairs(owners[hits.query], hits.row, Way.VALUE))
    found[-1].way[:] = way[hits.query]
    typed = [i for i, form in enumerate(forms) if form.startswith("n:")]
    plain = index.probe("by_key", hashes_of([forms[i][2:] for i in typed]), most=MOST_ALIKE)
    found.append(
        as_pairs(owners[np.array(typed, dtype=np.int64)][plain.query], plain.row, Way.VALUE)
    )
    return joined(found)


def shows_date(text: str) -> bool:
    """Say whether a code has the mark that a sheet shows in a date: "JAN4418" was typed."""
    return any(mark in text for mark in "-/. ")


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
    import numpy as np

    digits: Bool = np.all(keys.rows[at] <= ord("9"), axis=1)
    return digits


def _by_value(numbers: Numbers, index: Index, at: I64) -> Pairs:
    """Return the parts that differ from a line of figures alone by leading zeros or empty decimals.

    The form is "n:" and the figures without leading zeros (see `rules.spreadsheet.damages`).
    """
    import numpy as np

    tables = powers()
    zeros = leading_zeros(some_keys(numbers.keys, at))
    rest = numbers.sums[at, -1] - numbers.sums[at, zeros]
    rest = rest * tables.inverse[zeros] * tables.power[2]
    hits = index.probe("by_form", finish(rest + np.uint64(text_sum("n:"))), most=MOST_ALIKE)
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
    hits = index.probe("by_key", hashes, most=MOST_ALIKE)
    same = index.gather("key", hits.row) == hashes[hits.query]
    query = hits.query[same]
    found = as_pairs(at[query], hits.row[same], way, affix[query])
    if taught is None or not len(taught):
        return [found]
    bare = np.flatnonzero(np.isin(affix, taught))
    near = by_edit(_stripped(numbers.keys, at[bare], length, way), index)
    return [found, Pairs(at[bare][near.line], near.row, near.way, near.affix)]


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
    letters: Bool = np.any(keys.rows[at[:, None], place] >= ord("A"), axis=1)
    return letters
