"""Finds which of many keys are one edit from a key: substitution, swap, insertion or deletion."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import TYPE_CHECKING

from partsdb.rules.numbers import one_edit_keys

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Asked less often, trying every edit of the key is cheaper than building the table.
_ASKED_OFTEN = 500


class NearKeys:
    """Keys searched for those one edit away; both ways find the same."""

    def __init__(self, keys: Iterable[str]) -> None:
        self._keys = list(keys)
        self._known = frozenset(self._keys)
        self._asked = 0
        self._table: tuple[NDArray[np.int64], NDArray[np.int64]] | None = None

    def near(self, key: str) -> set[str]:
        """Return the keys one edit from `key`, itself left out."""
        self._asked += 1
        return self.by_table(key) if self._asked > _ASKED_OFTEN else self.by_edits(key)

    def by_edits(self, key: str) -> set[str]:
        """Return the keys among every edit of `key`."""
        return {near for near in one_edit_keys(key) if near in self._known and near != key}

    def by_table(self, key: str) -> set[str]:
        """Return the keys that become `key`, or the same as `key`, when a sign is left out.

        Two keys one edit apart share such a rest; what shares one is then compared sign by sign.
        """
        import numpy as np
        from rapidfuzz.distance import OSA

        hashes, places = self._built()
        asked = np.fromiter(map(hash, _rests(key)), np.int64)
        starts = np.searchsorted(hashes, asked, "left")
        ends = np.searchsorted(hashes, asked, "right")
        found = {
            self._keys[place]
            for start, end in zip(starts.tolist(), ends.tolist(), strict=True)
            for place in places[start:end].tolist()
        }
        return {near for near in found if near != key and OSA.distance(near, key) == 1}

    def _built(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return the hashes of the rests of all keys in order, and the key that each is of."""
        import numpy as np

        if self._table is None:
            rests = chain.from_iterable(map(_rests, self._keys))
            hashes = np.fromiter(map(hash, rests), np.int64)
            places = np.repeat(
                np.arange(len(self._keys)), np.fromiter((len(k) + 1 for k in self._keys), np.int64)
            )
            order = np.argsort(hashes, kind="stable")
            self._table = hashes[order], places[order]
        return self._table


def _rests(key: str) -> Iterator[str]:
    """Yield the key and what is left of it without one sign."""
    yield key
    for at in range(len(key)):
        yield key[:at] + key[at + 1 :]
