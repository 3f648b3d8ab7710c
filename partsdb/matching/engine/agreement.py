"""How far a part's description explains a line's, and where the two contradict each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from partsdb.matching.engine.decision import FIT_STEP
from partsdb.matching.engine.words import VOLTAGE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import F32, I32, I64, U8, Bool
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.line_words import LineWords

# Pairs compared at once: their columns stay in the processor's cache.
_SLICE = 16_000
# Physical measures (kinds up to VOLTAGE) agree within this share: labels round what they convert.
TOLERANCE, EXACT = 0.0051, 1e-6
# Stands for "the line says nothing that could be compared".
UNSAID = 127
LEAST_HELD = 5_000
# What a contradiction takes off the percent explained when parts are compared.
CONFLICT_COST = 50


@dataclass(frozen=True, slots=True)
class Agreement:
    """For each pair of line and part: percent of the line's words that the part explains (UNSAID:
    none could be), percent of the part's that the line holds, and the kind of measure in which
    they contradict each other (0: none, 15: letters with a figure).

    `fit` orders parts finely: hundredths of a percent explained, then those held. `apart` says that
    neither begins with a word of the other: the nouns of two articles, as catalogues write them.
    """

    explained: U8
    held: U8
    conflict: U8
    fit: I32
    apart: Bool


@dataclass(frozen=True, slots=True)
class _Shared:
    """What lines and parts share, pair by pair; `held` word by word of the part."""

    explained: I32
    total: I32
    held: Bool
    in_order: Bool
    apart: Bool


def agreement(lines: LineWords, index: Index, line: I64, row: I64) -> Agreement:
    """Compare each line with the part at each row."""
    import numpy as np

    pieces = [
        _compare(lines, index, line[start : start + _SLICE], row[start : start + _SLICE])
        for start in range(0, len(line), _SLICE)
    ]
    if not pieces:
        none = np.zeros(0, dtype=np.uint8)
        return Agreement(none, none, none, np.zeros(0, np.int32), np.zeros(0, np.bool_))
    return Agreement(
        np.concatenate([piece.explained for piece in pieces]),
        np.concatenate([piece.held for piece in pieces]),
        np.concatenate([piece.conflict for piece in pieces]),
        np.concatenate([piece.fit for piece in pieces]),
        np.concatenate([piece.apart for piece in pieces]),
    )


def _compare(lines: LineWords, index: Index, line: I64, row: I64) -> Agreement:
    """Compare some pairs. Everything lies column by column: short rows are slow in numpy."""
    import numpy as np

    width, measured = index.widths
    facts = _columns(index.gather("facts", row))
    theirs = facts[:width]
    shared = _shared(lines, line, theirs)
    rarity = index.vocabulary("word_rarity")
    own = np.where(theirs >= 0, rarity[np.maximum(theirs, 0)], np.int32(0))
    whole, seen = own[0].copy(), own[0] * shared.held[0]
    for each, is_held in zip(own[1:], shared.held[1:], strict=True):
        whole += each
        seen += each * is_held
    values = facts[width + measured :].view(np.float32)
    conflict = _conflicts(lines, line, facts[width : width + measured], values)
    told, shown = _share(shared.explained, shared.total), _share(seen, whole)
    # A line that holds little of a part may be cut: then a short description holds no promise.
    sequence = np.where(shown >= LEAST_HELD, shown, 0) + shared.in_order
    return Agreement(
        np.where(shared.total > 0, told // 100, UNSAID).astype(np.uint8),
        (shown // 100).astype(np.uint8),
        conflict,
        (told - CONFLICT_COST * 100 * (conflict > 0)) * FIT_STEP + sequence,
        shared.apart & ~shared.held[0],
    )


def _shared(lines: LineWords, line: I64, theirs: I32) -> _Shared:
    """Compare the words of lines with those of parts, which stand column by column."""
    import numpy as np

    ours, soft = _columns(lines.words[line]), _columns(lines.soft[line])
    weight, gain = _columns(lines.weight[line]), _columns(lines.gain[line])
    explained: I32 = np.zeros(len(line), dtype=np.int32)
    total: I32 = np.zeros(len(line), dtype=np.int32)
    held: Bool = np.zeros(theirs.shape, dtype=np.bool_)
    in_order: Bool = np.ones(len(line), dtype=np.bool_)
    apart: Bool = (ours[0] >= 0) & (theirs[0] >= 0)
    for place, own in enumerate(ours):
        # No part has the word -2, so what is no word at all (-1) meets nothing.
        word = np.where(own < 0, np.int32(-2), own)
        hit: Bool = np.zeros(len(line), dtype=np.bool_)
        for other, is_held in zip(theirs, held, strict=True):
            same = other == word
            hit |= same
            is_held |= same
        gained = gain[place] * hit
        explained += gained
        total += np.where(hit, gained, weight[place] * ~soft[place])
        in_order &= own == (theirs[place] if place < len(theirs) else np.int32(-1))
        if place == 0:
            apart &= ~hit
    if len(ours) < len(theirs):
        in_order &= theirs[len(ours)] < 0
    return _Shared(explained, total, held, in_order, apart)


def _columns(matrix: NDArray[Any]) -> NDArray[Any]:
    """Return the columns of a matrix as rows of their own."""
    import numpy as np

    return np.ascontiguousarray(matrix.T)


def _share(part: I32, whole: I32) -> I32:
    """Return whole hundredths of a percent."""
    import numpy as np

    return (part.astype(np.int64) * 10_000 // np.maximum(whole, 1)).astype(np.int32)


def _conflicts(lines: LineWords, line: I64, theirs: I32, their_values: F32) -> U8:
    """Return the kind of the first measure of each line that its part states otherwise."""
    import numpy as np

    kinds, values = _columns(lines.stated.kind[line]), _columns(lines.stated.value[line])
    last = _columns(lines.stated.last[line])
    conflict: U8 = np.zeros(len(line), dtype=np.uint8)
    for kind, value, is_last in zip(kinds, values, last, strict=True):
        comparable: Bool = np.zeros(len(line), dtype=np.bool_)
        agrees: Bool = kind == 0
        within = np.where(kind <= VOLTAGE, np.float32(TOLERANCE), np.float32(EXACT))
        for other, measured in zip(theirs, their_values, strict=True):
            like = other == kind
            comparable |= like
            near = np.abs(value - measured) <= within * np.maximum(np.abs(value), np.abs(measured))
            agrees |= like & near
        doubt = np.flatnonzero(comparable & ~agrees & is_last)
        for other, measured in zip(theirs[:, doubt], their_values[:, doubt], strict=True):
            agrees[doubt] |= (other == kind[doubt]) & _begins(value[doubt], measured)
        fresh = comparable & ~agrees & (conflict == 0)
        conflict[fresh] = np.minimum(kind[fresh], 15)
    return conflict


def _begins(value: F32, other: F32) -> Bool:
    """Say whether a figure is the first digits of a part's, as a cut description leaves it."""
    import numpy as np

    begins: Bool = np.zeros(len(value), dtype=np.bool_)
    for power in (10, 100, 1000):
        begins |= np.floor(other / power) == value
    return begins & (value > 0)
