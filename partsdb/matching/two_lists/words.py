"""The words of a row: numbers in one form, measures split from their units, where each stands."""

from __future__ import annotations

import re
from bisect import bisect_right
from functools import lru_cache
from typing import NamedTuple

# A decimal number, or a run of letters and digits of any script.
_WORD = re.compile(r"\d+\.\d+|[^\W_]+(?:(?<=\d)\.\d+)?")
_RUN = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+")
# "16gb", "v8", "30pk": a short number and a short word are a measure or a version, not a code.
_SHORT_NUMBER = 4
_SHORT_WORD = 4
# Where in its cell a word stands: the first words say more than the hundredth.
_REACHES = (4, 8, 16, 32)


class Word(NamedTuple):
    """A word of a row: its text, the column and how far into the cell it stands (0 = first)."""

    text: str
    column: int
    reach: int


def words_of(cells: list[tuple[int, str]]) -> list[Word]:
    """Return the words of plain cells (column, text) in their order."""
    found = []
    for column, cell in cells:
        for at, raw in enumerate(_WORD.findall(cell)):
            reach = bisect_right(_REACHES, at)
            found += [Word(text, column, reach) for text in split_measure(raw)]
    return found


@lru_cache(maxsize=1 << 18)
def split_measure(raw: str) -> tuple[str, ...]:
    """Return "16gb" as 16 and gb, "8.0" as 8; a longer mix of letters and digits stays whole."""
    runs = _RUN.findall(raw)
    if len(runs) == 1:
        return (plain_number(raw),)
    digits = [run for run in runs if run[0].isdigit()]
    if len(runs) == 2 and len(digits) == 1:
        letters = runs[0] if runs[1] is digits[0] else runs[1]
        if len(letters) <= _SHORT_WORD and len(digits[0].partition(".")[0]) < _SHORT_NUMBER:
            return tuple(plain_number(run) for run in runs)
    return (raw.replace(".", ""),)


def plain_number(text: str) -> str:
    """Return a number without leading zeros and empty decimals; other words unchanged."""
    if not text[0].isdecimal() or not text.replace(".", "", 1).isdecimal():
        return text
    whole, _, part = text.partition(".")
    whole, part = whole.lstrip("0") or "0", part.rstrip("0")
    return f"{whole}.{part}" if part else whole


def is_number(word: str) -> bool:
    """Say whether the word is a number, decimals included."""
    return word.replace(".", "", 1).isdecimal()


def grams(text: str, sizes: tuple[int, ...] = (3, 4)) -> list[str]:
    """Return the runs of 3 and 4 characters of a text, word ends marked by a space."""
    padded = f" {text} "
    return [padded[at : at + size] for size in sizes for at in range(len(padded) - size + 1)]
