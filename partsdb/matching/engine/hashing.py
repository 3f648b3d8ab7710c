"""64-bit polynomial hashes of short texts: for one text in plain Python, for many in numpy.

A text's hash is the sum of mixed bytes times powers of one odd constant. So the hash of the text
without one character, or without a head or a tail, follows from prefix sums: no text is built.
Both ways give the same number, whatever the process; nothing here depends on Python's own hash.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    U64 = npt.NDArray[np.uint64]
    U8 = npt.NDArray[np.uint8]
    I8 = npt.NDArray[np.int8]
    I32 = npt.NDArray[np.int32]
    I64 = npt.NDArray[np.int64]
    F32 = npt.NDArray[np.float32]
    Bool = npt.NDArray[np.bool_]

MASK = (1 << 64) - 1
BASE = 0x9E3779B97F4A7C15
BASE_INVERSE = pow(BASE, -1, 1 << 64)
# No number or word is longer: a longer one is cut and marked before it comes here.
LONGEST = 48
SUFFIX_MARK = 1


@cache
def byte_weights() -> tuple[int, ...]:
    """Return an odd 64-bit weight for each byte; 0 for the zero byte that pads a row."""
    return (0, *(_mixed(byte * 0xD1342543DE82EF95 + 1) | 1 for byte in range(1, 256)))


def _mixed(value: int) -> int:
    value &= MASK
    value = (value ^ (value >> 30)) * 0xBF58476D1CE4E5B9 & MASK
    value = (value ^ (value >> 27)) * 0x94D049BB133111EB & MASK
    return value ^ (value >> 31)


def finished(value: int) -> int:
    """Return a polynomial sum stirred so that its high bits are as good as its low ones."""
    value &= MASK
    value = (value ^ (value >> 29)) * 0xBF58476D1CE4E5B9 & MASK
    return value ^ (value >> 32)


def text_sum(text: str | bytes) -> int:
    """Return the sum of one short text, to which that of a text behind it may be added."""
    weights, total, power = byte_weights(), 0, 1
    for byte in text.encode() if isinstance(text, str) else text:
        total += weights[byte] * power
        power = power * BASE & MASK
    return total & MASK


def text_hash(text: str | bytes) -> int:
    """Return the 64-bit hash of one short text, or of its UTF-8 bytes."""
    return finished(text_sum(text))


def affix_hash(affix: str, *, is_suffix: bool) -> int:
    """Return the hash by which an affix of a number is known; "XQ" before is not "XQ" behind."""
    return finished(text_sum(affix) + (SUFFIX_MARK if is_suffix else 0))


def deletion_hashes(key: str) -> list[tuple[int, int]]:
    """Return (hash, place) of `key`, which is ASCII, without each of its characters."""
    weights, power, sums = byte_weights(), 1, [0]
    for byte in key.encode("ascii"):
        sums.append(sums[-1] + weights[byte] * power)
        power = power * BASE & MASK
    whole = sums[-1]
    return [
        (finished(sums[at] + BASE_INVERSE * (whole - sums[at + 1])), at) for at in range(len(key))
    ]


class Powers:
    """The tables that the numpy side needs, made when numpy is first asked for."""

    __slots__ = ("byte", "inverse", "power")

    def __init__(self) -> None:
        import numpy as np

        self.byte: U64 = np.array(byte_weights(), dtype=np.uint64)
        self.power: U64 = np.array(_series(BASE), dtype=np.uint64)
        self.inverse: U64 = np.array(_series(BASE_INVERSE), dtype=np.uint64)


def _series(base: int) -> list[int]:
    series, power = [], 1
    for _ in range(LONGEST + 1):
        series.append(power)
        power = power * base & MASK
    return series


@cache
def powers() -> Powers:
    """Return the tables, made once a process."""
    return Powers()


def finish(sums: U64) -> U64:
    """Return an array of sums stirred as `finished` does; the sums are left alone."""
    import numpy as np

    value = sums ^ (sums >> np.uint64(29))
    value *= np.uint64(0xBF58476D1CE4E5B9)
    value ^= value >> np.uint64(32)
    return value


def prefix_sums(rows: U8) -> U64:
    """Return for each row of bytes, padded with zeros, its sums after 0, 1, 2 … bytes."""
    import numpy as np

    tables = powers()
    width = rows.shape[1]
    sums: U64 = np.zeros((len(rows), width + 1), dtype=np.uint64)
    np.cumsum(tables.byte[rows] * tables.power[:width], axis=1, out=sums[:, 1:])
    return sums


def hashes_without_one(sums: U64, rows: U8, lengths: I32) -> tuple[U64, I32, Any]:
    """Return (hashes, rows they belong to, place) of every row without each of its bytes.

    A run of equal bytes gives the same hash at each of its places: a substitution within it is
    then found at one and the same place of both keys.
    """
    import numpy as np

    tables = powers()
    at_row, at_place = np.nonzero(np.arange(rows.shape[1])[None, :] < lengths[:, None])
    whole = sums[:, -1]
    tail = whole[at_row] - sums[at_row, at_place + 1]
    hashes = finish(sums[at_row, at_place] + tables.inverse[1] * tail)
    return hashes, at_row.astype(np.int32), at_place.astype(np.int8)
