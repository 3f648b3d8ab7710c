"""The catalogue index on disk: memory-mapped arrays, a small segment of later changes, a stamp."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsdb.errors import StoreError
from partsdb.matching.engine.tables import (
    Hits,
    Layout,
    Queries,
    Table,
    bucket_starts,
    layout_for,
    seen_bits,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from partsdb.matching.engine.hashing import I64, U64

# A new number here makes every index written before stale.
FORMAT = 5
# Arrays of packed entries, which are kept with the starts of their buckets.
TABLE_PREFIX = "by_"
# Of these most hashes that are asked for are not there: they are kept with a map of what is.
MAPPED_TABLES = ("by_key", "by_lost")
CONTENTS, BASE, DELTA = "index.json", "base", "delta"


@dataclass(frozen=True, slots=True)
class Contents:
    """What an index folder holds. `stamp` is the caller's: it says which state was indexed."""

    stamp: str
    parts: int
    base: str
    delta: str = ""
    changes: int = 0
    format: int = FORMAT


class Segment:
    """The arrays of one folder, opened as they are asked for."""

    def __init__(self, folder: Path, parts: int) -> None:
        self.folder, self.parts = folder, parts
        self.layout: Layout = layout_for(parts)
        self._open: dict[str, NDArray[Any]] = {}

    def __getitem__(self, name: str) -> NDArray[Any]:
        """Return an array by name; StoreError when its file is gone."""
        import numpy as np

        if name not in self._open:
            try:
                mapped = np.load(self.folder / f"{name}.npy", mmap_mode="r", allow_pickle=False)
            except (OSError, ValueError) as error:
                raise StoreError(
                    f"the catalogue index in {self.folder} cannot be read: {error}",
                    hint="delete the folder; it is built again from the database",
                ) from error
            self._open[name] = np.asarray(mapped)
        return self._open[name]

    def probe(self, table: str, queries: Queries, *, most: int) -> Hits:
        """Return what `table` holds for each hash, at most `most` entries each."""
        seen = self[f"{table}_seen"] if table in MAPPED_TABLES else None
        found = Table(self[table], self[f"{table}_start"], self.layout, seen)
        return found.probe(queries, most=most)


class Index:
    """A catalogue index: a base, and perhaps a segment with the parts that changed since.

    Rows of the base come first, those of the changes after them; `gather` hides the seam.
    """

    def __init__(self, folder: Path, contents: Contents) -> None:
        import numpy as np

        self.folder, self.contents = folder, contents
        self.base = Segment(folder / contents.base, contents.parts)
        self.delta: Segment | None = None
        self.removed = np.zeros(0, dtype=np.bool_)
        if contents.delta:
            self.delta = Segment(folder / contents.delta, contents.changes)
            self.removed = np.zeros(contents.parts, dtype=np.bool_)
            self.removed[self.delta["removed"]] = True

    @cached_property
    def widths(self) -> tuple[int, int]:
        """Return how many words and how many measures the facts of a part have room for."""
        words, measured = self.base["widths"].tolist()
        return words, measured

    @property
    def rows(self) -> int:
        """Return how many rows there are, removed ones included."""
        return self.base.parts + (self.delta.parts if self.delta else 0)

    @property
    def living(self) -> int:
        """Return how many parts there are, removed ones left out."""
        return self.rows - int(self.removed.sum())

    def word(self, value: int) -> int:
        """Return the word that a hash of a word means, -1 when no part uses it."""
        known = len(self.base["word_hash"])
        for segment, offset in ((self.base, 0), (self.delta, known)):
            if segment is not None and (place := _place_of(segment["word_hash"], value)) >= 0:
                return int(self.vocabulary("word_meant")[place + offset])
        return -1

    def segments(self) -> list[tuple[Segment, int]]:
        """Return the segments, each with the row at which it begins."""
        late = [] if self.delta is None else [(self.delta, self.base.parts)]
        return [(self.base, 0), *late]

    def is_living(self, rows: I64) -> NDArray[Any]:
        """Say which rows are parts that have not been changed or removed since."""
        import numpy as np

        if self.delta is None:
            return np.ones(len(rows), dtype=np.bool_)
        alive = np.r_[~self.removed, np.ones(self.delta.parts, dtype=np.bool_)]
        living: NDArray[Any] = alive[rows]
        return living

    def probe(self, table: str, hashes: U64 | Queries, *, most: int) -> Hits:
        """Return the living parts that `table` holds for each hash, at most `most` a segment."""
        import numpy as np

        queries = hashes if isinstance(hashes, Queries) else Queries(hashes)
        hits = self.base.probe(table, queries, most=most)
        if self.delta is None:
            return hits
        living = ~self.removed[hits.row]
        late = self.delta.probe(table, queries, most=most)
        return Hits(
            np.concatenate([hits.query[living], late.query]),
            np.concatenate([hits.row[living], late.row + self.base.parts]),
            np.concatenate([hits.mark[living], late.mark]),
        )

    def gather(self, column: str, rows: I64) -> NDArray[Any]:
        """Return the values of a column at the given rows."""
        import numpy as np

        if self.delta is None or not self.delta.parts:
            same: NDArray[Any] = self.base[column][rows]
            return same
        late = rows >= self.base.parts
        if not self.base.parts:
            only: NDArray[Any] = self.delta[column][rows]
            return only
        values: NDArray[Any] = self.base[column][np.where(late, 0, rows)]
        values[late] = self.delta[column][rows[late] - self.base.parts]
        return values

    def vocabulary(self, column: str) -> NDArray[Any]:
        """Return a column of the words, those that only changed parts use at its end."""
        import numpy as np

        if self.delta is None:
            return never_empty(self.base[column])
        return never_empty(np.concatenate([self.base[column], self.delta[column]]))


