"""Which parts share a line's rarest words: proposals for a line that no number explains.

Words are cut as the engine's index cuts them (`engine.texts`), abbreviations and German words
taken for what they stand for: parts in memory and an index on disk then lead to the same ones.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from functools import cache
from heapq import nsmallest
from math import log

from partsdb.matching.engine.described import MOST_WORDS
from partsdb.matching.engine.hashing import LONGEST
from partsdb.matching.engine.texts import plain_words
from partsdb.matching.engine.vocabulary import first_words
from partsdb.rules.descriptions import german_words
from partsdb.rules.pieces import abbreviations

# The rarest words are looked up until they lead to so many parts: commoner ones tell nothing apart.
ENTRIES_SEEN = 5_000

# The parts that a word leads to, in order; None: more than `ENTRIES_SEEN`.
Holders = Callable[[str], Sequence[int] | None]


def search_words(text: str) -> tuple[str, ...]:
    """Return the words by which a description is searched for, each once, in order."""
    meant = _meanings()
    words = (meant.get(word, (word,)) for word in map(_cut, plain_words(text)[:MOST_WORDS]))
    return tuple(dict.fromkeys(word for several in words for word in several))


def spelled_as(word: str) -> tuple[str, ...]:
    """Return every word of a description that `search_words` takes for `word`."""
    others = _spellings().get(word, ())
    return others if word in _meanings() else (word, *others)


def best_by_words(words: Iterable[str], holders: Holders, *, parts: int, limit: int) -> list[int]:
    """Return the parts that share the rarest of `words`, best first, at most `limit`.

    `parts` is how many there are in all. Of equals the lower id comes first.
    """
    found = {word: held for word in words if (held := holders(word)) is not None}
    scores: dict[int, int] = defaultdict(int)
    seen = 0
    for word in sorted(found, key=lambda each: (len(found[each]), each)):
        seen += len(found[word])
        if seen > ENTRIES_SEEN:
            break
        weight = round(1000 * log((parts + 1) / (len(found[word]) + 0.5)))
        for part in found[word]:
            scores[part] += weight
    ranked = nsmallest(limit, ((-score, part) for part, score in scores.items()))
    return [part for _, part in ranked]


class Postings:
    """The parts of a catalogue by the words of their descriptions."""

    def __init__(self, described: Iterable[tuple[int, str]]) -> None:
        self._held: dict[str, list[int]] = defaultdict(list)
        self.parts = 0
        for part, description in described:
            self.parts += 1
            for word in search_words(description):
                self._held[word].append(part)

    def holders(self, word: str) -> Sequence[int] | None:
        """Return the parts that the word leads to, None for too many."""
        held = self._held.get(word, ())
        return held if len(held) <= ENTRIES_SEEN else None


def _cut(word: str) -> str:
    """Return a word as far as the index looks into it."""
    raw = word.encode()
    return word if len(raw) <= LONGEST else raw[:LONGEST].decode(errors="ignore")


@cache
def _meanings() -> dict[str, tuple[str, ...]]:
    """Return what abbreviations and German words stand for; of an abbreviation the first word."""
    german = {_word(written): english for written, english in german_words().items()}
    meant = {word: tuple(plain_words(english)) for word, english in german.items() if word}
    for short, first in first_words(abbreviations()).items():
        # A German abbreviation stands for a German word, which is in turn taken for the English.
        if word := _word(short):
            meant[word] = meant.get(_word(first), tuple(plain_words(first)))
    return meant


def _word(text: str) -> str:
    """Return the one word that a text is to the index, "" when it is several."""
    words = plain_words(text)
    return words[0] if len(words) == 1 else ""


@cache
def _spellings() -> dict[str, tuple[str, ...]]:
    spelled: dict[str, list[str]] = defaultdict(list)
    for written, meant in _meanings().items():
        for word in meant:
            spelled[word].append(written)
    return {word: tuple(sorted(each)) for word, each in spelled.items()}
