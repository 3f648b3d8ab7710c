"""How far a part's description explains a line's, and where the two contradict each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.engine.words import LENGTH, PRESSURE, VOLTAGE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import F32, I32, I64, U8, Bool
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.line_words import LineWords

_SLICE = 100_000
# Two physical measures agree within this share: units are converted and rounded on labels.
_TOLERANCE, _EXACT = 0.005, 1e-6
# Stands for "the line says nothing that could be compared".
UNSAID = 127


@dataclass(frozen=True, slots=True)
class Agreement:
    """For each pair of line and part: percent of the line's words that the part explains (UNSAID:
    none could be), percent of the part's that the line holds, and the kind of measure in which
    they contradict each other (0: none, 15: letters with a figure)."""

    explained: U8
    held: U8
    conflict: U8


def agreement(lines: LineWords, index: Index, line: I64, row: I64) -> Agreement:
    """Compare each line with the part at each row."""
    import numpy as np

    pieces = [
        _compare(lines, index, line[start : start + _SLICE], row[start : start + _SLICE])
        for start in range(0, len(line), _SLICE)
    ]
    if not pieces:
        return Agreement(*(np.zeros(0, dtype=np.uint8) for _ in range(3)))
    return Agreement(
        np.concatenate([piece.explained for piece in pieces]),
        np.concatenate([piece.held for piece in pieces]),
        np.concatenate([piece.conflict for piece in pieces]),
    )


def _compare(lines: LineWords, index: Index, line: I64, row: I64) -> Agreement:
    import numpy as np

    theirs = index.gather("words", row)
    words, weight = lines.words[line], lines.weight[line]
    explained: F32 = np.zeros(len(line), dtype=np.float32)
    total: F32 = np.zeros(len(line), dtype=np.float32)
    held: Bool = np.zeros(theirs.shape, dtype=np.bool_)
    for place in range(words.shape[1]):
        at = np.flatnonzero(weight[:, place] > 0)
        if not len(at):
            break
        same = (theirs[at] == words[at, place, None]) & (words[at, place, None] >= 0)
        hit = same.any(axis=1)
        held[at] |= same
        gain = weight[at, place] * lines.gain[line[at], place]
        explained[at] += np.where(hit, gain, np.float32(0))
        lost = np.where(lines.soft[line[at], place], np.float32(0), weight[at, place])
        total[at] += np.where(hit, gain, lost)
    rarity = index.vocabulary("word_rarity")
    own = np.where(theirs >= 0, rarity[np.maximum(theirs, 0)], np.float32(0))
    return Agreement(
        np.where(total > 0, _percent(explained, total), UNSAID).astype(np.uint8),
        _percent((own * held).sum(axis=1), own.sum(axis=1)),
        _conflicts(lines, index, line, row),
    )


def _percent(part: F32, whole: F32) -> U8:
    """Return whole percents, rounded down; sums differ in their last bits by order of words."""
    import numpy as np

    share = part / np.maximum(whole, np.float32(1e-6))
    return np.floor(share * np.float32(100) + np.float32(0.01)).astype(np.uint8)


def _conflicts(lines: LineWords, index: Index, line: I64, row: I64) -> U8:
    """Return the kind of the first measure of each line that its part states otherwise."""
    import numpy as np

    kinds, values = lines.stated.kind[line], lines.stated.value[line]
    part_kinds = index.gather("measure_kind", row)
    part_values = index.gather("measure_value", row)
    conflict: U8 = np.zeros(len(line), dtype=np.uint8)
    for place in range(kinds.shape[1]):
        at = np.flatnonzero(kinds[:, place] > 0)
        if not len(at):
            break
        kind, value = kinds[at, place], values[at, place]
        comparable = part_kinds[at] == kind[:, None]
        same = _same_value(kind, value, part_values[at])
        cut = lines.stated.last[line[at], place, None] & _begins(value, part_values[at])
        against = comparable.any(axis=1) & ~(comparable & (same | cut)).any(axis=1)
        fresh = at[against & (conflict[at] == 0)]
        conflict[fresh] = np.minimum(kinds[fresh, place], 15)
    return conflict


def _same_value(kind: I32, value: F32, others: NDArray[np.float32]) -> Bool:
    """Say whether each value is the same as each of a part's."""
    import numpy as np

    physical = np.isin(kind, (PRESSURE, LENGTH, VOLTAGE))
    within = np.where(physical, np.float32(_TOLERANCE), np.float32(_EXACT))[:, None]
    largest = np.maximum(np.abs(value)[:, None], np.abs(others))
    same: Bool = np.abs(value[:, None] - others) <= within * largest
    return same


def _begins(value: F32, others: NDArray[np.float32]) -> Bool:
    """Say whether a figure is the first digits of a part's, as a cut description leaves it."""
    import numpy as np

    begins: Bool = np.zeros(others.shape, dtype=np.bool_)
    for power in (10, 100, 1000):
        begins |= np.floor(others / power) == value[:, None]
    return begins & (value[:, None] > 0)
