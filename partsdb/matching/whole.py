"""What only the whole catalogue can answer, whether all its parts are at hand or a few of them."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import cached_property
from typing import Protocol

from partsdb.matching.readings import CatalogueEntry
from partsdb.matching.sense import Sense, sample_step
from partsdb.matching.worded import Postings, best_by_words, search_words


class Whole(Protocol):
    """The catalogue as a whole: its words, its keys, and the parts that words lead to."""

    @property
    def sense(self) -> Sense:
        """Return how much words tell, and the roles of first words."""

    def by_words(self, description: str, *, limit: int) -> list[int]:
        """Return the ids of the parts that share the rarest words of a description, best first."""

    def keys_with(self, side: str, text: str) -> Collection[str]:
        """Return the keys of numbers that begin ("prefix") or end ("suffix") with a text."""

    def known_keys(self, keys: Collection[str]) -> Collection[str]:
        """Return which of some keys are those of a number."""


class WholeInMemory:
    """All parts at hand, in order of their ids."""

    def __init__(self, entries: Sequence[CatalogueEntry], keys: Collection[str]) -> None:
        self._entries, self._keys = entries, keys

    @cached_property
    def sense(self) -> Sense:
        """Return how much words tell, and the roles of first words."""
        step = sample_step(len(self._entries))
        sampled = (entry for entry in self._entries if entry.part_id % step == 0)
        return Sense((entry.description, entry.role) for entry in sampled)

    def by_words(self, description: str, *, limit: int) -> list[int]:
        """Return the ids of the parts that share the rarest words of a description, best first."""
        held, parts = self._postings, len(self._entries)
        return best_by_words(search_words(description), held.holders, parts=parts, limit=limit)

    def keys_with(self, side: str, text: str) -> Collection[str]:
        """Return the keys of numbers that begin ("prefix") or end ("suffix") with a text."""
        has = str.startswith if side == "prefix" else str.endswith
        return [key for key in self._keys if has(key, text)]

    def known_keys(self, keys: Collection[str]) -> Collection[str]:
        """Return which of some keys are those of a number."""
        return [key for key in keys if key in self._keys]

    @cached_property
    def _postings(self) -> Postings:
        return Postings((entry.part_id, entry.description) for entry in self._entries)
