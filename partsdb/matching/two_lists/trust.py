"""What the lists themselves say of their columns: which words are found again, which are names.

Both are learned from provisional pairs: rows that are each other's nearest by rare words, the
surer half of them. No labels, no headings and no column order are used.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray

from partsdb.matching.two_lists.sides import Side
from partsdb.matching.two_lists.vectors import (
    Floats,
    Ints,
    Matrix,
    Vocabulary,
    indicators,
    nearest,
    row_dots,
    unit_rows,
    weighted,
    without_frequent,
)
from partsdb.matching.two_lists.words import Word

Place = tuple[int, int]  # a column, and how far into the cell

# A word in more than this share of the rows finds no partner; it only costs time.
_FREQUENT_SHARE = 0.1
_FREQUENT_ROWS = 50
# Before anything is learned of a place, its words count little (1 found in 10).
_FOUND, _SEEN = 1.0, 10.0
_UNSEEN_PLACE = 0.1
# A column of so few words on average (a maker, a model) belongs to the name.
_FEW_WORDS = 5


@dataclass(frozen=True, slots=True)
class Names:
    """The words by which each list names its rows, and how far words of each place are trusted."""

    left: list[list[str]]
    right: list[list[str]]
    left_trust: Matrix
    right_trust: Matrix


def names(left: Side, right: Side, reached: Sequence[list[set[str]]], words: Vocabulary) -> Names:
    """Return names and trust, learned in two rounds, the second from the pairs of the first."""
    sides = (left, right)
    trusted = [indicators(one.texts(), words) for one in sides]
    for _ in range(2):
        pairs = provisional_pairs(trusted[0], trusted[1], words)
        found = [
            _found_again(left, reached[1], pairs, words),
            _found_again(right, reached[0], pairs[:, ::-1], words),
        ]
        trusted = [_trust(one, places, words) for one, places in zip(sides, found, strict=True)]
    chosen = _name_columns(sides, pairs, words)
    texts = [_names_of(one, column) for one, column in zip(sides, chosen, strict=True)]
    return Names(texts[0], texts[1], trusted[0], trusted[1])


def provisional_pairs(left: Matrix, right: Matrix, words: Vocabulary) -> Ints:
    """Return the rows that are each other's nearest by rare words, the surer half."""
    rows = left.shape[0] + right.shape[0]
    limit = max(_FREQUENT_ROWS, _FREQUENT_SHARE * rows)
    a, b = (
        without_frequent(unit_rows(weighted(matrix, words.rarity)), words.rows_with, limit)
        for matrix in (left, right)
    )
    pairs = nearest(a, b, each_left=1, each_right=1)
    scores = row_dots(a, b, pairs)
    mutual = _is_best(pairs[:, 0], scores) & _is_best(pairs[:, 1], scores)
    pairs, scores = pairs[mutual], scores[mutual]
    surer: Ints = pairs[scores >= np.median(scores)] if len(pairs) else pairs
    return surer


def _is_best(group: Ints, scores: Floats) -> NDArray[np.bool_]:
    """Say of each pair whether it has the best score of its row."""
    best = np.full(int(group.max(initial=-1)) + 1, -np.inf)
    np.maximum.at(best, group, scores)
    return np.asarray(scores >= best[group])


def _found_again(
    one: Side, reached: list[set[str]], pairs: Ints, words: Vocabulary
) -> dict[Place, float]:
    """Return per place the share of its words, rare ones counting more, that the partner has."""
    sums: dict[Place, list[float]] = {}
    for at, partner in pairs.tolist():
        for word in set(one.words[at]):
            weight = float(words.rarity[words.place[word.text]])
            entry = sums.setdefault((word.column, word.reach), [_FOUND, _SEEN])
            entry[1] += weight
            if word.text in reached[partner]:
                entry[0] += weight
    return {place: found / seen for place, (found, seen) in sums.items()}


def _trust(one: Side, found: Mapping[Place, float], words: Vocabulary) -> Matrix:
    """Return the matrix of rows and words, each word as trusted as the best place it stands in."""
    indices: list[int] = []
    values: list[float] = []
    ends = [0]
    for row in one.words:
        best: dict[int, float] = {}
        for word in row:
            at = words.place[word.text]
            trust = found.get((word.column, word.reach), _UNSEEN_PLACE)
            best[at] = max(trust, best.get(at, 0.0))
        indices += sorted(best)
        values += [best[at] for at in sorted(best)]
        ends.append(len(indices))
    shape = (len(one.words), len(words.place))
    return sp.csr_matrix((np.array(values), np.array(indices, int), np.array(ends)), shape)


def _name_columns(sides: Sequence[Side], pairs: Ints, words: Vocabulary) -> tuple[int, int]:
    """Return the column of each list whose texts resemble each other most in provisional pairs."""
    columns = [sorted({word.column for row in one.words for word in row}) for one in sides]
    vectors = [
        {
            column: unit_rows(weighted(indicators(_column(one, {column}), words), words.rarity))
            for column in found
        }
        for one, found in zip(sides, columns, strict=True)
    ]
    alike = [
        (float(row_dots(a, b, pairs).sum()), -at, -bt)
        for at, a in vectors[0].items()
        for bt, b in vectors[1].items()
    ]
    _, left, right = max(alike, default=(0.0, 0, 0))
    return -left, -right


def _column(one: Side, columns: Collection[int]) -> list[list[str]]:
    return [[word.text for word in row if word.column in columns] for row in one.words]


def _names_of(one: Side, name: int) -> list[list[str]]:
    """Return the words of the name column, with those of short columns that it does not repeat."""
    short = _short_columns(one.words, name)
    out = []
    for row in one.words:
        words = [word.text for word in row if word.column == name]
        known = set(words)
        out.append([w.text for w in row if w.column in short and w.text not in known] + words)
    return out


def _short_columns(rows: Sequence[Sequence[Word]], name: int) -> set[int]:
    """Return the columns, the name apart, whose filled cells hold few words on average."""
    counts: dict[int, list[int]] = {}
    for row in rows:
        here: dict[int, int] = {}
        for word in row:
            here[word.column] = here.get(word.column, 0) + 1
        for column, count in here.items():
            counts.setdefault(column, []).append(count)
    return {
        column
        for column, found in counts.items()
        if column != name and sum(found) <= _FEW_WORDS * len(found)
    }
