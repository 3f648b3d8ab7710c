"""Builds the tables of a catalogue's index by which a number, whole or damaged, finds its part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from partsdb.matching.engine.build import Catalogue
from partsdb.matching.engine.hashing import (
    finish,
    hashes_without_one,
    powers,
    prefix_sums,
    text_hash,
)
from partsdb.matching.engine.heads import heads
from partsdb.matching.engine.sheet_forms import spreadsheet_table
from partsdb.matching.engine.tables import Layout, layout_for, packed
from partsdb.matching.engine.texts import (
    Keys,
    folded,
    leading_letters,
    leading_zeros,
    number_keys,
    plain_text,
    some_keys,
    without_head,
)
from partsdb.rules.numbers import letters_beyond

if TYPE_CHECKING:
    from typing import Any

    from partsdb.matching.engine.hashing import U64

    Arrays = dict[str, Any]

_SLICE = 50_000
# Keys shorter than this have no neighbourhood: everything would lie in it.
SHORTEST_KEY = 4


def number_arrays(catalogue: Catalogue) -> Arrays:
    """Return the tables by which a number, whole or damaged, finds its part."""
    import numpy as np

    layout = layout_for(len(catalogue.ids))
    slices: list[Arrays] = []
    for start in range(0, max(1, len(catalogue.ids)), _SLICE):
        keys = number_keys(catalogue.numbers[start : start + _SLICE])
        slices.append(_slice_of_numbers(keys, start, layout))
    whole: Arrays = {name: np.concatenate([each[name] for each in slices]) for name in slices[0]}
    rows = np.arange(len(catalogue.ids))
    head_order = np.argsort(whole["head"], kind="stable").astype(np.int32)
    forms, form_rows = spreadsheet_table(catalogue.numbers)
    for table in ("lost", "near", "bare"):
        whole[table].sort()
    return {
        "part_id": np.array(catalogue.ids, dtype=np.int64),
        "maker": np.array(maker_hashes(catalogue.makers), dtype=np.uint64),
        "beyond": beyond_hashes(catalogue.numbers),
        "key": whole["key"],
        "fold": whole["fold"],
        "zeros": whole["zeros"],
        "signs": whole["signs"],
        "by_key": packed(whole["key"], rows, layout),
        "by_fold": packed(whole["fold"], rows, layout),
        "by_lost": whole["lost"],
        "by_near": whole["near"],
        "by_bare": whole["bare"],
        "by_form": packed(forms, form_rows, layout),
        "head": whole["head"][head_order],
        "head_row": head_order,
    }


def _slice_of_numbers(keys: Keys, start: int, layout: Layout) -> Arrays:
    import numpy as np

    sums = prefix_sums(keys.rows)
    long_enough = np.flatnonzero(keys.lengths >= SHORTEST_KEY)
    rows, lengths = keys.rows[long_enough], keys.lengths[long_enough]
    lost, owner, place = hashes_without_one(sums[long_enough], rows, lengths)
    return {
        "key": finish(sums[:, -1]),
        "fold": fold_hashes(keys),
        "zeros": leading_zeros(folded(keys)).astype(np.uint8),
        "signs": keys.rows.sum(axis=1, dtype=np.uint16),
        "lost": packed(lost, long_enough[owner] + start, layout, place),
        "near": _near_folds(keys, start, layout),
        "bare": _bare_keys(keys, sums, start, layout),
        "head": heads(keys),
    }


def _near_folds(keys: Keys, start: int, layout: Layout) -> U64:
    """Return the folds without one sign each, of the keys that are not their own fold."""
    import numpy as np

    fold = folded(keys)
    zeros = leading_zeros(fold)
    other = np.flatnonzero((zeros > 0) | np.any(fold.rows != keys.rows, axis=1))
    bare = without_head(some_keys(fold, other), zeros[other])
    long_enough = np.flatnonzero(bare.lengths >= SHORTEST_KEY)
    rows, lengths = bare.rows[long_enough], bare.lengths[long_enough]
    lost, owner, place = hashes_without_one(prefix_sums(rows), rows, lengths)
    return packed(lost, other[long_enough][owner] + start, layout, place)


def _bare_keys(keys: Keys, sums: U64, start: int, layout: Layout) -> U64:
    """Return what is left of each key without the letters in front, where enough is left."""
    import numpy as np

    letters = leading_letters(keys)
    lettered = np.flatnonzero((letters > 0) & (keys.lengths - letters > SHORTEST_KEY))
    head = letters[lettered]
    rest = sums[lettered, -1] - sums[lettered, head]
    return packed(finish(rest * powers().inverse[head]), lettered + start, layout)


def fold_hashes(keys: Keys) -> U64:
    """Return the hash of each key as `rules.numbers.number_fold` makes it."""
    import numpy as np

    fold = folded(keys)
    sums = prefix_sums(fold.rows)
    zeros = leading_zeros(fold)
    head = sums[np.arange(len(zeros)), zeros]
    return finish((sums[:, -1] - head) * powers().inverse[zeros])


def beyond_hashes(numbers: Sequence[str]) -> U64:
    """Return a hash of the letters of each number that its key does not hold, 0 for none."""
    import numpy as np

    hashes: U64 = np.zeros(len(numbers), dtype=np.uint64)
    for at, number in enumerate(numbers):
        if not number.isascii() and (letters := letters_beyond(number)):
            hashes[at] = text_hash(letters)
    return hashes


def maker_hashes(makers: Sequence[str]) -> list[int]:
    """Return a hash for each maker's name, whatever its case and punctuation; 0 for none."""
    known = {maker: _maker_hash(maker) for maker in set(makers)}
    return [known[maker] for maker in makers]


def _maker_hash(maker: str) -> int:
    plain = "".join(sign for sign in plain_text(maker) if sign.isalnum())
    return text_hash(plain[:40]) | 1 if plain else 0
