"""Learns from a list itself which prefix or suffix a supplier puts on the makers' numbers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.context import ListContext
from partsdb.matching.facts import LineFacts
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
    lines: Iterable[LineFacts], index: CatalogueIndex, context: ListContext
) -> tuple[Affix, ...]:
    """Return the affixes that the list's codes bear, the most frequent first."""
    supported: Counter[tuple[str, str]] = Counter()
    opposed: Counter[tuple[str, str]] = Counter()
    for facts in lines:
        key = number_key(facts.line.maker_number or facts.line.code)
        if not key or index.with_key(key):
            continue
        for side, text, rest in _splits(key, index):
            likely = any(_speaks_for(facts, p, index, context) for p in index.with_key(rest))
            (supported if likely else opposed)[side, text] += 1
    found = [
        Affix(side, text, count)
        for (side, text), count in supported.items()
        if count >= _LEAST_LINES and count >= _LEAST_SHARE * (count + opposed[side, text])
    ]
    kept = [affix for affix in found if affix.lines > _TELLS_APART * _pairs_apart(affix, index)]
    return tuple(sorted(kept, key=lambda affix: (-affix.lines, affix.side, affix.text)))


def _splits(key: str, index: CatalogueIndex) -> Iterable[tuple[str, str, str]]:
    for length in range(_SHORTEST, min(_LONGEST, len(key) - _SHORTEST_REST) + 1):
        for side, text, rest in (
            ("prefix", key[:length], key[length:]),
            ("suffix", key[-length:], key[:-length]),
        ):
            if index.with_key(rest):
                yield side, text, rest


def _speaks_for(facts: LineFacts, place: int, index: CatalogueIndex, context: ListContext) -> bool:
    likeness = compare(facts, place, index, context)
    return likeness.outcome("piece") == AGREES and not likeness.contradictions()


def _pairs_apart(affix: Affix, index: CatalogueIndex) -> int:
    """Count the pairs of numbers in the catalogue that differ by the affix alone."""
    return sum(bool(rest) and rest in index.by_key for rest in map(affix.stripped, index.by_key))
