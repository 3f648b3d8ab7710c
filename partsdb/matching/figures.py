"""What two descriptions state otherwise in figures or sides: voltage, orifice, upper and lower.

The engine for long lists compares measures by kind (`engine.words`). The same reading of the same
words is asked here, so that a line contradicts the same parts whichever way its list is read.
"""

from __future__ import annotations

from functools import lru_cache

from partsdb.matching.engine.described import MOST_MEASURES
from partsdb.matching.engine.small_words import first_conflict, stated_measures
from partsdb.matching.engine.texts import word_places
from partsdb.matching.engine.words import DECIMAL, KIND_NAMES, LENGTH, SIDE, VOLTAGE, word_sense

# Pressures, threads, materials and models are compared trait by trait (`traits`), and bare whole
# figures count too many things.
_KINDS = frozenset((VOLTAGE, SIDE, DECIMAL, LENGTH))


def contradicted_figure(mine: str, theirs: str) -> str:
    """Return the kind of the first figure of one description that the other states otherwise.

    "" when there is none: what only one of them states contradicts nothing.
    """
    ours = _stated(mine)
    if not ours:
        return ""
    kind = first_conflict(ours, [(kind, value) for kind, value, _ in _stated(theirs)])
    return KIND_NAMES[kind] if kind else ""


@lru_cache(maxsize=65536)
def _stated(text: str) -> tuple[tuple[int, float, bool], ...]:
    """Return (kind, value, stated by the last word) of each figure or side."""
    found = word_places(text)
    senses, touches = [word_sense(word) for word, _ in found], [near for _, near in found]
    stated = stated_measures(senses, touches)[:MOST_MEASURES]
    return tuple(measure for measure in stated if measure[0] in _KINDS)
