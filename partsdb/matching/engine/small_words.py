"""What a few words of a description measure, and whether a part states it otherwise: plain Python.

The same arithmetic as `described` and `agreement` do for columns; tests hold them together.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from itertools import pairwise
from math import floor

from partsdb.matching.engine.agreement import EXACT, TOLERANCE
from partsdb.matching.engine.words import (
    COUNTED,
    DECIMAL,
    INTEGER,
    LENGTH,
    VOLTAGE,
    WordSense,
)


def single(value: float) -> float:
    """Return a number rounded as a 32-bit float holds it."""
    return float(struct.unpack("f", struct.pack("f", value))[0])


def stated_measures(senses: list[WordSense], touches: list[bool]) -> list[tuple[int, float, bool]]:
    """Return the measures stated, figures joined with the unit or fraction that follows."""
    values = [single(sense.value) for sense in senses]
    kinds = [sense.kind for sense in senses]
    for at, (sense, after) in enumerate(pairwise(senses)):
        if sense.kind not in (INTEGER, DECIMAL):
            continue
        figure = single(sense.value)
        if touches[at] and sense.kind == INTEGER and after.kind == LENGTH and figure < 100:
            values[at + 1] = single(values[at + 1] + single(figure * single(25.4)))
            kinds[at] = 0
        elif after.unit > 0:
            values[at] = single(values[at] * single(after.scale))
            kinds[at] = after.unit
        if after.unit == COUNTED:
            kinds[at] = 0
    last = len(senses) - 1
    return [
        (k, v, at == last) for at, (k, v) in enumerate(zip(kinds, values, strict=True)) if k > 0
    ]


def first_conflict(
    measures: Sequence[tuple[int, float, bool]], measured: list[tuple[int, float]]
) -> int:
    """Return the kind of the first measure that the part states otherwise, 0 for none."""
    for kind, value, is_last in measures:
        others = [other for their_kind, other in measured if their_kind == kind]
        if not others or any(_same(kind, value, other) for other in others):
            continue
        if not (is_last and any(_begins(value, other) for other in others)):
            return min(kind, 15)
    return 0


def _same(kind: int, value: float, other: float) -> bool:
    within = single(TOLERANCE if kind <= VOLTAGE else EXACT)
    return single(abs(value - other)) <= single(within * max(abs(value), abs(other)))


def _begins(value: float, other: float) -> bool:
    return value > 0 and any(floor(single(other / power)) == value for power in (10, 100, 1000))
