"""One catalogue read both ways: all parts at hand, and through an index on disk."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from partsdb.matching.bulk import IndexedCatalogue, read_in_bulk
from partsdb.matching.context import ListContext
from partsdb.matching.engine.build import Catalogue
from partsdb.matching.engine.index import open_index
from partsdb.matching.engine.make import build_index, update_index
from partsdb.matching.indexed_whole import WholeInIndex
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, Reading
from partsdb.matching.sense import Sense, sample_step
from partsdb.rules.makers import name_key
from partsdb.rules.numbers import number_key
from partsdb.rules.pieces import abbreviations


def columns(entries: Sequence[CatalogueEntry]) -> Catalogue:
    return Catalogue(
        [entry.part_id for entry in entries],
        [entry.number for entry in entries],
        [entry.description for entry in entries],
        [name_key(entry.maker) for entry in entries],
    )


class TwoWays:
    """A catalogue with its index, which follows its changes."""

    def __init__(self, folder: Path, entries: Sequence[CatalogueEntry]) -> None:
        self.folder = folder
        self.entries = {entry.part_id: entry for entry in entries}
        build_index(folder, columns(entries), stamp="test", abbreviations=abbreviations())

    def change(self, entries: Sequence[CatalogueEntry], gone: Collection[int]) -> None:
        """Bring parts in and take some away; the index keeps its base and notes the changes."""
        self.entries |= {entry.part_id: entry for entry in entries}
        self.entries = {key: each for key, each in self.entries.items() if key not in gone}
        assert update_index(self.folder, columns(entries), gone, stamp="next")

    def by_line(self, lines: Sequence[LineText], context: ListContext) -> list[Reading]:
        return read_lines(lines, self.entries.values(), context=context)

    def in_bulk(self, lines: Sequence[LineText], context: ListContext) -> list[Reading]:
        return read_in_bulk(self.indexed(), lines, context=context)

    def indexed(self) -> IndexedCatalogue:
        index = open_index(self.folder)
        assert index is not None
        step = sample_step(index.living)
        sampled = (e for e in self.entries.values() if e.part_id % step == 0)
        keys = {number_key(entry.number) for entry in self.entries.values()} - {""}
        whole = WholeInIndex(
            index,
            Sense((entry.description, entry.role) for entry in sampled),
            keys_with=lambda side, text: [key for key in keys if _has(key, side, text)],
            known_keys=lambda asked: [key for key in asked if key in keys],
        )
        return IndexedCatalogue(index, whole, lambda ids: [self.entries[each] for each in ids])


def _has(key: str, side: str, text: str) -> bool:
    return key.startswith(text) if side == "prefix" else key.endswith(text)
