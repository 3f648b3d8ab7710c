"""Codes: the words that look like part numbers, and how far the codes of two rows agree.

An equal code is strong evidence, the stronger the rarer; a code with a prefix or a revision more
is weaker; a code that differs in a digit is another thing's (see `partsdb.rules.numbers`).
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from partsdb.matching.two_lists.vectors import Floats, Ints
from partsdb.matching.two_lists.words import split_measure
from partsdb.rules.numbers import difference

_PIECE = re.compile(r"[^\s,;:|()\[\]{}\"]+")
_SHORTEST, _LONGEST = 4, 24
# A bare number is a code from five digits on: four are a year or a size.
_BARE_DIGITS = 5
# A code inside the other's letters and digits must be this long to be no accident.
_INSIDE = 5
# An affix longer than this makes another number of it.
_AFFIX = 4
# What a kind of difference leaves of the agreement, and what each sign of the affix takes.
_AGREEMENT = {"same": 1.0, "look-alike": 0.9, "head": 0.8, "tail": 0.75, "inside": 0.7}
_PER_SIGN = 0.03
_NEAR = {"substituted digit", "substituted letter", "transposed"}
# Agreement that is next to none: the codes stand against each other.
_DISAGREE = 0.3


@dataclass(frozen=True, slots=True)
class Code:
    """A code as letters and digits, and the column it stands in."""

    text: str
    column: int


@dataclass(frozen=True, slots=True)
class CodeEvidence:
    """Per pair of rows: the best agreement, whether all codes differ, whether two nearly agree."""

    agreement: Floats
    conflict: Floats
    near_miss: Floats


def codes_of(cells: Iterable[tuple[int, str]]) -> tuple[Code, ...]:
    """Return the codes of plain cells, each once, in their order."""
    found: dict[str, Code] = {}
    for column, cell in cells:
        for piece in _PIECE.findall(cell):
            halves = piece.split("/") if "/" in piece else []
            for part in (piece, *halves):
                text = "".join(filter(str.isalnum, part))
                if text not in found and is_code(text):
                    found[text] = Code(text, column)
    return tuple(found.values())


@lru_cache(maxsize=1 << 18)
def is_code(text: str) -> bool:
    """Say whether letters and digits look like a part number, not like a word or a measure."""
    digits = sum(sign.isdecimal() for sign in text)
    if not digits or not _SHORTEST <= len(text) <= _LONGEST:
        return False
    if digits == len(text):
        return digits >= _BARE_DIGITS
    return len(split_measure(text)) == 1


class CodeComparison:
    """Compares the codes of pairs of rows, a code weighing less the more rows have it."""

    def __init__(
        self,
        codes: tuple[Sequence[Sequence[Code]], Sequence[Sequence[Code]]],
        signs: tuple[Sequence[str], Sequence[str]],
    ) -> None:
        self.codes = [[[code.text for code in row] for row in rows] for rows in codes]
        self.signs = signs
        counts = [Counter(code for row in rows for code in row) for rows in self.codes]
        self.rows_with = counts[0] | counts[1]

    def evidence(self, pairs: Ints) -> CodeEvidence:
        """Return the evidence of every pair of rows."""
        out = np.zeros((len(pairs), 3))
        for at, (left, right) in enumerate(pairs.tolist()):
            ours, theirs = self.codes[0][left], self.codes[1][right]
            if ours or theirs:
                out[at] = self._compare(left, right, ours, theirs)
        return CodeEvidence(out[:, 0], out[:, 1], out[:, 2])

    def _compare(
        self, left: int, right: int, ours: list[str], theirs: list[str]
    ) -> tuple[float, float, float]:
        best, near = 0.0, False
        for a in ours:
            for b in theirs:
                share, is_near = code_agreement(a, b)
                near = near or is_near
                if share:
                    best = max(
                        best, share * self._weight(max(self.rows_with[a], self.rows_with[b]))
                    )
        if best < _AGREEMENT["inside"]:
            best = max(best, self._inside(ours, self.signs[1][right]))
            best = max(best, self._inside(theirs, self.signs[0][left]))
        against = best < _DISAGREE and bool(ours) and bool(theirs)
        return best, float(against), float(against and near)

    def _inside(self, codes: list[str], signs: str) -> float:
        """Return the agreement of codes that stand somewhere within the other row's signs."""
        return max(
            (
                _AGREEMENT["inside"] * self._weight(self.rows_with[code])
                for code in codes
                if len(code) >= _INSIDE and code in signs
            ),
            default=0.0,
        )

    @staticmethod
    def _weight(rows: int) -> float:
        """Return 1 for a code of one row in either list, less where siblings share it."""
        return math.sqrt(min(1.0, 1.5 / max(1, rows)))


@lru_cache(maxsize=1 << 18)
def code_agreement(a: str, b: str) -> tuple[float, bool]:
    """Return the agreement of two codes, 0 to 1, and whether they miss each other narrowly."""
    if a == b:
        return _AGREEMENT["same"], False
    short, long = sorted((a, b), key=len)
    added = len(long) - len(short)
    if added > _AFFIX or (short[:2] != long[:2] and short[-2:] != long[-2:]):
        return 0.0, False
    if not added:
        kind = difference(a, b).kind
        return (_AGREEMENT["look-alike"], False) if kind == "look-alike" else (0.0, kind in _NEAR)
    if long.startswith(short) and len(short) >= _INSIDE:
        return _AGREEMENT["head"] - _PER_SIGN * added, False
    if long.endswith(short):
        return _AGREEMENT["tail"] - _PER_SIGN * added, False
    return 0.0, False
