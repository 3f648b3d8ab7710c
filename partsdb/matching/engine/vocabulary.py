"""The words of a catalogue: how rare each is, what it states, and which spellings mean it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from partsdb.matching.engine.hashing import finish, hashes_without_one, prefix_sums, text_hash
from partsdb.matching.engine.words import word_sense

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import F32, I32, I64, U8, U64
    from partsdb.matching.engine.texts import Words

_MOST_BUCKET_BITS = 20
_SHORTEST_CUT, _SHORTEST_EDIT = 3, 4
# Earlier beats later where one spelling may mean several words.
_ABBREVIATION, ONE_LOST, _CUT_SHORT, _NO_VOWELS = range(4)


class Lookup:
    """Finds hashes in a sorted array through the starts of its buckets."""

    __slots__ = ("bits", "starts", "values")

    def __init__(self, values: U64) -> None:
        import numpy as np

        self.values = values
        bits = min(_MOST_BUCKET_BITS, max(1, len(values)).bit_length() + 2)
        self.bits = np.uint64(64 - bits)
        counts = np.bincount((values >> self.bits).astype(np.int64), minlength=1 << bits)
        self.starts: I32 = np.zeros((1 << bits) + 1, dtype=np.int32)
        np.cumsum(counts, out=self.starts[1:])

    def find(self, hashes: U64) -> I32:
        """Return the place of each hash, -1 where it is not there."""
        import numpy as np

        bucket = (hashes >> self.bits).astype(np.int32)
        place = self.starts[bucket]
        stop = self.starts[bucket + 1]
        found: I32 = np.full(len(hashes), -1, dtype=np.int32)
        left = np.flatnonzero(place < stop)
        while len(left):
            hit = self.values[place[left]] == hashes[left]
            found[left[hit]] = place[left[hit]]
            left = left[~hit]
            place[left] += 1
            left = left[place[left] < stop[left]]
        return found


def distinct(values: NDArray[Any]) -> NDArray[Any]:
    """Return the values once each, sorted; np.unique takes ten times as long over words."""
    import numpy as np

    values = np.sort(values)
    return values[np.r_[True, values[1:] != values[:-1]]] if len(values) else values


def hashes_of(texts: list[str]) -> U64:
    """Return the hash of each short text, as `hashing.text_hash` makes them one by one."""
    import numpy as np

    if not texts:
        return np.zeros(0, dtype=np.uint64)
    pieces = [word_rows(texts[i : i + 50_000])[0] for i in range(0, len(texts), 50_000)]
    return np.concatenate([finish(prefix_sums(rows)[:, -1]) for rows in pieces])


def word_rarity(matrix: I32, parts: int, known: int) -> I32:
    """Return for each known word how rare it is: log of parts over the rows that hold it.

    In whole thousandths: sums of them are exact, whatever the order of the words.
    """
    import numpy as np

    counts = np.zeros(known, dtype=np.int64)
    for column in matrix.T:
        counts += np.bincount(column[column >= 0], minlength=known)
    rarity: I32 = np.rint(1000 * np.log((parts + 1) / (counts + 0.5)).clip(0.1)).astype(np.int32)
    return rarity


def senses(texts: list[str]) -> dict[str, U8 | I32 | F32]:
    """Return the columns of what each word states."""
    import numpy as np

    read = [word_sense(text) for text in texts]
    return {
        "word_kind": np.array([sense.kind for sense in read], dtype=np.int32),
        "word_value": np.array([sense.value for sense in read], dtype=np.float32),
        "word_unit": np.array([sense.unit for sense in read], dtype=np.int32),
        "word_scale": np.array([sense.scale for sense in read], dtype=np.float32),
    }


def texts_of(slices: list[Words], lookup: Lookup) -> list[str]:
    """Return the text of each known word, from the first place where it stands."""
    import numpy as np

    texts = [""] * len(lookup.values)
    for words in slices:
        found = lookup.find(words.hashes)
        first: I64 = np.full(len(texts), -1, dtype=np.int64)
        first[found[::-1]] = np.arange(len(found) - 1, -1, -1)
        for word in np.flatnonzero(first >= 0).tolist():
            if not texts[word]:
                at = first[word]
                texts[word] = words.buffer[words.starts[at] : words.ends[at]].decode()
    return texts


def spellings(
    texts: list[str], known: U64, rarity: I32, abbreviations: Mapping[str, str]
) -> dict[str, U64 | I32]:
    """Return sorted hashes of other spellings and the word that each most likely means.

    `abbreviations` maps an abbreviation to its word, both as descriptions write them.
    """
    import numpy as np

    letters = np.array([i for i, text in enumerate(texts) if _is_word(text)], dtype=np.int32)
    parts = [_short_forms(known, abbreviations)]
    if len(letters):
        parts += _worn_forms([texts[i] for i in letters.tolist()], letters)
    hashes = np.concatenate([part[0] for part in parts])
    meant = np.concatenate([part[1] for part in parts])
    order_of = np.concatenate([np.full(len(p[0]), p[2], dtype=np.int8) for p in parts])
    order = np.lexsort((meant, rarity[meant], order_of, hashes))
    hashes, meant = hashes[order], meant[order]
    first = np.r_[True, hashes[1:] != hashes[:-1]] if len(hashes) else np.zeros(0, dtype=bool)
    return {
        "spelling_hash": hashes[first],
        "spelling_word": meant[first],
        "spelling_is_lost": order_of[order][first] == ONE_LOST,
    }


def _is_word(text: str) -> bool:
    return text.isalpha() and text.isascii() and _SHORTEST_EDIT <= len(text) <= 24


def first_words(abbreviations: Mapping[str, str]) -> dict[str, str]:
    """Return abbreviations in capitals with the first word that each stands for."""
    return {a.upper(): words.upper().split()[0] for a, words in abbreviations.items()}


def _short_forms(known: U64, abbreviations: Mapping[str, str]) -> tuple[U64, I32, int]:
    """Return the abbreviations whose word the catalogue uses."""
    import numpy as np

    words = first_words(abbreviations)
    pairs = sorted((text_hash(short), text_hash(word)) for short, word in words.items())
    short = np.array([a for a, _ in pairs], dtype=np.uint64)
    meant = Lookup(known).find(np.array([w for _, w in pairs], dtype=np.uint64))
    return short[meant >= 0], meant[meant >= 0], _ABBREVIATION


def _worn_forms(texts: list[str], ids: I32) -> list[tuple[U64, I32, int]]:
    """Return the spellings that wear makes: a lost letter, a cut end, vowels left out."""
    import numpy as np

    rows, lengths = word_rows(texts)
    sums = prefix_sums(rows)
    lost, owner, _ = hashes_without_one(sums, rows, lengths)
    forms = [(lost, ids[owner], ONE_LOST)]
    for length in range(_SHORTEST_CUT, rows.shape[1]):
        longer = np.flatnonzero(lengths > length)
        forms.append((finish(sums[longer, length]), ids[longer], _CUT_SHORT))
    bare = [text[0] + "".join(c for c in text[1:] if c not in "AEIOU") for text in texts]
    forms.append((hashes_of(bare), ids, _NO_VOWELS))
    return forms


def word_rows(texts: list[str]) -> tuple[U8, I32]:
    """Return words as rows of bytes padded with zeros, and their lengths."""
    import numpy as np

    raw = [text.encode() for text in texts]
    lengths = np.array([len(each) for each in raw], dtype=np.int32)
    width = max(1, int(lengths.max(initial=0)))
    rows = np.array(raw, dtype=f"S{width}").view(np.uint8).reshape(len(raw), width)
    return rows, lengths
