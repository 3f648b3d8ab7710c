"""What each word says when it is missing, or found, on the other side; learned from beliefs.

"Upgrade" missing on one side tells siblings apart, "software" missing tells nothing. Which word
is which comes from the pairs believed true and those believed false; words seen too rarely are
judged by their class (number, plain word or mixed; rarity).
"""

from __future__ import annotations

import numpy as np
import scipy.sparse as sp

from partsdb.matching.two_lists.evidence import Evidence, Matrices
from partsdb.matching.two_lists.vectors import Floats, Ints, Matrix, Vocabulary
from partsdb.matching.two_lists.words import is_number

# A word's own counts weigh as much as its class's from so many pairs on.
_PRIOR_PAIRS = 15.0
_RARITY_STEP = 1.2
_RARITY_STEPS = 7
_KINDS = 3


def word_evidence(m: Matrices, pairs: Ints, belief: Floats) -> Evidence:
    """Return the log-likelihood ratios of missing and of found words, summed over both names."""
    classes = _classes(m.words)
    missing, found = [], []
    for ours, theirs in ((0, 1), (1, 0)):
        present = m.name_words[ours][pairs[:, ours]]
        hit = present.multiply(m.reached[theirs][pairs[:, theirs]]).tocsr()
        gone = (present - hit).tocsr()
        gone.eliminate_zeros()
        if_true = _missing_rate(present, gone, belief, classes)
        if_false = _missing_rate(present, gone, 1 - belief, classes)
        missing.append(gone @ np.log(if_true / if_false))
        found.append(hit @ np.log((1 - if_true) / (1 - if_false)))
    return {
        "words missing": missing[0] + missing[1],
        "words found": found[0] + found[1],
        "words missing worse": np.minimum(missing[0], missing[1]),
    }


def _missing_rate(present: Matrix, gone: Matrix, weight: Floats, classes: Matrix) -> Floats:
    """Return how often each word is missing on the other side, drawn to its class's rate."""
    seen, missed = present.T @ weight, gone.T @ weight
    base = (classes.T @ missed + 1) / (classes.T @ seen + 2)
    return np.asarray((missed + _PRIOR_PAIRS * (classes @ base)) / (seen + _PRIOR_PAIRS), float)


def _classes(words: Vocabulary) -> Matrix:
    """Return the matrix of words and classes: kind of word times step of rarity."""
    step = np.minimum((words.rarity / _RARITY_STEP).astype(int), _RARITY_STEPS - 1)
    step = np.maximum(step, 0)
    kind = np.array([_kind(word) for word in words.place], int)
    shape = (len(words.place), _KINDS * _RARITY_STEPS)
    at = np.arange(len(words.place))
    return sp.csr_matrix((np.ones(len(at)), (at, kind * _RARITY_STEPS + step)), shape)


def _kind(word: str) -> int:
    if is_number(word):
        return 0
    return 1 if word.isalpha() else 2
