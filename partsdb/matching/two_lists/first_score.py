"""The first score of a pair: its evidence with weights set by reasons, before anything is fitted.

A rare code counts like the whole name, what stands against a pair takes off about half of what
the like evidence adds, and where an amount is missing the pair is neither helped nor punished.
"""

from __future__ import annotations

import numpy as np

from partsdb.matching.two_lists.evidence import Evidence
from partsdb.matching.two_lists.vectors import Floats

_WEIGHTS = {
    "all words": 0.9,
    "name words": 0.9,
    "name spelling": 0.9,
    "name covered left": 0.5,
    "name covered right": 0.5,
    "code": 1.3,
    "code conflict": -0.5,
    "numbers shared": 0.3,
    "numbers at odds": -0.25,
    "numbers missing both": -0.15,
}
_COVERED_BOTH = 0.5
_SPELLING_INSIDE = 0.5
# Amounts: per unit of the logarithm (a factor of e), no more than a factor of 4.5 apart.
_AMOUNT = -0.4
_AMOUNT_MOST = 1.5
_AMOUNT_UNKNOWN = 0.35


def first_score(found: Evidence) -> Floats:
    """Return the score of each pair; about 0 for strangers, 3 and more for twins."""
    score = np.sum([weight * found[kind] for kind, weight in _WEIGHTS.items()], axis=0)
    score += _COVERED_BOTH * np.minimum(found["name covered left"], found["name covered right"])
    score += _SPELLING_INSIDE * np.maximum(
        found["spelling covered left"], found["spelling covered right"]
    )
    for kind, apart in found.items():
        if kind.startswith("amount"):
            far = np.where(apart < 0, _AMOUNT_UNKNOWN, np.clip(apart, 0, _AMOUNT_MOST))
            score += _AMOUNT * far
    return np.asarray(score, float)
