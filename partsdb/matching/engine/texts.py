"""Columns of text as bytes: part numbers to keys, descriptions to words, a whole column at once."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import blake2b
from itertools import pairwise
from typing import TYPE_CHECKING

from partsdb.matching.engine.hashing import LONGEST, finish, powers
from partsdb.rules.numbers import number_key

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, I64, U8, U64, Bool

_BREAK = "\0"
# A letter, a digit, or whatever is no ASCII; written by what it is not, which compiles at once.
_SIGN = r"[^\x00-/:-@\[-\x7f]"
_SIGN_OR_CLOSED = r"[^\x00-(*-/:-@\[\\^-\x7f]"
_WORD = re.compile(
    rf'(?:(?<!{_SIGN_OR_CLOSED})-(?=[0-9]))?{_SIGN}(?:{_SIGN}|(?<=[0-9])[./,](?=[0-9]))*|(?<=[0-9])"'
)
# As number_fold folds: characters that a reader or a scanner takes for each other.
_FOLD_FROM, _FOLD_TO = b"OISBZ", b"01582"


@dataclass(frozen=True, slots=True)
class Keys:
    """The keys of a column of numbers: one row of bytes each, padded with zeros."""

    rows: U8
    lengths: I32


@dataclass(frozen=True, slots=True)
class Words:
    """The words of `rows` texts, end to end: hash, where each stands, and whose it is."""

    hashes: U64
    starts: I64
    ends: I64
    owner: I32
    buffer: bytes
    rows: int


def plain_text(text: str) -> str:
    """Return a description as it is cut into words: upper case, one width, no accents."""
    if text.isascii():
        return text.upper()
    wide = unicodedata.normalize("NFKD", text.upper()).replace("\u2044", "/").replace("\u2033", '"')
    # Once more: a raised "o" (1.0 ºC) becomes a small letter only here.
    return "".join(sign for sign in wide if not unicodedata.combining(sign)).upper()


def plain_words(text: str) -> list[str]:
    """Return the words of one text, as `text_words` cuts a whole column."""
    return [word for word, _ in word_places(text)]


def word_places(text: str) -> list[tuple[str, bool]]:
    """Return the words of one text, each with whether one byte alone parts it from the next."""
    plain = plain_text(text.replace(_BREAK, " "))
    found = list(_WORD.finditer(plain))
    touch = [
        after.start() - match.end() == 1 and plain[match.end()].isascii()
        for match, after in pairwise(found)
    ]
    # Nothing follows the last word; where there is none, there is nothing to pair.
    return [(m[0].replace(",", "."), near) for m, near in zip(found, [*touch, False], strict=False)]


def short_key(number: str) -> str:
    """Return the key of a number; one that is too long to be looked into is cut and marked."""
    key = number_key(number)
    if len(key) <= LONGEST:
        return key
    return key[:36] + blake2b(key.encode(), digest_size=6).hexdigest().upper()


def number_keys(numbers: Sequence[str]) -> Keys:
    """Return the keys of a column of numbers, as `short_key` makes them one by one."""
    import numpy as np

    joined = _joined(numbers)
    if not joined.isascii() or max(map(len, numbers), default=0) > LONGEST:
        joined = _BREAK.join(map(_plain_number, numbers))
    buffer = np.frombuffer(joined.encode(), dtype=np.uint8)
    upper = _key_table()[buffer]
    kept = upper != 0
    owner = np.cumsum(buffer == 0, dtype=np.int32)[kept]
    lengths = np.bincount(owner, minlength=len(numbers)).astype(np.int32)
    width = max(1, int(lengths.max(initial=0)))
    rows: U8 = np.zeros((len(numbers), width), dtype=np.uint8)
    rows[np.arange(width)[None, :] < lengths[:, None]] = upper[kept]
    return Keys(rows, lengths)


def key_texts(numbers: Sequence[str]) -> list[str]:
    """Return the keys of a column of numbers as text."""
    keys = number_keys(numbers)
    width = keys.rows.shape[1]
    raw = keys.rows.tobytes().decode("ascii")
    lengths = keys.lengths.tolist()
    return [raw[i * width : i * width + length] for i, length in enumerate(lengths)]


def folded(keys: Keys) -> Keys:
    """Return the keys with look-alikes folded; leading zeros stay."""
    return Keys(_fold_table()[keys.rows], keys.lengths)


def leading_zeros(keys: Keys) -> I32:
    """Return how many zeros each key begins with."""
    import numpy as np

    zero: Bool = keys.rows == ord("0")
    counts: I32 = np.logical_and.accumulate(zero, axis=1).sum(axis=1).astype(np.int32)
    return counts


def leading_letters(keys: Keys) -> I32:
    """Return how many letters each key begins with."""
    import numpy as np

    letter: Bool = keys.rows >= ord("A")
    counts: I32 = np.logical_and.accumulate(letter, axis=1).sum(axis=1).astype(np.int32)
    return counts


def some_keys(keys: Keys, at: I64) -> Keys:
    """Return some of the keys."""
    return Keys(keys.rows[at], keys.lengths[at])


def without_head(keys: Keys, heads: I32) -> Keys:
    """Return the keys without so many signs in front of each."""
    import numpy as np

    width = keys.rows.shape[1]
    place = np.arange(width)[None, :] + heads[:, None]
    moved = keys.rows[np.arange(len(heads))[:, None], np.minimum(place, width - 1)]
    rows = np.where(place < width, moved, 0)
    return Keys(rows.astype(np.uint8), keys.lengths - heads)


def text_words(texts: Sequence[str]) -> Words:
    """Return the words of a column of texts: runs of letters and digits.

    A point, stroke or comma between two digits belongs to the word (0.015, 3/8, 1,5), a minus
    before a digit too when nothing stands before it, and a double quote after a digit is inches.
    """
    import numpy as np

    joined = _joined(texts)
    if not joined.isascii():
        joined = _BREAK.join(map(plain_text, joined.split(_BREAK)))
    raw = joined.encode()
    kinds = _word_table()[np.frombuffer(b"\0" + raw + b"\0", dtype=np.uint8)]
    buffer = _spelling_table()[np.frombuffer(raw, dtype=np.uint8)]
    digit, inside = kinds == 2, (kinds == 1) | (kinds == 2)
    between = (kinds[1:-1] == 3) & digit[:-2] & digit[2:]
    minus = (kinds[1:-1] == 4) & ~inside[:-2] & digit[2:] & (kinds[:-2] != 5)
    inch = (kinds[1:-1] == 6) & digit[:-2]
    inside = inside[1:-1] | between | minus
    edges = np.diff(inside.astype(np.int8), prepend=0, append=0)
    starts = np.r_[np.flatnonzero(edges == 1), np.flatnonzero(inch)]
    ends = np.r_[np.flatnonzero(edges == -1), np.flatnonzero(inch) + 1]
    order = np.argsort(starts, kind="stable")
    starts, ends = starts[order], ends[order]
    owner = np.cumsum(buffer == 0, dtype=np.int32)[starts]
    return Words(
        _word_hashes(buffer, starts, ends), starts, ends, owner, buffer.tobytes(), len(texts)
    )


def _word_hashes(buffer: U8, starts: I64, ends: I64) -> U64:
    """Return the hash of each word; of a word too long the head alone."""
    import numpy as np

    if not len(starts):
        return np.zeros(0, dtype=np.uint64)
    tables = powers()
    lengths = np.minimum(ends - starts, LONGEST)
    first = np.cumsum(lengths) - lengths
    place = np.arange(int(lengths.sum())) - np.repeat(first, lengths)
    sums = tables.byte[buffer[np.repeat(starts, lengths) + place]] * tables.power[place]
    return finish(np.add.reduceat(sums, first))


def _joined(texts: Sequence[str]) -> str:
    """Return the texts end to end, a zero between them and none inside."""
    joined = _BREAK.join(texts)
    if joined.count(_BREAK) != max(0, len(texts) - 1):
        joined = _BREAK.join(text.replace(_BREAK, " ") for text in texts)
    return joined


def _plain_number(number: str) -> str:
    plain = number.isascii() and len(number) <= LONGEST and _BREAK not in number
    return number if plain else short_key(number)


@cache
def _key_table() -> U8:
    """Return byte -> byte of the key, 0 for what a key drops."""
    import numpy as np

    table = np.zeros(256, dtype=np.uint8)
    for byte in b"ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789":
        table[byte] = table[ord(chr(byte).lower())] = byte
    return table


@cache
def _fold_table() -> U8:
    import numpy as np

    table = np.arange(256, dtype=np.uint8)
    for one, other in zip(_FOLD_FROM, _FOLD_TO, strict=True):
        table[one] = other
    return table


@cache
def _word_table() -> U8:
    """Return byte -> 1 letter, 2 digit, 3 joins digits, 4 minus, 5 closes, 6 inch mark, 0 else."""
    import numpy as np

    table = np.zeros(256, dtype=np.uint8)
    table[128:] = 1
    for byte in b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz":
        table[byte] = 1
    table[ord("0") : ord("9") + 1] = 2
    for signs, kind in ((b"./,", 3), (b"-", 4), (b")]", 5), (b'"', 6)):
        table[list(signs)] = kind
    return table


@cache
def _spelling_table() -> U8:
    """Return byte -> byte as a word is hashed: upper case, a decimal comma is a point."""
    import numpy as np

    table = np.arange(256, dtype=np.uint8)
    table[ord("a") : ord("z") + 1] -= 32
    table[ord(",")] = ord(".")
    return table
