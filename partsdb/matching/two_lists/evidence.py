"""The evidence for each candidate pair, one array of figures per kind.

Everything is computed from the two lists alone; `words_of` and rarity decide what a word weighs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from partsdb.matching.two_lists.codes import CodeComparison
from partsdb.matching.two_lists.measures import (
    learned_units,
    measure_conflicts,
    measures_in,
    number_shares,
)
from partsdb.matching.two_lists.records import Columns, amount
from partsdb.matching.two_lists.sides import Side, reaches
from partsdb.matching.two_lists.trust import Names, names
from partsdb.matching.two_lists.vectors import (
    Floats,
    Ints,
    Matrix,
    Vocabulary,
    indicators,
    row_dots,
    row_sums,
    unit_rows,
    vocabulary,
    weighted,
)
from partsdb.matching.two_lists.words import grams, is_number

Evidence = dict[str, Floats]

# Stands in an amount's place where either side gives none.
NO_AMOUNT = -1.0


@dataclass(frozen=True, slots=True)
class Matrices:
    """The rows of both lists as vectors, always (left, right)."""

    words: Vocabulary
    grams: Vocabulary
    all_words: tuple[Matrix, Matrix]
    reached: tuple[Matrix, Matrix]
    trusted: tuple[Matrix, Matrix]
    name_words: tuple[Matrix, Matrix]
    name_grams: tuple[Matrix, Matrix]


@dataclass(frozen=True, slots=True)
class Compared:
    """Both lists made ready, what is learned of them, and their vectors."""

    left: Side
    right: Side
    names: Names
    columns: Columns
    matrices: Matrices


def compared(left: Side, right: Side, columns: Columns) -> Compared:
    """Return both lists with their vocabulary, their learned names and their vectors."""
    sides = (left, right)
    words = vocabulary(left.texts(), right.texts())
    reached = reaches(sides, words.place.keys())
    learned = names(left, right, reached, words)
    both = (learned.left, learned.right)
    spelled = [[grams(" ".join(name)) for name in rows] for rows in both]
    of_grams = vocabulary(*spelled)
    matrices = Matrices(
        words,
        of_grams,
        _pair(indicators(one.texts(), words) for one in sides),
        _pair(indicators(rows, words) for rows in reached),
        (learned.left_trust, learned.right_trust),
        _pair(indicators(rows, words) for rows in both),
        _pair(indicators(rows, of_grams) for rows in spelled),
    )
    return Compared(left, right, learned, columns, matrices)


def _pair(made: Iterable[Matrix]) -> tuple[Matrix, Matrix]:
    left, right = made
    return left, right


def evidence(both: Compared, pairs: Ints) -> Evidence:
    """Return every kind of evidence for the candidate pairs (left row, right row)."""
    return {
        **_likeness(both.matrices, pairs),
        **_coverage(both.matrices, pairs),
        **_codes(both, pairs),
        **_numbers(both, pairs),
        **_amounts(both, pairs),
    }


def _likeness(m: Matrices, pairs: Ints) -> Evidence:
    """Return cosines: all words, trusted words, the names' words, the names' spelling."""

    def cosine(rows: tuple[Matrix, Matrix], rarity: Floats) -> Floats:
        a, b = (unit_rows(weighted(matrix, rarity)) for matrix in rows)
        return row_dots(a, b, pairs)

    return {
        "all words": cosine(m.all_words, m.words.rarity),
        "trusted words": cosine(m.trusted, m.words.rarity),
        "name words": cosine(m.name_words, m.words.rarity),
        "name spelling": cosine(m.name_grams, m.grams.rarity),
    }


def _coverage(m: Matrices, pairs: Ints) -> Evidence:
    """Return how much of each row's rare words, and of its name's spelling, the other has."""
    found = {}
    for kind, rows, over, rarity in (
        ("trusted", m.trusted, m.reached, m.words.rarity),
        ("name", m.name_words, m.reached, m.words.rarity),
        ("spelling", m.name_grams, m.name_grams, m.grams.rarity),
    ):
        ours, theirs = (weighted(matrix, rarity) for matrix in rows)
        left, right = row_sums(ours)[pairs[:, 0]], row_sums(theirs)[pairs[:, 1]]
        left_hit, right_hit = row_dots(ours, over[1], pairs), row_dots(over[0], theirs, pairs)
        found[f"{kind} covered left"] = left_hit / np.maximum(left, 1e-9)
        found[f"{kind} covered right"] = right_hit / np.maximum(right, 1e-9)
        if kind == "trusted":
            found["missing left"], found["missing right"] = left - left_hit, right - right_hit
            found["common weight"] = np.minimum(left_hit, right_hit)
    return found


def _codes(both: Compared, pairs: Ints) -> Evidence:
    comparison = CodeComparison(
        (both.left.codes, both.right.codes), (both.left.signs, both.right.signs)
    )
    found = comparison.evidence(pairs)
    return {
        "code": found.agreement,
        "code conflict": found.conflict,
        "code near miss": found.near_miss,
    }


def _numbers(both: Compared, pairs: Ints) -> Evidence:
    """Return numbers of the names: shared, at odds, not reached on the other side; measures."""
    m, named = both.matrices, (both.names.left, both.names.right)
    share, conflict = number_shares(*named, pairs)
    of_number = np.zeros(len(m.words.place))
    for word, at in m.words.place.items():
        of_number[at] = is_number(word)
    ours, theirs = (weighted(matrix, of_number) for matrix in m.name_words)
    left, right = row_sums(ours)[pairs[:, 0]], row_sums(theirs)[pairs[:, 1]]
    left_miss = left - row_dots(ours, m.reached[1], pairs)
    right_miss = right - row_dots(m.reached[0], theirs, pairs)
    units = learned_units([*named[0], *named[1]])
    measures = [measures_in(rows, units) for rows in named]
    return {
        "numbers shared": share,
        "numbers at odds": conflict,
        "numbers missing both": np.minimum(left_miss, right_miss),
        "numbers missing either": np.maximum(left_miss, right_miss),
        "numbers found": np.minimum(left - left_miss, right - right_miss),
        "measures at odds": measure_conflicts(measures[0], measures[1], pairs),
    }


def _amounts(both: Compared, pairs: Ints) -> Evidence:
    """Return for each pair of amount columns how far apart the amounts are, as a logarithm."""
    found = {}
    for at, (ours, theirs) in enumerate(both.columns.amounts):
        a = np.array([amount(row[ours]) or 0.0 for row in both.left.cells])[pairs[:, 0]]
        b = np.array([amount(row[theirs]) or 0.0 for row in both.right.cells])[pairs[:, 1]]
        known = (a > 0) & (b > 0)
        ratio = np.where(known, a, 1.0) / np.where(known, b, 1.0)
        found[f"amount {at}"] = np.where(known, np.abs(np.log(ratio)), NO_AMOUNT)
    return found
