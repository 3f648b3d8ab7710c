"""Descriptions as matrices: the words of each text, and the measures that it states."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.engine.words import COUNTED, DECIMAL, INTEGER, LENGTH

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import F32, I32, Bool
    from partsdb.matching.engine.texts import Words

# Words and measures beyond these are not compared; real descriptions seldom have more.
MOST_WORDS, MOST_MEASURES = 24, 8


@dataclass(frozen=True, slots=True)
class Senses:
    """What each word of a column states, word by word (see `words.WordSense`)."""

    kind: I32
    value: F32
    unit: I32
    scale: F32


@dataclass(frozen=True, slots=True)
class Measures:
    """The measures of each text: kind (0: none), value, and whether its last word states it."""

    kind: I32
    value: F32
    last: Bool


def place_in_row(owner: I32, rows: int) -> I32:
    """Return 0, 1, 2 … for the items of each row; `owner` never falls."""
    import numpy as np

    counts = np.bincount(owner, minlength=rows)
    first = np.cumsum(counts) - counts
    return (np.arange(len(owner)) - first[owner]).astype(np.int32)


def word_matrix(ids: I32, owner: I32, rows: int, *, fill: int = -1) -> I32:
    """Return the words of each text in a row, at most MOST_WORDS."""
    import numpy as np

    place = place_in_row(owner, rows)
    width = min(MOST_WORDS, int(place.max(initial=0)) + 1)
    kept = place < width
    matrix: I32 = np.full((rows, width), fill, dtype=np.int32)
    matrix[owner[kept], place[kept]] = ids[kept]
    return matrix


def is_last(owner: I32) -> Bool:
    """Mark the last item of each row."""
    import numpy as np

    return np.r_[owner[1:] != owner[:-1], True] if len(owner) else np.zeros(0, dtype=bool)


def measures(words: Words, senses: Senses, rows: int) -> Measures:
    """Return what each text states, figures joined with the unit or fraction that follows."""
    import numpy as np

    kind, value = _with_units(words, senses)
    stated = np.flatnonzero(kind > 0)
    owner = words.owner[stated]
    place = place_in_row(owner, rows)
    width = min(MOST_MEASURES, int(place.max(initial=0)) + 1)
    kept = place < width
    at = owner[kept], place[kept]
    kinds: I32 = np.zeros((rows, width), dtype=np.int32)
    values: F32 = np.zeros((rows, width), dtype=np.float32)
    last: Bool = np.zeros((rows, width), dtype=bool)
    kinds[at] = kind[stated[kept]]
    values[at] = value[stated[kept]]
    last[at] = is_last(words.owner)[stated[kept]]
    return Measures(kinds, values, last)


def _with_units(words: Words, senses: Senses) -> tuple[I32, F32]:
    """Return the kind and value of each word once the word after it is known."""
    import numpy as np

    kind, value = senses.kind.copy(), senses.value.copy()
    if not len(kind):
        return kind, value
    follows = np.r_[words.owner[1:] == words.owner[:-1], False]
    touches = np.r_[words.starts[1:] == words.ends[:-1] + 1, False]
    next_kind, next_unit = np.roll(kind, -1), np.roll(senses.unit, -1)
    bare = (kind == INTEGER) | (kind == DECIMAL)
    mixed = follows & touches & (kind == INTEGER) & (next_kind == LENGTH) & (value < 100)
    upper = np.flatnonzero(mixed)
    value[upper + 1] += value[upper] * np.float32(25.4)
    kind[upper] = 0
    measured = np.flatnonzero(follows & bare & ~mixed & (next_unit > 0))
    value[measured] *= senses.scale[measured + 1]
    kind[measured] = senses.unit[measured + 1]
    kind[follows & bare & (next_unit == COUNTED)] = 0
    return kind, value
