"""The one rule that says whether a line settles; it takes single values or whole numpy columns.

A line settles only by its number: equal keys, look-alike characters, a damage that a spreadsheet
is known to do to the very number, or an affix that the list itself teaches. One edit away never
settles, words alone never settle. Then the description must agree, the more so where it begins with
another noun, and contradict nothing, the maker must not be another, and no part one edit away may
explain the line better.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Any


class Way(IntEnum):
    """How a part was found for a line, the surest first; only those up to SUFFIX may settle."""

    KEY = 1
    LOOKALIKE = 2
    SCIENTIFIC = 3
    DATE = 4
    VALUE = 5  # thousands separators, ".0", decimals that a cell dropped
    ZEROS = 6
    PREFIX = 7
    SUFFIX = 8
    EDIT = 9
    LETTER = 10  # one edit too: a letter within the number is another
    BEGINS = 11
    WORDS = 12


class Lane(IntEnum):
    """Where a line goes: settled by itself, to a person, or nowhere."""

    NONE = 0
    REVIEW = 1
    SETTLED = 2


# How much each way counts, beside the percent explained, in the order of what is offered.
WAY_RANK = {Way.KEY: 60, Way.LOOKALIKE: 45, Way.SCIENTIFIC: 45, Way.DATE: 45, Way.VALUE: 40,
            Way.ZEROS: 40, Way.PREFIX: 35, Way.SUFFIX: 35, Way.EDIT: 30, Way.LETTER: 28,
            Way.BEGINS: 20, Way.WORDS: 0}  # fmt: skip
LAST_THAT_SETTLES = Way.SUFFIX
# Percent of the line's words that the part must explain: for an equal key, for anything else.
AGREED_BY_KEY, AGREED_OTHERWISE = 50, 60
# The same where the two begin with nouns that the other has not, and no maker speaks for the part.
AGREED_APART = 80
# By how much a part must explain a line better than any neighbour, once its number is damaged.
MARGIN = 10
# `fit` is hundredths of a percent of the line explained, times this, plus those of the part held.
FIT_STEP = 10_002
# A key this short is equal by chance.
SHORTEST_SETTLED = 4


@dataclass(frozen=True, slots=True)
class Claim:
    """What the rule looks at, for one line or, as columns, for many.

    `explained` and `rival` are percents of the line's words that the claimed part and the best
    part one edit away explain, less what a contradiction costs; `alone` says that no other part
    is claimed as well; `learned` that the list teaches the affix or the loss of zeros; `apart` that
    the two descriptions begin with nouns that the other has not and that the maker is not named.
    """

    way: Any
    length: Any
    said: Any
    explained: Any
    fit: Any
    rival: Any
    letter_rival: Any
    contradicted: Any
    other_maker: Any
    alone: Any
    learned: Any
    apart: Any


def settles(claim: Claim) -> Any:
    """Say whether the claimed part is the line's, without a person: a bool, or a column of them."""
    by_key = claim.way == Way.KEY
    taught = (claim.way < Way.ZEROS) | claim.learned
    may = (claim.way >= Way.KEY) & (claim.way <= LAST_THAT_SETTLES) & taught
    sound = claim.said & claim.alone & (claim.length >= SHORTEST_SETTLED)
    against = claim.contradicted | claim.other_maker
    agreed = claim.explained >= AGREED_OTHERWISE - (AGREED_OTHERWISE - AGREED_BY_KEY) * by_key
    agreed &= (claim.apart ^ True) | (claim.explained >= AGREED_APART)
    margin = MARGIN * 100 * FIT_STEP * ((claim.way == Way.LOOKALIKE) | (claim.way == Way.ZEROS))
    unrivalled = (claim.fit > claim.rival + margin) & (claim.fit >= claim.letter_rival + margin)
    return may & sound & (against ^ True) & agreed & unrivalled
