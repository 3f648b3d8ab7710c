"""Finds parts for a person who types a number or a few words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from partsdb.jobs.named import codes_of
from partsdb.store import catalogue
from partsdb.store.part_changes import about_how_many
from partsdb.store.rows import PartRow

# A few thousand parts are searched by SQL before an index would have been looked at.
WORTH_AN_INDEX = 5_000
# How many parts are shown when nobody says: ten of an index, whose best come first.
_INDEXED_SHOWN, _SEARCHED_SHOWN = 10, 50
# Of so many parts found one is the wanted maker's, more often than not.
_MAKERS = 20


@dataclass(frozen=True, slots=True)
class FoundPart:
    """A part that was found, and by what: `way` is for people to read."""

    part: PartRow
    way: str


@dataclass(frozen=True, slots=True)
class FoundParts:
    """What a search found, the best first; `is_cut` says that there may be more."""

    parts: tuple[FoundPart, ...]
    is_cut: bool = False


def found_parts(
    words: str,
    *,
    maker: str | None = None,
    limit: int | None = None,
    progress: Callable[[str], None] = lambda said: None,
) -> FoundParts:
    """Return the parts that a number or some words may mean.

    A large catalogue is asked through its index: a messy number or a few words, the ten best. A
    small one by SQL: the number (exact, key, look-alike fold), a supplier's code for it, else a
    beginning or the description.
    """
    by_number = [FoundPart(part, "number") for part in catalogue.find_parts(words, maker)]
    by_number = by_number or ([] if maker else _by_code(words))
    if about_how_many() >= WORTH_AN_INDEX:
        from partsdb.jobs.part_index import part_index

        with part_index(progress) as folder:
            if folder is not None:
                asked = (words, maker or "")
                return _indexed(folder, asked, by_number, limit or _INDEXED_SHOWN)
    if by_number:
        return FoundParts(tuple(by_number))
    shown = limit or _SEARCHED_SHOWN
    found = catalogue.search_parts(words, limit=shown)
    return _of_maker([FoundPart(part, "beginning or words") for part in found], maker or "", shown)


def _by_code(words: str) -> list[FoundPart]:
    """Return what suppliers sell under a code that is no maker's number; words alone are none."""
    has_figure = any(sign.isdecimal() for sign in words)
    return [FoundPart(each.part, each.said) for each in codes_of(words)] if has_figure else []


def _indexed(
    folder: Path, asked: tuple[str, str], by_number: list[FoundPart], limit: int
) -> FoundParts:
    """Return what the index finds; parts that only a list brought are found by number alone."""
    from partsdb.matching.engine.find import find_parts
    from partsdb.matching.engine.ways import WAY_WORDS

    words, maker = asked
    found = find_parts(folder, words, limit=limit * _MAKERS if maker else limit)
    rows = catalogue.part_rows(each.part_id for each in found)
    known = [FoundPart(rows[each.part_id], WAY_WORDS[each.way]) for each in found]
    brought = [each for each in by_number if each.part.id not in rows]
    return _of_maker([*brought, *known], maker, limit)


def _of_maker(found: list[FoundPart], maker: str, limit: int) -> FoundParts:
    wanted = maker.casefold()
    kept = [each for each in found if wanted in each.part.maker.casefold()][:limit]
    return FoundParts(tuple(kept), len(found) >= limit)
