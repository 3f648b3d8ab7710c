"""Learns from a list itself which prefix or suffix a supplier puts on the makers' numbers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.context import ListContext
from partsdb.matching.facts import LineFacts, ListFacts
from partsdb.matching.traits import AGREES, compare
from partsdb.rules.numbers import number_key

_LONGEST = 6
_SHORTEST, _SHORTEST_REST = 2, 4
# An affix is believed when so many lines bear it and their descriptions agree with what is left.
_LEAST_LINES = 5
_LEAST_SHARE = 0.8
# It must not be what tells two parts of the catalogue apart ("24-1180" and "24-1180A").
_TELLS_APART = 3


@dataclass(frozen=True, slots=True)
class Affix:
    """A prefix or suffix learned from a list: its side, its signs, how many lines bear it."""

    side: str
    text: str
    lines: int

    def stripped(self, key: str) -> str:
        """Return `key` without the affix, "" when it does not bear it or too little is left."""
        has_it = key.startswith(self.text) if self.side == "prefix" else key.endswith(self.text)
        rest = key[len(self.text) :] if self.side == "prefix" else key[: -len(self.text)]
        return rest if has_it and len(rest) >= _SHORTEST_REST else ""


def learned_affixes(
    facts: ListFacts, index: CatalogueIndex, places: Iterable[int]
) -> tuple[Affix, ...]:
    """Return the affixes that the codes of the lines at `places` bear, the most frequent first."""
    supported: Counter[tuple[str, str]] = Counter()
    opposed: Counter[tuple[str, str]] = Counter()
    for at in places:
        line = facts.lines[at]
        key = number_key(line.maker_number or line.code)
        if not key or index.with_key(key):
            continue
        for side, text, rest in splits(key):
            places = index.with_key(rest)
            if places:
                likely = any(_speaks_for(facts[at], p, index, facts.context) for p in places)
                (supported if likely else opposed)[side, text] += 1
    found = [
        Affix(side, text, count)
        for (side, text), count in supported.items()
        if count >= _LEAST_LINES and count >= _LEAST_SHARE * (count + opposed[side, text])
    ]
    kept = [affix for affix in found if affix.lines > _TELLS_APART * _pairs_apart(affix, index)]
    return tuple(sorted(kept, key=lambda affix: (-affix.lines, affix.side, affix.text)))


def splits(key: str) -> Iterator[tuple[str, str, str]]:
    """Yield side, text and the rest of every affix that a key may bear."""
    for length in range(_SHORTEST, min(_LONGEST, len(key) - _SHORTEST_REST) + 1):
        yield "prefix", key[:length], key[length:]
        yield "suffix", key[-length:], key[:-length]


def _speaks_for(facts: LineFacts, place: int, index: CatalogueIndex, context: ListContext) -> bool:
    likeness = compare(facts, place, index, context)
    return likeness.outcome("piece") == AGREES and not likeness.contradictions()


def _pairs_apart(affix: Affix, index: CatalogueIndex) -> int:
    """Count the pairs of numbers in the catalogue that differ by the affix alone."""
    bearing = index.whole.keys_with(affix.side, affix.text)
    return len(index.whole.known_keys({rest for rest in map(affix.stripped, bearing) if rest}))
