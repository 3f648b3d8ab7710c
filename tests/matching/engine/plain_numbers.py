"""The parts that one number leads to: what `candidates` and `damaged` find, in plain Python."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations

from partsdb.matching.engine.build import RARE_WORDS
from partsdb.matching.engine.candidates import (
    KEPT_BY_WORDS,
    MOST_ALIKE,
    MOST_BEGUN,
    MOST_BY_WORDS,
    MOST_NEAR,
)
from partsdb.matching.engine.damaged import (
    LONGEST_AFFIX,
    MAY_BE_DAMAGED,
    MONTHS,
    SHORTEST_AFFIX,
    WAY_OF,
    shows_date,
)
from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.hashing import (
    BASE,
    MASK,
    affix_hash,
    deletion_hashes,
    finished,
    text_hash,
)
from partsdb.matching.engine.mapped_index import MappedIndex
from partsdb.matching.engine.number_tables import SHORTEST_KEY
from partsdb.matching.engine.tables import MOST_MARK
from partsdb.matching.engine.texts import short_key
from partsdb.rules.numbers import letters_beyond, number_fold
from partsdb.rules.spreadsheet import DATE, damages

_FOLD = str.maketrans("OISBZ", "01582")


@dataclass(frozen=True, slots=True)
class Hit:
    """A row that a line may mean, how it was found, and the affix if there was one."""

    row: int
    way: Way
    affix: int = 0


def hits_of(index: MappedIndex, number: str, taught: frozenset[int]) -> list[Hit]:
    """Return every part that a number leads to, each once by its surest way, in order of row."""
    key = short_key(number)
    if not key:
        return []
    found = key_hits(index, key)
    if not found:
        found = [*claimed_hits(index, number, taught), *_begun(index, key)]
    found += _edits(index, key)
    surest: dict[int, Hit] = {}
    for hit in found:
        if hit.row not in surest or hit.way < surest[hit.row].way:
            surest[hit.row] = hit
    return [_with_letters(index, surest[row], number) for row in sorted(surest)]


def _with_letters(index: MappedIndex, hit: Hit, number: str) -> Hit:
    """A letter that no key holds makes it another number: such a part is a near miss at most."""
    letters = letters_beyond(number)
    if index.value("beyond", hit.row) == (text_hash(letters) if letters else 0):
        return hit
    return replace(hit, way=max(hit.way, Way.EDIT))


def key_hits(index: MappedIndex, key: str) -> list[Hit]:
    """Return the parts whose key is the line's."""
    return [Hit(row, Way.KEY) for row in _whole(index, text_hash(key))]


def _whole(index: MappedIndex, value: int) -> Iterator[int]:
    """Yield the rows whose key has that very hash."""
    for row, _ in index.probe("by_key", value, most=MOST_ALIKE):
        if index.value("key", row) == value:
            yield row


def claimed_hits(index: MappedIndex, number: str, taught: frozenset[int]) -> list[Hit]:
    """Return what a number whose key is no part's may claim: look-alikes, damage, affixes."""
    key = short_key(number)
    return [*_alike(index, key), *_by_form(index, number, key), *_by_affix(index, key, taught)]


def _alike(index: MappedIndex, key: str) -> Iterator[Hit]:
    value, signs = text_hash(number_fold(key)), _signs(key)
    fold = key.translate(_FOLD)
    zeros = len(fold) - len(fold.lstrip("0"))
    for row, _ in index.probe("by_fold", value, most=MOST_ALIKE):
        same = index.value("fold", row) == value and index.value("zeros", row) == zeros
        if same and index.value("signs", row) != signs:
            yield Hit(row, Way.LOOKALIKE)


def _signs(key: str) -> int:
    return sum(key.encode())


