"""Reads a list against a catalogue too large to be searched in plain Python as a whole.

The index on disk gives every part to which a number or the words of a line may lead; the rules for
one line (`lines`) then read the list against those parts alone, as if they were at hand among all
the others. Nothing is decided here: a test holds that both ways give the same readings.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.affixes import Affix, learned_affixes, splits
from partsdb.matching.catalogue import CatalogueIndex, bare_key
from partsdb.matching.claims import possible_numbers
from partsdb.matching.context import ListContext
from partsdb.matching.engine.related import parts_with_keys, related_parts
from partsdb.matching.facts import ListFacts
from partsdb.matching.lines import (
    TEXT_CANDIDATES,
    Watched,
    collector_paused,
    is_sought_by_words,
    mentioned_numbers,
    read_facts,
    unwatched,
)
from partsdb.matching.readings import CatalogueEntry, LineText, Reading
from partsdb.matching.weighing import Desk
from partsdb.rules.numbers import number_key

if TYPE_CHECKING:
    from partsdb.matching.engine.index import Index
    from partsdb.matching.indexed_whole import WholeInIndex


@dataclass(frozen=True, slots=True)
class IndexedCatalogue:
    """A catalogue's index, what only the whole of it can answer, and a way to get some parts."""

    index: Index
    whole: WholeInIndex
    entries_of: Callable[[Collection[int]], Iterable[CatalogueEntry]]


def read_in_bulk(
    catalogue: IndexedCatalogue,
    lines: Sequence[LineText],
    *,
    context: ListContext,
    watched: Watched = unwatched,
) -> list[Reading]:
    """Return what each line was taken for; `watched` as for `lines.read_with`."""
    with collector_paused():
        facts = ListFacts(lines, context, catalogue.whole.sense)
        taught = _of(catalogue, parts_with_keys(catalogue.index, _teaching_keys(lines)))
        affixes = learned_affixes(facts, taught, watched(range(len(lines))))
        index = _of(catalogue, _ids(catalogue, lines, affixes))
        return read_facts(facts, Desk(index, context, affixes), watched)


def _of(catalogue: IndexedCatalogue, ids: Collection[int]) -> CatalogueIndex:
    return CatalogueIndex(catalogue.entries_of(ids), catalogue.whole)


def _ids(
    catalogue: IndexedCatalogue, lines: Sequence[LineText], affixes: tuple[Affix, ...]
) -> set[int]:
    """Return every part to which the rules may be led by the lines."""
    numbers = {number for line in lines for number in (own_number(line), *possible_numbers(line))}
    keys = set(map(number_key, numbers))
    # What is left of a number without a learned affix is looked up as the number itself is.
    bare = {affix.stripped(key) for affix in affixes for key in keys} - {""}
    ids = related_parts(catalogue.index, numbers | bare, bare=set(map(bare_key, keys | bare)))
    named = {number_key(line.code) for line in lines}
    named |= {number_key(word) for line in lines for word in mentioned_numbers(line.description)}
    ids |= parts_with_keys(catalogue.index, keys | bare | named)
    for line in lines:
        if is_sought_by_words(line):
            ids.update(catalogue.whole.by_words(line.description, limit=TEXT_CANDIDATES))
    return ids


def own_number(line: LineText) -> str:
    """Return the number under which a line sells its article."""
    return (line.maker_number or line.code).strip()


def _teaching_keys(lines: Sequence[LineText]) -> set[str]:
    """Return the keys of the lines, and of what is left of them without any affix."""
    keys = {number_key(own_number(line)) for line in lines} - {""}
    return keys | {rest for key in keys for _, _, rest in splits(key)}
