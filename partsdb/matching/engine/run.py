"""Matches a whole list, on one process or several; the answer is the same either way."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from partsdb.errors import StoreError
from partsdb.matching.engine.index import open_index
from partsdb.matching.engine.learn import learn
from partsdb.matching.engine.line_words import WordFinder
from partsdb.matching.engine.make import process_context
from partsdb.matching.engine.match import Lines, Matched, match_chunk
from partsdb.matching.engine.stored import evidence_texts

if TYPE_CHECKING:
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.learned import Learned

# Lines matched at once: enough for numpy, few enough for the cache and the memory.
CHUNK = 20_000
# A shorter list is done before a second process has started.
_WORTH_WORKERS = 2 * CHUNK


class _Worker:
    """What each worker process keeps: the open index and what the list taught."""

    index: Index
    finder: WordFinder
    learned: Learned


def match_list(
    folder: Path, lines: Lines, *, workers: int = 2, stamp: str | None = None
) -> Iterator[tuple[Matched, list[str]]]:
    """Yield what became of the lines, chunk after chunk in their order, with evidence to store.

    StoreError when there is no index in `folder`, or none that bears `stamp`.
    """
    index = open_index(folder, stamp=stamp)
    if index is None:
        raise StoreError(
            "the catalogue index is missing or older than the catalogue",
            hint="build it again from the database",
        )
    finder = WordFinder(index)
    learned = learn(index, finder, lines)
    chunks = _chunks(lines)
    if workers < 2 or len(lines.numbers) < _WORTH_WORKERS:
        for chunk in chunks:
            matched = match_chunk(index, finder, chunk, learned)
            yield matched, evidence_texts(matched)
        return
    with process_context().Pool(workers, _begin, (folder, learned)) as pool:
        yield from pool.imap(_work, chunks)


def _chunks(lines: Lines) -> Iterator[Lines]:
    for start in range(0, len(lines.numbers), CHUNK):
        yield lines.part(start, start + CHUNK)


def _begin(folder: Path, learned: Learned) -> None:
    index = open_index(folder)
    if index is None:
        raise StoreError("the catalogue index was taken away while a list was being read")
    _Worker.index, _Worker.finder, _Worker.learned = index, WordFinder(index), learned


def _work(lines: Lines) -> tuple[Matched, list[str]]:
    matched = match_chunk(_Worker.index, _Worker.finder, lines, _Worker.learned)
    return matched, evidence_texts(matched)
