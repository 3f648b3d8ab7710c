"""One to one: the best pairs that no row shares, and the runners-up that tell chance from truth.

Take the first assignment's pairs out and assign again: what the second round finds are the best
wrong partners, so its scores show what chance alone reaches (the null).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from partsdb.matching.two_lists.vectors import Floats, Ints

# Scores under this quantile of the null are taken for chance in both rounds.
_CHANCE = 0.25
# Ties are what differs by no more than this: sums in another order differ in the last digits.
_DECIMALS = 9
# The null is optimistic (a runner-up is a little worse than the best wrong partner), so of all
# cuts within this of the best expected F1 the highest is taken.
_AS_GOOD = 0.002


@dataclass(frozen=True, slots=True)
class TwoRounds:
    """Indices of the pairs of the first assignment, and of the one without those pairs."""

    first: Ints
    second: Ints


@dataclass(frozen=True, slots=True)
class Cut:
    """The score from which pairs are settled, with the expected F1 and number of true pairs.

    Both expectations are optimistic: they place the cut and are never reported as quality.
    """

    score: float
    expected_f1: float
    expected_true: float


def one_to_one(pairs: Ints, scores: Floats) -> Ints:
    """Return the indices of the pairs taken greedily, best first, each row once."""
    order = np.lexsort((pairs[:, 1], pairs[:, 0], -np.round(scores, _DECIMALS)))
    left: set[int] = set()
    right: set[int] = set()
    taken = []
    for at in order.tolist():
        a, b = int(pairs[at, 0]), int(pairs[at, 1])
        if a not in left and b not in right:
            left.add(a)
            right.add(b)
            taken.append(at)
    return np.array(taken, np.int64)


def two_rounds(pairs: Ints, scores: Floats) -> TwoRounds:
    """Return the first assignment and the second, made of the pairs that are left."""
    first = one_to_one(pairs, scores)
    others = np.setdiff1d(np.arange(len(pairs)), first)
    return TwoRounds(first, others[one_to_one(pairs[others], scores[others])])


def cut(scores: Floats, rounds: TwoRounds) -> Cut:
    """Return the cut with the greatest F1 expected when false pairs score like runners-up."""
    ours = np.sort(scores[rounds.first])[::-1]
    null = np.sort(scores[rounds.second])[::-1]
    if not len(ours):
        return Cut(np.inf, 0.0, 0.0)
    count = np.arange(1, len(ours) + 1)
    above = np.searchsorted(-null, -ours, side="right").astype(float)
    false = np.minimum(count, _false_per_null(ours, null) * above)
    true = np.maximum.accumulate(count - false)
    f1 = 2 * true / (count + max(true[-1], 1e-9))
    best = int(np.argmax(f1 >= f1.max() - _AS_GOOD))
    return Cut(float(ours[best]), float(f1[best]), float(true[-1]))


def beliefs(scores: Floats, rounds: TwoRounds, most: float = 0.98) -> Floats:
    """Return how likely each pair is true: by how much the first round outnumbers the second.

    The ratio never falls as the score rises (pooled neighbours); pairs outside the first
    assignment get 0, since each row has one partner.
    """
    both = np.concatenate((scores[rounds.first], scores[rounds.second]))
    is_null = np.repeat((0.0, 1.0), (len(rounds.first), len(rounds.second)))
    order = np.argsort(-both, kind="stable")
    null_share = np.empty(len(both))
    null_share[order] = _rising(is_null[order])
    ours = null_share[: len(rounds.first)]
    odds = ours / np.maximum(1 - ours, 1e-3)
    per_null = _false_per_null(scores[rounds.first], scores[rounds.second])
    likely = np.clip(1 - per_null * odds, 0, 1)
    out = np.zeros(len(scores))
    out[rounds.first] = np.minimum(likely, most)
    return out


def _false_per_null(ours: Floats, null: Floats) -> float:
    """Return how many false pairs of the first round go with one of the null.

    Counted among the lowest scores, where no pair is true: estimating it from what looks true
    would feed on itself.
    """
    if not len(null):
        return 0.0
    low = np.quantile(null, _CHANCE)
    return float((ours <= low).sum() / max(1, (null <= low).sum()))


def _rising(values: Floats) -> Floats:
    """Return the closest values that never fall (neighbours that do are pooled)."""
    sums: list[float] = []
    counts: list[int] = []
    for value in values.tolist():
        sums.append(value)
        counts.append(1)
        while len(sums) > 1 and sums[-2] * counts[-1] >= sums[-1] * counts[-2]:
            pooled, of = sums.pop(), counts.pop()
            sums[-1] += pooled
            counts[-1] += of
    return np.repeat(np.array(sums) / np.array(counts), counts)
