"""Numbers and measures of two rows: which numbers they share, and where one unit has two values.

Which words are units is learned: a word that mostly follows a number, and follows several.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from partsdb.matching.two_lists.vectors import (
    Floats,
    Ints,
    indicators,
    row_dots,
    row_sums,
    vocabulary,
)
from partsdb.matching.two_lists.words import is_number, plain_number

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
# A unit follows at least so many different numbers, in at least this share of its uses.
_VALUES = 3
_SHARE = 0.5

Measures = dict[str, set[str]]


def numbers_in(names: Sequence[Sequence[str]]) -> list[set[str]]:
    """Return the numbers in the words of each name, those inside a word included."""
    return [
        {plain_number(number) for word in name for number in _NUMBER.findall(word)}
        for name in names
    ]


def learned_units(names: Sequence[Sequence[str]]) -> set[str]:
    """Return the words that mostly follow a number and have followed several different ones."""
    values: dict[str, set[str]] = {}
    after: dict[str, int] = {}
    uses: dict[str, int] = {}
    for name in names:
        for at, word in enumerate(name):
            if not word.isalpha():
                continue
            uses[word] = uses.get(word, 0) + 1
            if at and is_number(name[at - 1]):
                values.setdefault(word, set()).add(name[at - 1])
                after[word] = after.get(word, 0) + 1
    return {
        word
        for word, found in values.items()
        if len(found) >= _VALUES and after[word] >= _SHARE * uses[word]
    }


def measures_in(names: Sequence[Sequence[str]], units: set[str]) -> list[Measures]:
    """Return per name the values that stand before each unit."""
    out = []
    for name in names:
        found: Measures = {}
        for number, word in pairwise(name):
            if word in units and is_number(number):
                found.setdefault(word, set()).add(number)
        out.append(found)
    return out


def measure_conflicts(left: Sequence[Measures], right: Sequence[Measures], pairs: Ints) -> Floats:
    """Return 1 for the pairs that give one unit different values, else 0."""
    out = np.zeros(len(pairs))
    for at, (a, b) in enumerate(pairs.tolist()):
        ours, theirs = left[a], right[b]
        if ours and theirs:
            out[at] = any(
                unit in theirs and values.isdisjoint(theirs[unit]) for unit, values in ours.items()
            )
    return out


def number_shares(
    left: Sequence[Sequence[str]], right: Sequence[Sequence[str]], pairs: Ints
) -> tuple[Floats, Floats]:
    """Return the share of numbers in common (1/2 where there is none), and 1 where both differ."""
    ours, theirs = numbers_in(left), numbers_in(right)
    terms = vocabulary(ours, theirs)
    a, b = indicators(ours, terms), indicators(theirs, terms)
    common = row_dots(a, b, pairs)
    only_a, only_b = row_sums(a)[pairs[:, 0]] - common, row_sums(b)[pairs[:, 1]] - common
    either = common + only_a + only_b
    share = np.where(either > 0, common / np.maximum(either, 1), 0.5)
    return share, ((only_a > 0) & (only_b > 0)).astype(float)
