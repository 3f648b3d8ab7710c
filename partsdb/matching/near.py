"""Finds which of many keys are one edit from a key: substitution, swap, insertion or deletion."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from partsdb.matching.engine.hashing import LONGEST, deletion_hashes, text_hash
from partsdb.rules.numbers import one_edit_keys

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Asked less often, trying every edit of the key is cheaper than building any table.
_ASKED_OFTEN = 500
# Of so many keys a dictionary of what is left of each is small, and answers at once.
_FEW_KEYS = 20_000
# A longer key is a text in the wrong column; its neighbours would be longer than the table knows.
LONGEST_ASKED = LONGEST - 1
_SLICE = 50_000


class NearKeys:
    """Keys of A-Z and 0-9 searched for those one edit away; every way finds the same."""

    def __init__(self, keys: Iterable[str]) -> None:
        self._keys = [key for key in keys if len(key) <= LONGEST]
        self._known = frozenset(self._keys)
        self._asked = 0
        self._table: tuple[NDArray[np.uint64], NDArray[np.int64]] | None = None
        self._by_rest: dict[str, list[str]] = {}

    def near(self, key: str) -> set[str]:
        """Return the keys one edit from `key`, itself left out; none for a key beyond reason."""
        if len(key) > LONGEST_ASKED:
            return set()
        self._asked += 1
        if self._asked <= _ASKED_OFTEN:
            return self.by_edits(key)
        return self.by_rests(key) if len(self._keys) <= _FEW_KEYS else self.by_table(key)

    def by_edits(self, key: str) -> set[str]:
        """Return the keys among every edit of `key`."""
        return {near for near in one_edit_keys(key) if near in self._known and near != key}

    def by_rests(self, key: str) -> set[str]:
        """Return the keys that become `key`, or the same as `key`, when a sign is left out.

        Two keys one edit apart share such a rest; what shares one is then compared sign by sign.
        """
        if not self._by_rest:
            for each in self._keys:
                for rest in _rests_of(each):
                    self._by_rest.setdefault(rest, []).append(each)
        found = {near for rest in _rests_of(key) for near in self._by_rest.get(rest, ())}
        return _one_edit_from(key, found)

    def by_table(self, key: str) -> set[str]:
        """Return what `by_rests` does, by a table of hashes: a tenth of the dictionary's size."""
        import numpy as np

        if not self._keys:
            return set()
        hashes, places = self._built()
        rests = {text_hash(key), *(value for value, _ in deletion_hashes(key))}
        asked = np.array(sorted(rests), dtype=np.uint64)
        starts = np.searchsorted(hashes, asked, "left").tolist()
        ends = np.searchsorted(hashes, asked, "right").tolist()
        found = {
            self._keys[place]
            for start, end in zip(starts, ends, strict=True)
            for place in places[start:end].tolist()
        }
        return _one_edit_from(key, found)

    def _built(self) -> tuple[NDArray[np.uint64], NDArray[np.int64]]:
        """Return the hashes of the rests of all keys in order, and the key that each is of."""
        import numpy as np

        if self._table is None:
            slices = range(0, len(self._keys), _SLICE)
            pieces = [_rests(self._keys[start : start + _SLICE], start) for start in slices]
            hashes = np.concatenate([piece[0] for piece in pieces])
            places = np.concatenate([piece[1] for piece in pieces])
            order = np.argsort(hashes, kind="stable")
            self._table = hashes[order], places[order]
        return self._table


def _rests_of(key: str) -> set[str]:
    """Return `key` itself and what is left of it without each of its signs."""
    return {key, *(key[:at] + key[at + 1 :] for at in range(len(key)))}


def _one_edit_from(key: str, found: set[str]) -> set[str]:
    found.discard(key)
    if not found:
        return found
    from rapidfuzz.distance import OSA

    return {near for near in found if OSA.distance(near, key) == 1}


def _rests(keys: list[str], first: int) -> tuple[NDArray[np.uint64], NDArray[np.int64]]:
    """Return the hashes of some keys and of what is left of each without one sign, and whose."""
    import numpy as np

    from partsdb.matching.engine.hashing import finish, hashes_without_one, prefix_sums
    from partsdb.matching.engine.vocabulary import word_rows

    rows, lengths = word_rows(keys)
    sums = prefix_sums(rows)
    lost, owner, _ = hashes_without_one(sums, rows, lengths)
    hashes = np.concatenate([finish(sums[:, -1]), lost])
    return hashes, np.concatenate([np.arange(len(keys)), owner]).astype(np.int64) + first
