"""One line's description in the words of the index, and how a part explains it: plain Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsdb.matching.engine.agreement import CONFLICT_COST, LEAST_HELD, UNSAID
from partsdb.matching.engine.decision import FIT_STEP
from partsdb.matching.engine.described import MOST_MEASURES, MOST_WORDS
from partsdb.matching.engine.hashing import LONGEST, deletion_hashes, text_hash
from partsdb.matching.engine.line_words import SHORTEST_EDIT, UNKNOWN_WEIGHT, WORN_TENTHS
from partsdb.matching.engine.mapped_index import MappedIndex
from partsdb.matching.engine.small_words import first_conflict, stated_measures
from partsdb.matching.engine.texts import word_places
from partsdb.matching.engine.words import word_sense


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a line: its id (-1 none), weight, what it counts if explained, if it may be cut."""

    id: int
    weight: int
    gain: int
    soft: bool


@dataclass(frozen=True, slots=True)
class Said:
    """What one line says: its words, and its measures as (kind, value, stated by the last word)."""

    words: tuple[Word, ...]
    measures: tuple[tuple[int, float, bool], ...]


@dataclass(frozen=True, slots=True)
class Fit:
    """How a part explains a line, as `agreement.Agreement` has it."""

    explained: int
    held: int
    conflict: int
    fit: int
    apart: bool

    @property
    def value(self) -> int:
        """Return percent explained, less what a contradiction costs."""
        said = 0 if self.explained == UNSAID else self.explained
        return said - CONFLICT_COST * (self.conflict > 0)


def said(index: MappedIndex, text: str) -> Said:
    """Return what a description says, in the words of the index."""
    found = word_places(text)
    words, senses = [], []
    for place, (word, _) in enumerate(found):
        last = place == len(found) - 1
        known, sense = _known(index, word), word_sense(word)
        if known >= 0:
            weight = int(index.of_word("word_rarity", known))
            words.append(Word(known, weight, weight, False))
        else:
            worn = _worn(index, word)
            weight = int(index.of_word("word_rarity", worn)) if worn >= 0 else UNKNOWN_WEIGHT
            words.append(Word(worn, weight, weight * WORN_TENTHS // 10, last and place >= 2))
        senses.append(sense)
    stated = stated_measures(senses, [touches for _, touches in found])
    return Said(tuple(words[:MOST_WORDS]), tuple(stated[:MOST_MEASURES]))


def _known(index: MappedIndex, word: str) -> int:
    place = index.word(_hash(word))
    return int(index.of_word("word_meant", place)) if place >= 0 else -1


def _hash(word: str) -> int:
    """Return the hash of a word; of one too long the head alone."""
    return text_hash(word.encode()[:LONGEST])


def _worn(index: MappedIndex, word: str) -> int:
    """Return the word that an unread one most likely means, -1 where none is near."""
    if any(sign.isdigit() for sign in word):
        return -1
    meant, _ = index.spelled(_hash(word))
    if meant >= 0 or not (word.isalpha() and word.isascii() and SHORTEST_EDIT <= len(word) <= 24):
        return meant
    found = set()
    for value, _ in deletion_hashes(word):
        whole = index.segments[0][0].place_of("word_hash", value)
        other, is_lost = index.spelled(value)
        found |= {each for each in (whole, other if is_lost else -1) if each >= 0}
    return min(found, key=lambda each: (index.of_word("word_rarity", each), each), default=-1)


def fit(index: MappedIndex, line: Said, row: int) -> Fit:
    """Return how the part at `row` explains a line."""
    theirs, measured = index.facts(row)
    mine = [word for word in line.words if word.weight > 0]
    hits = [word.id >= 0 and word.id in theirs for word in mine]
    explained = sum(word.gain for word, hit in zip(mine, hits, strict=True) if hit)
    lost = sum(w.weight for w, hit in zip(mine, hits, strict=True) if not hit and not w.soft)
    total = explained + lost
    ids = {word.id for word in mine if word.id >= 0}
    own = [(word, int(index.of_word("word_rarity", word))) for word in theirs if word >= 0]
    seen = sum(weight for word, weight in own if word in ids)
    told = explained * 10_000 // max(total, 1)
    shown = seen * 10_000 // max(sum(weight for _, weight in own), 1)
    conflict = first_conflict(line.measures, measured)
    ordered = [word.id for word in line.words] == [word for word in theirs if word >= 0]
    sequence = (shown if shown >= LEAST_HELD else 0) + ordered
    best = (told - CONFLICT_COST * 100 * (conflict > 0)) * FIT_STEP + sequence
    apart = _begin_apart([word.id for word in line.words], theirs)
    return Fit(told // 100 if total > 0 else UNSAID, shown // 100, conflict, best, apart)


def _begin_apart(mine: Sequence[int], theirs: Sequence[int]) -> bool:
    """Say whether neither begins with a word of the other, both words being known."""
    if not mine or min(mine[0], theirs[0]) < 0:
        return False
    return mine[0] not in theirs and theirs[0] not in mine
