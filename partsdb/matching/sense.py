"""What a catalogue's descriptions say as a whole: how much a word tells, what first words mean.

Of a large catalogue a sample speaks. Which parts are in it follows from their ids and number
alone, so that whoever holds the whole catalogue and whoever asks a database for the sample weigh
every word alike.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from math import log

from partsdb.rules.descriptions import words_of
from partsdb.rules.measures import plain_measures

# More descriptions hardly change what a word weighs, and reading them takes time.
SAMPLED = 20_000
_LETTERS = re.compile(r"[^\W\d_]+")


def sample_step(parts: int) -> int:
    """Return n: of a catalogue of so many parts those are sampled whose id is a multiple of n."""
    return max(1, -(-parts // SAMPLED))


class Sense:
    """Weights of words and roles of first words, from (description, role) of the sampled parts."""

    def __init__(self, sample: Iterable[tuple[str, str]]) -> None:
        counts: Counter[str] = Counter()
        roles: dict[tuple[str, ...], set[str]] = {}
        self._parts = 0
        for description, role in sample:
            self._parts += 1
            counts.update(set(words_of(plain_measures(description))))
            if role:
                roles.setdefault(_leading(description), set()).add(role)
        self._counts = counts
        self._weights: dict[str, float] = {}
        roles.pop((), None)
        self._roles = {words: min(found) for words, found in roles.items() if len(found) == 1}

    def weight(self, word: str) -> float:
        """Return how much a word tells apart: the logarithm of the share of parts without it."""
        known = self._weights.get(word)
        if known is None:
            known = log((self._parts + 1) / (self._counts[word] + 0.5))
            self._weights[word] = known
        return known

    def leading_role(self, description: str) -> str:
        """Return the role that the catalogue's own descriptions beginning so have, if but one.

        A list in the catalogue's manner but without its commas ("FILTER MANIFOLD 60 MESH") turns
        the order of nouns round; the catalogue shows how it is meant.
        """
        return self._roles.get(_leading(description), "")


def _leading(description: str) -> tuple[str, ...]:
    """Return the first two words, in lower case; empty when there is only one."""
    words = tuple(_LETTERS.findall(description.casefold()[:60])[:2])
    return words if len(words) == 2 else ()
