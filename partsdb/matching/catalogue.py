"""The catalogue as the matcher searches it: dictionaries by key, fold and spreadsheet form."""

from __future__ import annotations

import re
from array import array
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property
from heapq import nsmallest
from math import log

from partsdb.matching.near import NearKeys
from partsdb.matching.readings import CatalogueEntry
from partsdb.rules.descriptions import Description, parse, words_of
from partsdb.rules.measures import plain_measures
from partsdb.rules.numbers import number_fold, number_key, spreadsheet_forms

_LETTERS = re.compile(r"[^\W\d_]+")
# A code cut short by a narrow field loses a few signs; more would fit too many numbers.
_CUT_SIGNS = 4
_SHORTEST = 4
# Of a line's words the rarest are looked up, until so many entries have been seen: the common ones
# tell nothing apart and stand in nearly every description.
_ENTRIES_SEEN = 5000
_LETTERS_FIRST = re.compile(r"[A-Z]+")


class CatalogueIndex:
    """Finds parts by number or by words; holds places in `entries`, which stand in order of id."""

    def __init__(self, catalogue: Iterable[CatalogueEntry]) -> None:
        self.entries = tuple(sorted(catalogue, key=lambda entry: entry.part_id))
        self.by_key: dict[str, list[int]] = defaultdict(list)
        self.by_fold: dict[str, list[int]] = defaultdict(list)
        self.by_form: dict[str, list[int]] = defaultdict(list)
        for place, entry in enumerate(self.entries):
            self.by_key[number_key(entry.number)].append(place)
            self.by_fold[number_fold(entry.number)].append(place)
            for form in sorted(spreadsheet_forms(entry.number)):
                self.by_form[form].append(place)
        self._weights: dict[str, float] = {}
        self.by_key.pop("", None)
        self.by_fold.pop("", None)

    def described(self, place: int) -> Description:
        """Return the parsed description of the part at `place`."""
        return parse(self.entries[place].description)

    def role(self, place: int) -> str:
        """Return the part's role, read from its description when the catalogue does not say it."""
        return self.entries[place].role or self.described(place).role

    def leading_role(self, description: str) -> str:
        """Return the role that the catalogue's own descriptions beginning so have, if but one.

        A list in the catalogue's manner but without its commas ("FILTER MANIFOLD 60 MESH") turns
        the order of nouns round; the catalogue shows how it is meant.
        """
        return self._leading_roles.get(_leading(description), "")

    def with_key(self, key: str) -> list[int]:
        """Return the places of the parts whose number has this key."""
        return self.by_key.get(key, [])

    def neighbours(self, code: str) -> list[int]:
        """Return the places of the parts whose number is one edit from `code`, zeros and all.

        Folds are compared, so that a slip is found beside look-alikes and lost leading zeros.
        """
        fold = number_fold(code)
        if len(fold) < _SHORTEST:
            return []
        near = self._near_folds.near(fold)
        return sorted(place for near_fold in near for place in self.by_fold[near_fold])

    def extended(self, key: str) -> list[int]:
        """Return the places of the parts whose key is `key` with a few signs more at its end."""
        if len(key) < _SHORTEST:
            return []
        keys = self._sorted_keys
        found = []
        for at in range(bisect_left(keys, key), len(keys)):
            if not keys[at].startswith(key):
                break
            if 0 < len(keys[at]) - len(key) <= _CUT_SIGNS:
                found.extend(self.by_key[keys[at]])
        return sorted(found)

    def without_letters(self, key: str) -> list[int]:
        """Return the places of the parts that differ from `key` by the letters in front alone."""
        lettered = _LETTERS_FIRST.match(key)
        bare = key[lettered.end() :] if lettered else key
        if len(bare) <= _SHORTEST:
            return []
        return sorted({*self._by_bare.get(bare, ()), *self.with_key(bare)} - {*self.with_key(key)})

    def by_words(self, words: Iterable[str], *, limit: int) -> list[int]:
        """Return the places of the `limit` parts that share the rarest of `words`, best first."""
        scores: dict[int, float] = defaultdict(float)
        seen = 0
        for word in sorted(set(words), key=lambda each: (-self.weight(each), each)):
            places = self._postings.get(word, ())
            if seen and seen + len(places) > _ENTRIES_SEEN:
                break
            seen += len(places)
            weight = self.weight(word)
            for place in places:
                scores[place] += weight
        return nsmallest(limit, scores, key=lambda place: (-scores[place], place))

    def weight(self, word: str) -> float:
        """Return how much a word tells apart: the logarithm of the share of parts without it."""
        known = self._weights.get(word)
        if known is None:
            known = log((len(self.entries) + 1) / (len(self._postings.get(word, ())) + 0.5))
            self._weights[word] = known
        return known

    @cached_property
    def _leading_roles(self) -> dict[tuple[str, ...], str]:
        roles: dict[tuple[str, ...], set[str]] = defaultdict(set)
        for entry in self.entries:
            if entry.role:
                roles[_leading(entry.description)].add(entry.role)
        return {words: min(found) for words, found in roles.items() if words and len(found) == 1}

    @cached_property
    def _sorted_keys(self) -> list[str]:
        return sorted(self.by_key)

    @cached_property
    def _postings(self) -> dict[str, array[int]]:
        """Return the places by word; a word's weight rests on how many there are."""
        postings: dict[str, array[int]] = defaultdict(lambda: array("l"))
        for place, entry in enumerate(self.entries):
            for word in set(words_of(plain_measures(entry.description))):
                postings[word].append(place)
        return dict(postings)

    @cached_property
    def _near_folds(self) -> NearKeys:
        return NearKeys(self.by_fold)

    @cached_property
    def _by_bare(self) -> dict[str, list[int]]:
        """Return the places by the key without its letters in front, where it has some."""
        bare: dict[str, list[int]] = defaultdict(list)
        for key, places in self.by_key.items():
            if lettered := _LETTERS_FIRST.match(key):
                bare[key[lettered.end() :]].extend(places)
        return bare


def _leading(description: str) -> tuple[str, ...]:
    """Return the first two words, in lower case; empty when there is only one."""
    words = tuple(_LETTERS.findall(description.casefold()[:60])[:2])
    return words if len(words) == 2 else ()
