"""The second score: a logistic fit to what the first score believes.

The first score's beliefs are soft labels; the fit finds what the lists' own evidence says about
them, and judges words that the first score could only weigh by rarity. It is done once: every
further round would learn more of its own mistakes.
"""

from __future__ import annotations

import numpy as np
from numpy.linalg import solve

from partsdb.matching.two_lists.evidence import Evidence, Matrices
from partsdb.matching.two_lists.vectors import Floats, Ints
from partsdb.matching.two_lists.word_evidence import word_evidence

# Strength of the pull to zero: as much as so many pairs say. Strong, because much of the evidence
# says the same twice: the weight is then shared among the kinds, and no single one runs away.
_PULL = 50.0
_STEPS = 30
_SMALL = 1e-6
_FARTHEST = 30.0
_CODE_LEVELS = (0.6, 0.95)
_AMOUNT_NEAR = 0.1
_AMOUNT_MOST = 1.5


def refined_score(m: Matrices, pairs: Ints, found: Evidence, belief: Floats) -> Floats:
    """Return the log-odds that the fit gives each pair."""
    rows = design({**found, **word_evidence(m, pairs, belief)})
    return rows @ fit(rows, belief)


def design(found: Evidence) -> Floats:
    """Return the evidence as columns of mean 0 and spread 1, a column of ones first."""
    columns = []
    for kind, values in found.items():
        columns += _amount_columns(values) if kind.startswith("amount") else [values]
    code = found["code"]
    covered = found["name covered left"], found["name covered right"]
    trusted = found["trusted covered left"], found["trusted covered right"]
    columns += [(code > level).astype(float) for level in _CODE_LEVELS]
    columns += [np.minimum(*covered), np.minimum(*trusted), code * np.maximum(*covered)]
    rows = np.column_stack(columns)
    rows = (rows - rows.mean(axis=0)) / (rows.std(axis=0) + 1e-9)
    return np.column_stack((np.ones(len(rows)), rows))


def _amount_columns(apart: Floats) -> list[Floats]:
    """Return an amount's distance, its near part and whether it is unknown, as three columns."""
    unknown = apart < 0
    usual = float(np.median(apart[~unknown])) if not unknown.all() else 0.0
    far = np.where(unknown, usual, np.minimum(apart, _AMOUNT_MOST))
    return [far, np.minimum(far, _AMOUNT_NEAR), unknown.astype(float)]


def fit(rows: Floats, belief: Floats) -> Floats:
    """Return the weights of the logistic model with the greatest likelihood (Newton's steps)."""
    weights = np.zeros(rows.shape[1])
    pull = np.full(rows.shape[1], _PULL)
    pull[0] = _SMALL
    for _ in range(_STEPS):
        chance = 1 / (1 + np.exp(-np.clip(rows @ weights, -_FARTHEST, _FARTHEST)))
        slope = rows.T @ (belief - chance) - pull * weights
        curve = (rows * (chance * (1 - chance) + 1e-9)[:, None]).T @ rows + np.diag(pull)
        step = solve(curve, slope)
        weights = weights + step
        if np.abs(step).max() < _SMALL:
            break
    return weights
