"""Finds the parts that a messy code or a few words most likely mean, in plain Python.

One question on a cold process must not wait for numpy: the index files are searched where they
lie. What is found is offered; nothing here decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from partsdb.matching.engine.decision import WAY_RANK, Way
from partsdb.matching.engine.hashing import LONGEST, deletion_hashes, text_hash
from partsdb.matching.engine.mapped_index import MappedIndex
from partsdb.matching.engine.tables import MOST_MARK
from partsdb.matching.engine.texts import plain_words, short_key
from partsdb.rules.numbers import number_fold
from partsdb.rules.spreadsheet import damages

_SHORTEST, _LONGEST_AFFIX = 3, 6
_MOST_ALIKE, _MOST_BEGUN, _MOST_WEIGHED, _MOST_PIECES = 40, 60, 3_000, 4
_FEW = 200


@dataclass(frozen=True, slots=True)
class Found:
    """A part that was found: how, and a score that orders."""

    part_id: int
    score: float
    way: Way


class Finder:
    """Answers questions from an index folder."""

    def __init__(self, folder: Path) -> None:
        self.index = MappedIndex(folder)

    def find(self, text: str, *, limit: int = 10) -> list[Found]:
        """Return the best few parts for a code, some words, or both; best first, ties by id."""
        if not self.index.is_ready:
            return []
        ways: dict[int, Way] = {}
        likelier: set[int] = set()
        for row, way, is_likelier in self._by_codes(text):
            ways[row] = min(way, ways.get(row, way))
            likelier |= {row} if is_likelier else set()
        words = self._words(text)
        if not any(way < Way.BEGINS for way in ways.values()):
            for row in self._by_words([word for word, _ in words]):
                ways.setdefault(row, Way.WORDS)
        scored = [
            Found(
                self.index.value("part_id", row),
                WAY_RANK[way] + self._explained(words, row) + (row in likelier),
                way,
            )
            for row, way in ways.items()
        ]
        return sorted(scored, key=lambda each: (-each.score, each.part_id))[:limit]

    def _by_codes(self, text: str) -> Iterator[tuple[int, Way, bool]]:
        """Yield the rows that something in the text may be the number of, how, if likelier."""
        for written in _codes(text):
            for form, _ in damages(written):
                for row in self._probe("by_form", text_hash(form)):
                    yield row, Way.VALUE, False
            yield from self._by_key(short_key(written))

    def _by_key(self, key: str) -> Iterator[tuple[int, Way, bool]]:
        exact = list(self._probe("by_key", text_hash(key)))
        yield from ((row, Way.KEY, False) for row in exact)
        if fold := number_fold(key):
            for row in self._probe("by_fold", text_hash(fold)):
                yield row, Way.LOOKALIKE, False
        near = list(self._one_edit(key))
        yield from near
        begun = self.index.beginning(key, most=_MOST_BEGUN)
        yield from ((row, Way.BEGINS, False) for row in begun)
        if exact:
            return
        for length in range(1, min(_LONGEST_AFFIX, len(key) - _SHORTEST) + 1):
            for rest, way in ((key[length:], Way.PREFIX), (key[:-length], Way.SUFFIX)):
                yield from ((row, way, False) for row in self._probe("by_key", text_hash(rest)))
                if not near and length > 1:
                    yield from self._one_edit(rest)

    def _one_edit(self, key: str) -> Iterator[tuple[int, Way, bool]]:
        """Yield the rows of parts whose key is one edit away, or little more.

        A sign too many or two swapped lead to few numbers, another or a lost one to many: the few
        are likelier.
        """
        signs = sum(key.encode())
        yield from ((row, Way.EDIT, False) for row in self._probe("by_lost", text_hash(key)))
        for value, place in deletion_hashes(key):
            yield from ((row, Way.EDIT, True) for row in self._probe("by_key", value))
            for row, mark in self.index.probe("by_lost", value, most=_MOST_ALIKE):
                apart = abs(min(place, MOST_MARK) - mark)
                if apart < 2:
                    is_swapped = apart == 1 and self.index.value("signs", row) == signs
                    yield row, Way.EDIT, is_swapped

    def _probe(self, table: str, value: int) -> Iterator[int]:
        return (row for row, _ in self.index.probe(table, value, most=_MOST_ALIKE))

    def _words(self, text: str) -> list[tuple[int, int]]:
        """Return the words of the text that the catalogue knows, with their weights."""
        known = []
        for word in dict.fromkeys(plain_words(text)):
            value = text_hash(word.encode()[:LONGEST])
            place = self.index.word(value)
            if place >= 0:
                place = int(self.index.of_word("word_meant", place))
            else:
                place, _ = self.index.spelled(value)
            if place >= 0:
                known.append((place, int(self.index.of_word("word_rarity", place))))
        return known

    def _by_words(self, words: list[int]) -> Iterator[int]:
        """Yield the rows that hold the words, the rarest first; a word that leaves none is left.

        While few hold them all, those that held all but the last ones are weighed as well.
        """
        for segment, offset in self.index.segments:
            starts, holder = segment["holder_start"].values, segment["holder"].values
            spans = [(starts[w + 1] - starts[w], w) for w in words if w + 1 < len(starts)]
            stages: list[set[int]] = []
            for count, word in sorted(span for span in spans if span[0]):
                held = holder[starts[word] : starts[word] + count]
                both = stages[-1].intersection(held) if stages else set(held)
                stages += [both] if both else []
            rows: dict[int, None] = {}
            for stage in reversed(stages):
                if len(rows) >= _FEW:
                    break
                rows |= dict.fromkeys(sorted(stage)[:_MOST_WEIGHED])
            yield from (row + offset for row in rows if self.index.is_living(row + offset))

    def _explained(self, words: list[tuple[int, int]], row: int) -> float:
        """Return the percent of the text's words that a part holds; the shorter one wins a tie."""
        held, _ = self.index.facts(row)
        total = sum(weight for _, weight in words)
        seen = sum(weight for word, weight in words if word in held)
        length = sum(word >= 0 for word in held)
        return 100 * seen / total + 1 / (1 + length) if total else 0.0


def _codes(text: str) -> list[str]:
    """Return what in a text may be a number: its words with a figure, and all of it if short."""
    pieces = text.split()
    codes = [piece for piece in pieces if any(sign.isdigit() for sign in piece)]
    if 1 < len(pieces) <= _MOST_PIECES:
        codes += ["".join(pair) for pair in pairwise(pieces)]
        codes.append("".join(pieces))
    return [code for code in dict.fromkeys(codes) if len(short_key(code)) >= _SHORTEST]


def find_parts(folder: Path, text: str, *, limit: int = 10) -> list[Found]:
    """Return the parts that a messy code or a few words most likely mean, best first.

    Empty when nothing is near, or when `folder` holds no index.
    """
    return Finder(folder).find(text, limit=limit)