def _by_form(index: MappedIndex, number: str, key: str) -> Iterator[Hit]:
    if key.isdecimal() and number.isdecimal() and len(number) <= 15:
        value = text_hash("n:" + key.lstrip("0"))
        for row, _ in index.probe("by_form", value, most=MOST_ALIKE):
            if index.value("key", row) != text_hash(key):
                yield Hit(row, Way.ZEROS)
        return
    begins = key[0].isdecimal() or key[:3] in MONTHS
    if not begins or not MAY_BE_DAMAGED.fullmatch(number):
        return
    for form, name in damages(number):
        if name == DATE and not shows_date(number):
            continue
        for row, _ in index.probe("by_form", text_hash(form), most=MOST_ALIKE):
            yield Hit(row, WAY_OF.get(name, Way.VALUE))
        if form.startswith("n:"):
            for row, _ in index.probe("by_key", text_hash(form[2:]), most=MOST_ALIKE):
                yield Hit(row, Way.VALUE)


def _by_affix(index: MappedIndex, key: str, taught: frozenset[int]) -> Iterator[Hit]:
    for length in range(SHORTEST_AFFIX, LONGEST_AFFIX + 1):
        if len(key) - length < SHORTEST_KEY:
            return
        for way, affix, rest in (
            (Way.PREFIX, key[:length], key[length:]),
            (Way.SUFFIX, key[-length:], key[:-length]),
        ):
            has_letter = any(sign >= "A" for sign in affix)
            value = affix_hash(affix, is_suffix=way == Way.SUFFIX) if has_letter else 0
            yield from (Hit(row, way, value) for row in _whole(index, text_hash(rest)))
            if value in taught:
                yield from _edits(index, rest)


def _begun(index: MappedIndex, key: str) -> Iterator[Hit]:
    if len(key) >= SHORTEST_KEY:
        for row in index.beginning(key, most=MOST_BEGUN):
            if index.value("key", row) != text_hash(key):
                yield Hit(row, Way.BEGINS)


def _edits(index: MappedIndex, key: str) -> list[Hit]:
    """Return the parts whose key is one substitution, swap, insertion or deletion away."""
    if len(key) < SHORTEST_KEY:
        return []
    value = text_hash(key)
    found = [Hit(row, Way.EDIT) for row, _ in index.probe("by_lost", value, most=MOST_NEAR)]
    for lost, place in deletion_hashes(key):
        found += [Hit(row, Way.EDIT) for row, _ in index.probe("by_key", lost, most=MOST_ALIKE)]
        for row, mark in index.probe("by_lost", lost, most=MOST_NEAR):
            way = _one_edit(key, place, index.value("signs", row) - _signs(key), mark)
            found += [Hit(row, way)] if way else []
    return [hit for hit in found if index.value("key", hit.row) != value]


def _one_edit(key: str, place: int, change: int, mark: int) -> Way | None:
    """Return how two keys differ that are equal without one sign each (see `candidates`)."""
    apart = abs(min(place, MOST_MARK) - mark)
    if apart == 0:
        old, new = ord(key[place]), ord(key[place]) + change
        is_letter = max(old, new) >= ord("A") and place < len(key) - 1
        return Way.LETTER if is_letter else Way.EDIT
    return Way.EDIT if apart == 1 and change == 0 else None


def word_hits(index: MappedIndex, words: Iterable[int]) -> list[Hit]:
    """Return the parts that share the most triples of rare words with a line."""
    known = [word for word in words if word >= 0]
    known.sort(key=lambda word: (-index.of_word("word_rarity", word), word))
    votes: Counter[int] = Counter()
    for three in combinations(sorted(known[:RARE_WORDS]), 3):
        if len(set(three)) == 3:
            for row, _ in index.probe("by_triple", _triple(three), most=MOST_BY_WORDS):
                votes[row] += 1
    ranked = sorted(votes, key=lambda row: (-votes[row], row))[:KEPT_BY_WORDS]
    return [Hit(row, Way.WORDS) for row in ranked]


def _triple(three: tuple[int, ...]) -> int:
    """Return the hash of three words (see `build.triples`)."""
    stirred = [finished((word + 1) * BASE & MASK) for word in three]
    return finished(stirred[0] * 3 + stirred[1] * 5 + stirred[2] * 7)
