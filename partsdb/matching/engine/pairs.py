"""Pairs of a line and a part that it may mean, and the numbers of a chunk of lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.hashing import finish, prefix_sums
from partsdb.matching.engine.texts import Keys, number_keys

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, I64, U64, Bool


@dataclass(frozen=True, slots=True)
class Pairs:
    """Lines, the rows of parts that each may mean, how found, and the affix if there was one."""

    line: I64
    row: I64
    way: I32
    affix: U64


@dataclass(frozen=True, slots=True)
class Numbers:
    """The numbers of a chunk of lines, ready to be looked up."""

    texts: Sequence[str]
    keys: Keys
    sums: U64
    hashes: U64

    @classmethod
    def of(cls, texts: Sequence[str]) -> Numbers:
        """Return the numbers of a column of codes."""
        keys = number_keys(texts)
        sums = prefix_sums(keys.rows)
        return cls(texts, keys, sums, finish(sums[:, -1]))


def as_pairs(line: I64, row: I64, way: int, affix: U64 | None = None) -> Pairs:
    """Return pairs that were all found in one way."""
    import numpy as np

    ways = np.full(len(line), way, dtype=np.int32)
    none = np.zeros(len(line), dtype=np.uint64)
    return Pairs(
        line.astype(np.int64), row.astype(np.int64), ways, none if affix is None else affix
    )


def joined(pairs: Sequence[Pairs]) -> Pairs:
    """Return several groups of pairs as one."""
    import numpy as np

    return Pairs(
        np.concatenate([each.line for each in pairs]),
        np.concatenate([each.row for each in pairs]),
        np.concatenate([each.way for each in pairs]),
        np.concatenate([each.affix for each in pairs]),
    )


def nothing() -> Pairs:
    """Return no pairs."""
    import numpy as np

    return as_pairs(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), Way.WORDS)


def first_few(line: I64, few: int) -> Bool:
    """Mark the first few of each line; equal lines stand together."""
    import numpy as np

    fresh = np.ones(len(line), dtype=np.bool_)
    fresh[1:] = line[1:] != line[:-1]
    place = np.arange(len(line))
    marks: Bool = place - np.maximum.accumulate(np.where(fresh, place, 0)) < few
    return marks
