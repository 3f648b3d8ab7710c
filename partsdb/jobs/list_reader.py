"""Reads the lines of lists against the shop's catalogue, by the way that suits their number."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from importers.codes import DATE_NOTE
from importers.rows import RowKind
from partsdb.errors import StoreError
from partsdb.jobs.found import WORTH_AN_INDEX
from partsdb.jobs.listed import ListedLine
from partsdb.jobs.part_index import part_index
from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.context import ListContext
from partsdb.matching.lines import Watched, read_with
from partsdb.matching.readings import CatalogueEntry, Evidence, LineText, Reading, ReadingKind
from partsdb.matching.sense import Sense, sample_step
from partsdb.store import catalogue, part_changes

# From here on the index, which is kept, is faster than dictionaries of all parts made each time.
_LARGE_CATALOGUE = WORTH_AN_INDEX
_TOLD_EVERY = 1000
_Thing = TypeVar("_Thing")


class ListReader:
    """Reads one list or several; what it made of the catalogue is kept for the next one."""

    def __init__(self, progress: Callable[[str], None] = lambda said: None) -> None:
        self._progress = progress
        self._index: CatalogueIndex | None = None
        self.assumptions: tuple[str, ...] = ()

    def read(self, listed: Sequence[ListedLine], context: ListContext) -> list[Reading]:
        """Return one reading a row; rows that are no items are not a part, refused to review."""
        items = [line.text for line in listed if line.row.kind is RowKind.ITEM]
        read = iter(self._items(items, context))
        return [
            _unless_dated(next(read), line) if line.row.kind is RowKind.ITEM else _unread(line)
            for line in listed
        ]

    def _items(self, lines: Sequence[LineText], context: ListContext) -> list[Reading]:
        if part_changes.about_how_many() >= _LARGE_CATALOGUE:
            with part_index(self._progress) as folder:
                if folder is not None:
                    self.assumptions = (_IN_BULK,)
                    return read_in_bulk(folder, lines, context, self._watched())
            self.assumptions = (_NO_INDEX,)
        if self._index is None:
            entries = (CatalogueEntry(*row) for row in catalogue.catalogue_entries())
            self._index = CatalogueIndex(entries)
        return read_with(self._index, lines, context=context, watched=self._watched())

    def _watched(self) -> Watched:
        """Return a watch that tells how far the two rounds over the lines are."""
        rounds = iter(("reading what the lines say", "matching the lines"))

        def watch(things: Sequence[_Thing], /) -> Iterable[_Thing]:
            what = next(rounds, "matching the lines")
            for number, thing in enumerate(things):
                if number and number % _TOLD_EVERY == 0:
                    self._progress(f"{what}: {number:,} of {len(things):,}")
                yield thing

        return watch


_IN_BULK = (
    "matched in bulk through the catalogue's index, for the list or the catalogue is large: by the"
    " same rules as line by line"
)
_NO_INDEX = (
    "matched line by line, slowly: the catalogue's index could not be written beside the database"
)


def read_in_bulk(
    folder: Path, lines: Sequence[LineText], context: ListContext, watched: Watched
) -> list[Reading]:
    """Return what each line was taken for, by the index in `folder` and the parts it leads to."""
    from partsdb.matching.bulk import IndexedCatalogue, read_in_bulk
    from partsdb.matching.engine.index import open_index
    from partsdb.matching.indexed_whole import WholeInIndex

    index = open_index(folder)
    if index is None:
        raise StoreError("the catalogue's index was taken away while it was to be read")
    whole = WholeInIndex(
        index,
        Sense(part_changes.sampled_descriptions(sample_step(index.living))),
        keys_with=part_changes.own_keys_with,
        known_keys=part_changes.own_keys_among,
    )
    indexed = IndexedCatalogue(index, whole, _entries_of)
    return read_in_bulk(indexed, lines, context=context, watched=watched)


def _entries_of(part_ids: Collection[int]) -> Iterator[CatalogueEntry]:
    return (CatalogueEntry(*row) for row in catalogue.entries_of(sorted(part_ids)))


def _unread(line: ListedLine) -> Reading:
    why = "; ".join(line.row.notes)
    if line.row.kind is RowKind.REFUSED:
        return Reading(ReadingKind.TO_REVIEW, evidence=(Evidence("refused", "against", why),))
    named = Evidence("row", "for", f"a {line.row.kind.value} row")
    return Reading(ReadingKind.NOT_A_PART, confidence=1.0, evidence=(named,))


_OF_NO_PART_OF_OURS = (ReadingKind.NEW_PART, ReadingKind.REPLACEMENT, ReadingKind.TO_REVIEW)


def _unless_dated(reading: Reading, line: ListedLine) -> Reading:
    """Return the reading, but a question where the only number of a new article is a date.

    A spreadsheet made it of the number; stored, it would name an article that nobody sells.
    """
    named = next((note for note in line.row.notes if note.startswith(DATE_NOTE)), "")
    if not named or reading.kind not in _OF_NO_PART_OF_OURS or line.text.maker_number:
        return reading
    why = f"{named}; ask for the list with codes stored as text"
    return replace(
        reading,
        kind=ReadingKind.TO_REVIEW,
        part_id=None,
        evidence=(*reading.evidence, Evidence("code", "against", why)),
    )
