"""Every part to which the numbers of a list may lead by the rules for one line, and more rather.

`hits` and `catalogue` find what a number means among the parts that they are given. This gives
them, out of a whole catalogue's index, all parts that they could find: equal keys and folds, folds
one edit away, a spreadsheet's forms, other letters in front, signs cut off. The tables cut their
hashes short, so that a few others come along; the rules look again at each.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from partsdb.matching.engine.hashing import LONGEST, hashes_without_one
from partsdb.matching.engine.heads import HEAD_LENGTH, begun_by
from partsdb.matching.engine.number_tables import SHORTEST_KEY
from partsdb.matching.engine.pairs import Numbers
from partsdb.matching.engine.tables import MOST_MARK, Queries
from partsdb.matching.engine.texts import short_key, some_keys
from partsdb.matching.engine.vocabulary import distinct, hashes_of
from partsdb.rules.numbers import number_fold
from partsdb.rules.spreadsheet import damages

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I64
    from partsdb.matching.engine.index import Index

_ALL = 1 << 30
# Beyond so many parts that begin with a number the rules propose none of them (`catalogue`).
_MOST_BEGUN = 2_000
# Numbers looked up at once.
_SLICE = 20_000


def parts_with_keys(index: Index, keys: Iterable[str]) -> set[int]:
    """Return the ids of the parts whose number has one of the keys."""
    known = [short_key(key) for key in keys if key]
    rows = index.probe("by_key", hashes_of(known), most=_ALL).row
    return _ids(index, [rows])


def related_parts(index: Index, numbers: Iterable[str], *, bare: Iterable[str]) -> set[int]:
    """Return the ids of the parts that any of the numbers may mean, damaged or not.

    `bare` are the keys of the numbers without the letters in front.
    """
    found: set[int] = set()
    every = list(dict.fromkeys(numbers))
    for start in range(0, len(every), _SLICE):
        some = every[start : start + _SLICE]
        keys = Numbers.of(some)
        rows = [*_by_fold(index, some), *_by_form(index, some), _begun(index, keys)]
        found |= _ids(index, rows)
    hashes = hashes_of([key for key in dict.fromkeys(bare) if len(key) <= LONGEST])
    rows = [index.probe(table, hashes, most=_ALL).row for table in ("by_bare", "by_key")]
    return found | _ids(index, rows)


def _ids(index: Index, rows: Sequence[I64]) -> set[int]:
    import numpy as np

    return set(index.gather("part_id", distinct(np.concatenate(rows))).tolist())


def _by_fold(index: Index, numbers: Sequence[str]) -> list[I64]:
    """Return the rows whose fold is a number's, or one edit from it."""
    import numpy as np

    folds = Numbers.of([fold for fold in map(number_fold, numbers) if 0 < len(fold) <= LONGEST])
    same = index.probe("by_fold", folds.hashes, most=_ALL).row
    at = np.flatnonzero(folds.keys.lengths >= SHORTEST_KEY)
    keys = some_keys(folds.keys, at)
    hashes, _, place = hashes_without_one(folds.sums[at], keys.rows, keys.lengths)
    lost, whole = Queries(hashes), Queries(folds.hashes[at])
    shorter = index.probe("by_fold", lost, most=_ALL).row
    longer = [index.probe(table, whole, most=_ALL).row for table in _NEAR]
    alike = [_one_sign_apart(index, table, lost, place) for table in _NEAR]
    return [same, shorter, *longer, *alike]


# Numbers that are their own fold stand in the first table, all others in the second.
_NEAR = ("by_lost", "by_near")


def _one_sign_apart(index: Index, table: str, lost: Queries, place: I64) -> I64:
    """Return the rows equal to a number once each has lost a sign at the same place or the next."""
    import numpy as np

    hits = index.probe(table, lost, most=_ALL)
    apart = np.abs(np.minimum(place[hits.query], MOST_MARK) - hits.mark)
    return hits.row[apart <= 1]


def _by_form(index: Index, numbers: Sequence[str]) -> list[I64]:
    """Return the rows whose number a spreadsheet may have turned into one of these."""
    damaged = (form for number in numbers for form, _ in damages(number))
    forms = list(dict.fromkeys(form for form in damaged if len(form) <= LONGEST))
    # Plain figures have no form of their own in the table: their key finds them.
    plain = [form[2:] for form in forms if form.startswith("n:")]
    return [
        index.probe("by_form", hashes_of(forms), most=_ALL).row,
        index.probe("by_key", hashes_of(plain), most=_ALL).row,
    ]


def _begun(index: Index, numbers: Numbers) -> I64:
    """Return the rows whose number begins with one of these; of very many the first."""
    import numpy as np

    at = np.flatnonzero(numbers.keys.lengths >= SHORTEST_KEY)
    keys = some_keys(numbers.keys, at)
    # The table knows twelve signs: numbers longer than that are told apart by the rules.
    most = np.where(keys.lengths > HEAD_LENGTH, _ALL, _MOST_BEGUN)
    groups = [np.zeros(0, dtype=np.int64)]
    groups += [row[index.is_living(row)] for _, row in begun_by(index, keys, most)]
    return np.concatenate(groups)
