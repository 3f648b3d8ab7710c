"""Finds the materials that a free description names, among words that are no materials."""

from __future__ import annotations

from functools import cache, lru_cache

from partsdb import tables
from partsdb.rules.words import plain_words

_LONGEST = 5


@lru_cache(maxsize=65536)
def materials_in(text: str) -> frozenset[str]:
    """Return our names of the materials that `text` mentions; a bare figure is never a grade."""
    words = plain_words(text)
    found: set[str] = set()
    at = 0
    while at < len(words):
        length = _alias_at(words, at) if words[at] in _longest_from() else 0
        if length:
            found.add(_aliases()[words[at : at + length]])
        at += length or 1
    return frozenset(one for one in found if not found & _kinds_below(one))


def _alias_at(words: tuple[str, ...], at: int) -> int:
    """Return how many words the longest alias has that begins at this place, 0 for none."""
    longest = min(_longest_from()[words[at]], len(words) - at)
    return next((n for n in range(longest, 0, -1) if words[at : at + n] in _aliases()), 0)


def may_be_same(one: str, other: str) -> bool:
    """Say whether two names may mean one material: the same, or one the wider name of the other."""
    if one == other or other in _kinds_below(one) or one in _kinds_below(other):
        return True
    rows = tables.by_key("materials", "material")
    is_loose = "no" in (rows[one]["complete"], rows[other]["complete"])
    return is_loose and rows[one]["kind"] == rows[other]["kind"]


@cache
def _aliases() -> dict[tuple[str, ...], str]:
    known = {plain_words(row["material"]): row["material"] for row in tables.rows("materials")}
    known |= {plain_words(row["alias"]): row["material"] for row in tables.rows("material_aliases")}
    return {words: name for words, name in known.items() if words and not "".join(words).isdigit()}


@cache
def _longest_from() -> dict[str, int]:
    """Return how many words the longest alias has that begins with a word."""
    longest: dict[str, int] = {}
    for words in _aliases():
        longest[words[0]] = max(longest.get(words[0], 0), min(len(words), _LONGEST))
    return longest


@cache
def _kinds_below(material: str) -> frozenset[str]:
    """Return every material that is a kind of `material`."""
    below = [row["material"] for row in tables.rows("materials") if row["is_a"] == material]
    return frozenset(below).union(*(_kinds_below(each) for each in below))
