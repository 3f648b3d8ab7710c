"""What a heading means, by the table of header words (header_words.csv)."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from importers.heading_units import is_price_by_unit, plain_heading, units_for, without_units

_MAX_HEADING = 60
_MOST_WORDS = 6


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says: its meaning, its unit words, and how sure (2 exact, 1 contained)."""

    meaning: str
    unit: str
    strength: int


@dataclass(frozen=True, slots=True)
class HeaderWord:
    """One row of the table: a header word as printed and what it means."""

    words: str
    meaning: str
    unit: str
    language: str


@lru_cache(maxsize=1)
def _table() -> tuple[HeaderWord, ...]:
    text = resources.files("importers").joinpath("header_words.csv").read_text(encoding="utf-8")
    return tuple(
        HeaderWord(row["words"], row["meaning"], row["unit"], row["language"])
        for row in csv.DictReader(text.splitlines())
    )


@lru_cache(maxsize=1)
def header_words() -> dict[str, HeaderWord]:
    """Return the header words by their plain form."""
    return {plain_heading(word.words): word for word in _table()}


def sample_words(meaning: str) -> list[str]:
    """Return six words that are looked for, as printed in lists: three German, three English."""
    known = [word for word in _table() if word.meaning == meaning]
    return [
        words
        for language in ("de", "en")
        for words in [word.words for word in known if word.language == language][:3]
    ]


@lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading | None:
    """Return what a heading means, or None when no header word is in it."""
    if not text or len(text) > _MAX_HEADING:
        return None
    if is_price_by_unit(text):
        return Heading("price", units_for("price", text), 1)
    plain = plain_heading(text)
    if not plain or plain[0].isdecimal():
        return None
    rest = without_units(plain)
    found = header_words().get(plain) or header_words().get(rest)
    if found:
        return _heading(found, text, 2)
    words = rest.split()
    found = _contained(words) if len(words) <= _MOST_WORDS else None
    return _heading(found, text, 1) if found else None


def _heading(word: HeaderWord, text: str, strength: int) -> Heading:
    unit = units_for(word.meaning, text, word.unit)
    return Heading(word.meaning, unit or _own_unit(word), strength)


def _own_unit(word: HeaderWord) -> str:
    """Return the mark of a column without meaning: "superseded" for the number that comes after."""
    return word.unit if word.meaning == "other" else ""


def _contained(words: list[str]) -> HeaderWord | None:
    """Return the header word inside a heading: a word of replacing first, then the longest run.

    "Replaces part number" is about replacing and "Brand part number" about the maker's number,
    though "part number" is the longer word; "ersetzt durch" is the opposite of "ersetzt".
    """
    runs = _runs(words)
    longest = runs[0] if runs else None
    if longest is None or longest.meaning == "other":
        return longest
    meanings = {run.meaning: run for run in reversed(runs)}
    if "replaces" in meanings:
        return meanings["replaces"]
    if {"maker", "code"} <= meanings.keys():
        return HeaderWord(longest.words, "maker_number", "", longest.language)
    return longest


def _runs(words: list[str]) -> list[HeaderWord]:
    """Return every header word in a row of words, the longest first, earlier ones before later."""
    found = (
        header_words().get(" ".join(words[start : start + length]))
        for length in range(min(len(words), 4), 0, -1)
        for start in range(len(words) - length + 1)
    )
    return [word for word in found if word]
