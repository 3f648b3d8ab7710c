"""The catalogue as the matcher searches it: dictionaries by key, fold and spreadsheet form."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from partsdb.matching.engine.hashing import LONGEST
from partsdb.matching.near import NearKeys
from partsdb.matching.readings import CatalogueEntry
from partsdb.matching.whole import Whole, WholeInMemory
from partsdb.rules.descriptions import Description, parse
from partsdb.rules.numbers import number_fold, number_key, spreadsheet_forms

# A code cut short by a narrow field loses a few signs; more would fit too many numbers.
CUT_SIGNS = 4
SHORTEST = 4
# A code with which more numbers than these begin says nothing of which of them was cut.
MOST_EXTENDED = 200
_LETTERS_FIRST = re.compile(r"[A-Z]+")


def bare_key(key: str) -> str:
    """Return a key without the letters in front, "" when what is left can mean no number."""
    lettered = _LETTERS_FIRST.match(key)
    bare = key[lettered.end() :] if lettered else key
    return bare if len(bare) > SHORTEST and len(key) <= LONGEST else ""


class CatalogueIndex:
    """Finds parts by number or by words; holds places in `entries`, which stand in order of id.

    A number beyond `LONGEST` signs is a text in the wrong column: only its very key finds it.

    Without `whole` the entries are the whole catalogue. With it they may be a few of its parts,
    among them all that the numbers to be looked up can lead to.
    """

    def __init__(self, catalogue: Iterable[CatalogueEntry], whole: Whole | None = None) -> None:
        self.entries = tuple(sorted(catalogue, key=lambda entry: entry.part_id))
        self.by_key: dict[str, list[int]] = defaultdict(list)
        self.by_fold: dict[str, list[int]] = defaultdict(list)
        self.by_form: dict[str, list[int]] = defaultdict(list)
        for place, entry in enumerate(self.entries):
            self.by_key[number_key(entry.number)].append(place)
            fold = number_fold(entry.number)
            if len(fold) <= LONGEST:
                self.by_fold[fold].append(place)
            for form in sorted(spreadsheet_forms(entry.number)):
                self.by_form[form].append(place)
        self.by_key.pop("", None)
        self.by_fold.pop("", None)
        self.whole: Whole = whole or WholeInMemory(self.entries, self.by_key)

    def described(self, place: int) -> Description:
        """Return the parsed description of the part at `place`."""
        return parse(self.entries[place].description)

    def role(self, place: int) -> str:
        """Return the part's role, read from its description when the catalogue does not say it."""
        return self.entries[place].role or self.described(place).role

    def with_key(self, key: str) -> list[int]:
        """Return the places of the parts whose number has this key."""
        return self.by_key.get(key, [])

    def neighbours(self, code: str) -> list[int]:
        """Return the places of the parts whose number is one edit from `code`, zeros and all.

        Folds are compared, so that a slip is found beside look-alikes and lost leading zeros.
        """
        fold = number_fold(code)
        if len(fold) < SHORTEST:
            return []
        near = self._near_folds.near(fold)
        return sorted(place for near_fold in near for place in self.by_fold[near_fold])

    def extended(self, key: str) -> list[int]:
        """Return the places of the parts whose key is `key` with a few signs more at its end."""
        if len(key) < SHORTEST:
            return []
        keys, found, seen = self._sorted_keys, [], 0
        for at in range(bisect_left(keys, key), len(keys)):
            if not keys[at].startswith(key):
                break
            if keys[at] == key:
                continue
            seen += len(self.by_key[keys[at]])
            if seen > MOST_EXTENDED:
                return []
            if len(keys[at]) - len(key) <= CUT_SIGNS:
                found.extend(self.by_key[keys[at]])
        return sorted(found)

    def without_letters(self, key: str) -> list[int]:
        """Return the places of the parts that differ from `key` by the letters in front alone."""
        bare = bare_key(key)
        if not bare:
            return []
        return sorted({*self._by_bare.get(bare, ()), *self.with_key(bare)} - {*self.with_key(key)})

    def by_words(self, description: str, *, limit: int) -> list[int]:
        """Return the places of the parts that share a description's rarest words, best first."""
        found = self.whole.by_words(description, limit=limit)
        return [self._places[part_id] for part_id in found]

    def weight(self, word: str) -> float:
        """Return how much a word tells apart in the whole catalogue."""
        return self.whole.sense.weight(word)

    @cached_property
    def _places(self) -> dict[int, int]:
        return {entry.part_id: place for place, entry in enumerate(self.entries)}

    @cached_property
    def _sorted_keys(self) -> list[str]:
        return sorted(self.by_key)

    @cached_property
    def _near_folds(self) -> NearKeys:
        return NearKeys(self.by_fold)

    @cached_property
    def _by_bare(self) -> dict[str, list[int]]:
        """Return the places by the key without its letters in front, where it has some."""
        bare: dict[str, list[int]] = defaultdict(list)
        for key, places in self.by_key.items():
            rest = bare_key(key)
            if rest and rest != key:
                bare[rest].extend(places)
        return bare