def _place_of(values: NDArray[Any], value: int) -> int:
    """Return where a value stands in a sorted column, -1 where it does not."""
    import numpy as np

    place = int(np.searchsorted(values, np.uint64(value)))
    return place if place < len(values) and int(values[place]) == value else -1


def never_empty(column: NDArray[Any]) -> NDArray[Any]:
    """Return the column, with one idle entry where there is none: -1 may then index it."""
    import numpy as np

    return column if len(column) else np.zeros(1, dtype=column.dtype)


def read_contents(folder: Path) -> Contents | None:
    """Return what the folder holds, None when there is no index or one of another format."""
    try:
        written = json.loads((folder / CONTENTS).read_text(encoding="utf-8"))
        contents = Contents(**written)
    except (OSError, ValueError, TypeError):
        return None
    return contents if contents.format == FORMAT else None


def open_index(folder: Path, *, stamp: str | None = None) -> Index | None:
    """Return the index, None when there is none or its stamp is not the one that is asked for."""
    contents = read_contents(folder)
    if contents is None or (stamp is not None and contents.stamp != stamp):
        return None
    return Index(folder, contents)


def save_arrays(folder: Path, arrays: Mapping[str, Any]) -> None:
    """Write arrays into a folder, which is made."""
    import numpy as np

    folder.mkdir(parents=True, exist_ok=True)
    for name, array in arrays.items():
        np.save(folder / f"{name}.npy", array, allow_pickle=False)
        if name.startswith(TABLE_PREFIX):
            np.save(folder / f"{name}_start.npy", bucket_starts(array), allow_pickle=False)
        if name in MAPPED_TABLES:
            np.save(folder / f"{name}_seen.npy", seen_bits(array), allow_pickle=False)


def publish(folder: Path, contents: Contents) -> None:
    """Make `contents` what the index folder holds, at once or not at all; drop what it replaces."""
    import shutil

    before = read_contents(folder)
    draft = folder / f"{CONTENTS}.{os.getpid()}"
    draft.write_text(json.dumps(asdict(contents)), encoding="utf-8")
    os.replace(draft, folder / CONTENTS)
    if before is not None:
        for name in {before.base, before.delta} - {contents.base, contents.delta, ""}:
            shutil.rmtree(folder / name, ignore_errors=True)


def fresh_name(folder: Path, kind: str) -> str:
    """Return a name for a new segment that no living or half-written one bears."""
    number = 1
    while (folder / f"{kind}-{number}").exists():
        number += 1
    return f"{kind}-{number}"
