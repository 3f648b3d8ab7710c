"""Matches two whole lists by text: which row of the one is which row of the other.

Candidates -> evidence -> first score -> one-to-one beliefs -> refined score -> assignment -> cut.
No labels, no headings' meaning, the same settings for every pair of lists. The result does not
depend on the order of the rows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partsdb.matching.two_lists.assignment import Cut, beliefs, cut, one_to_one, two_rounds
from partsdb.matching.two_lists.candidates import candidates
from partsdb.matching.two_lists.evidence import Compared, Evidence, compared, evidence
from partsdb.matching.two_lists.first_score import first_score
from partsdb.matching.two_lists.records import Listing, columns
from partsdb.matching.two_lists.refinement import refined_score
from partsdb.matching.two_lists.sides import side
from partsdb.matching.two_lists.vectors import Floats, Ints

# Fewer believed pairs than this teach nothing: the first score then decides.
_ENOUGH_TO_LEARN = 40
# A fit that finds this many times fewer or more true pairs than the first score has collapsed.
_COLLAPSE = 1.5
OFFERED = 10
_FARTHEST = 30.0


@dataclass(frozen=True, slots=True)
class Pair:
    """A settled pair: the ids of both rows, and the score that settled it."""

    left: str
    right: str
    score: float


@dataclass(frozen=True, slots=True)
class Matching:
    """What two lists have in common: settled pairs, best first; per left id the ten nearest."""

    settled: tuple[Pair, ...]
    nearest: dict[str, tuple[str, ...]]
    refined: bool


@dataclass(frozen=True, slots=True)
class _Scored:
    scores: Floats
    cut: Cut
    refined: bool


def match_lists(left: Listing, right: Listing) -> Matching:
    """Return the rows of both lists that are the same thing, at most one for each row."""
    left, right = left.in_order(), right.in_order()
    which = columns(left, right)
    both = compared(side(left, which.left_texts), side(right, which.right_texts), which)
    pairs = candidates(both)
    if not len(pairs):
        return Matching((), {}, False)
    found = evidence(both, pairs)
    scored = _scored(both, pairs, found)
    taken = one_to_one(pairs, scored.scores)
    settled = taken[scored.scores[taken] >= scored.cut.score]
    names = both.left.idents, both.right.idents
    return Matching(
        tuple(
            Pair(names[0][pairs[at, 0]], names[1][pairs[at, 1]], float(scored.scores[at]))
            for at in settled
        ),
        _nearest(names, pairs, scored.scores),
        scored.refined,
    )


def _scored(both: Compared, pairs: Ints, found: Evidence) -> _Scored:
    """Return the refined score with its cut, or the first where there is too little to learn."""
    first = first_score(found)
    rounds = two_rounds(pairs, first)
    first_cut = cut(first, rounds)
    belief = beliefs(first, rounds)
    if belief.sum() < _ENOUGH_TO_LEARN:
        return _Scored(first, first_cut, False)
    refined = refined_score(both.matrices, pairs, found, belief)
    refined_cut = cut(refined, two_rounds(pairs, refined))
    ratio = refined_cut.expected_true / max(1.0, first_cut.expected_true)
    if not 1 / _COLLAPSE <= ratio <= _COLLAPSE:
        return _Scored(first, first_cut, False)
    return _Scored(refined, refined_cut, True)


def _nearest(
    names: tuple[tuple[str, ...], tuple[str, ...]], pairs: Ints, scores: Floats
) -> dict[str, tuple[str, ...]]:
    """Return the ids offered for each left id, best first.

    A right row that others want more is offered later: it has one partner only.
    """
    wanted = np.bincount(pairs[:, 1], np.exp(np.clip(scores, -_FARTHEST, _FARTHEST)))
    ranked = np.round(scores - np.log1p(wanted[pairs[:, 1]]), 9)
    order = np.lexsort((pairs[:, 1], -ranked, pairs[:, 0]))
    offered: dict[str, list[str]] = {}
    for at in order:
        row = offered.setdefault(names[0][pairs[at, 0]], [])
        if len(row) < OFFERED:
            row.append(names[1][pairs[at, 1]])
    return {left: tuple(rights) for left, rights in offered.items()}
