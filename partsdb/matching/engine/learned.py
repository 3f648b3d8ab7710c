"""What a list teaches about its own numbers: the supplier's affixes, and lost leading zeros."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Any
from zlib import crc32

from partsdb.matching.engine.hashing import affix_hash

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import U64

# An affix is taught by at least so many lines and this share of the list, nearly all of whose
# descriptions agree with the part that the rest of the number names.
FEWEST_LINES, SHARE_OF_LINES, SHARE_AGREED = 5, 0.002, 0.8
# Common practice, no source: these make another article of the number that they are added to.
_OTHER_ARTICLE = ("KIT", "KT", "SET", "ASSY", "ASM", "REP", "USED", "REMAN")
# Lists are read in a sample of about this size; which lines are in it depends on them alone.
SAMPLE_LINES = 20_000


@dataclass(frozen=True, slots=True)
class Learned:
    """The affixes that the list teaches, as sorted hashes, and whether it lost leading zeros."""

    affixes: U64
    zeros_lost: bool = False


def sampled(numbers: Sequence[str]) -> list[int]:
    """Return the lines that are read to learn: all of a short list, some of a long one.

    Which, only the numbers themselves say, never their order.
    """
    every = max(1, len(numbers) // SAMPLE_LINES)
    if every == 1:
        return list(range(len(numbers)))
    return [i for i, number in enumerate(numbers) if crc32(number.encode()) % every == 0]


def barred_affixes() -> frozenset[int]:
    """Return the affixes that are never taught; 0 stands for those of figures alone."""
    both = product(_OTHER_ARTICLE, (False, True))
    return frozenset((0, *(affix_hash(word, is_suffix=after) for word, after in both)))


def is_shown(agreed: Any, hits: Any, *, lines: int) -> Any:
    """Say whether enough lines of a list show a thing and nearly all of them agree.

    Single figures or columns of them.
    """
    enough = agreed >= max(FEWEST_LINES, SHARE_OF_LINES * lines)
    return enough & (agreed >= SHARE_AGREED * hits)


def taught_affixes(affixes: U64, agrees: NDArray[np.bool_], *, lines: int) -> U64:
    """Return the affixes taught by hits of `affixes`, each with whether its line agreed."""
    import numpy as np

    seen, which = np.unique(affixes, return_inverse=True)
    hits = np.bincount(which, minlength=len(seen))
    agreed = np.bincount(which, weights=agrees, minlength=len(seen))
    other = np.isin(seen, np.array(sorted(barred_affixes()), dtype=np.uint64))
    taught: U64 = seen[is_shown(agreed, hits, lines=lines) & ~other]
    return taught


def zeros_are_lost(agreed: int, hits: int, kept: int, *, lines: int) -> bool:
    """Say whether a spreadsheet ate the list's leading zeros.

    `hits` lines are a part's number without its zeros, `agreed` of them agree with the part;
    `kept` lines still begin with a zero, which no such list does.
    """
    return bool(is_shown(agreed, hits, lines=lines)) and not kept
