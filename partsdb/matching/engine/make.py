"""Builds the index folder of a catalogue, and keeps it in step when a few parts change."""

from __future__ import annotations

import json
import multiprocessing
import sys
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsdb.errors import StoreError
from partsdb.matching.engine.build import (
    Catalogue,
    holders,
    rarity_order,
    triple_table,
    word_arrays,
)
from partsdb.matching.engine.index import (
    BASE,
    DELTA,
    Contents,
    Segment,
    fresh_name,
    publish,
    read_contents,
    save_arrays,
)
from partsdb.matching.engine.number_tables import number_arrays
from partsdb.matching.engine.tables import layout_for
from partsdb.matching.engine.vocabulary import Lookup, word_rarity

if TYPE_CHECKING:
    from multiprocessing.context import ForkContext, SpawnContext

# Below this a second process costs more than it saves; above so many changes build anew.
_WORTH_A_PROCESS, MOST_CHANGES = 50_000, 5_000
_CHANGED = "changed.json"


def process_context() -> ForkContext | SpawnContext:
    """Return how worker processes are started: forked where that is safe and cheap."""
    if sys.platform == "linux":
        return multiprocessing.get_context("fork")
    return multiprocessing.get_context("spawn")


def build_index(
    folder: Path, catalogue: Catalogue, *, stamp: str, abbreviations: Mapping[str, str]
) -> Contents:
    """Index a whole catalogue into `folder` and return what it then holds.

    `stamp` is kept with it and compared on opening; `abbreviations` map a short word to its long
    one.
    """
    catalogue = catalogue.in_order()
    folder.mkdir(parents=True, exist_ok=True)
    contents = Contents(stamp, len(catalogue.ids), fresh_name(folder, BASE))
    target = folder / contents.base
    target.mkdir()
    if len(catalogue.ids) < _WORTH_A_PROCESS:
        _save_numbers(target, catalogue)
        save_arrays(target, word_arrays(catalogue, abbreviations))
    else:
        helper = process_context().Process(target=_save_numbers, args=(target, catalogue))
        helper.start()
        save_arrays(target, word_arrays(catalogue, abbreviations))
        helper.join()
        if helper.exitcode:
            raise StoreError(f"the catalogue index could not be written into {target}")
    publish(folder, contents)
    return contents


def _save_numbers(target: Path, catalogue: Catalogue) -> None:
    save_arrays(target, number_arrays(catalogue))


def update_index(
    folder: Path, changed: Catalogue, gone: Iterable[int], *, stamp: str
) -> Contents | None:
    """Bring the index up to date with a few parts added, changed or gone; return what it holds.

    None means that it must be built anew: there is no index, or too much has changed since.
    """
    contents = read_contents(folder)
    if contents is None:
        return None
    base = Segment(folder / contents.base, contents.parts)
    parts, dead = _changes_before(folder, contents)
    parts |= {row[0]: row[1:] for row in _rows(changed)}
    gone = set(gone)
    dead |= gone | set(changed.ids)
    parts = {key: parts[key] for key in sorted(parts.keys() - gone)}
    if len(dead) > MOST_CHANGES:
        return None
    delta = replace(contents, stamp=stamp, delta=fresh_name(folder, DELTA), changes=len(parts))
    target = folder / delta.delta
    save_arrays(target, _delta_arrays(parts, dead, base))
    kept = json.dumps({"parts": [[key, *row] for key, row in parts.items()], "gone": sorted(dead)})
    (target / _CHANGED).write_text(kept, encoding="utf-8")
    publish(folder, delta)
    return delta


def _rows(catalogue: Catalogue) -> Iterable[tuple[int, str, str, str]]:
    return zip(
        catalogue.ids, catalogue.numbers, catalogue.descriptions, catalogue.makers, strict=True
    )


def _changes_before(folder: Path, contents: Contents) -> tuple[dict[int, Any], set[int]]:
    """Return the changed parts by id and every id of the base that no longer counts."""
    if not contents.delta:
        return {}, set()
    kept = json.loads((folder / contents.delta / _CHANGED).read_text(encoding="utf-8"))
    return {row[0]: tuple(row[1:]) for row in kept["parts"]}, set(kept["gone"])


def _delta_arrays(parts: Mapping[int, Any], dead: set[int], base: Segment) -> dict[str, Any]:
    """Return the arrays of the changed parts, in the words of the base."""
    import numpy as np

    rows = list(parts.values())
    columns = ([row[column] for row in rows] for column in range(3))
    catalogue = Catalogue(list(parts), *columns)
    arrays = number_arrays(catalogue) | word_arrays(catalogue, {})
    ids = np.array(sorted(dead), dtype=np.int64)
    place = np.searchsorted(base["part_id"], ids)
    inside = place < base.parts
    inside[inside] = base["part_id"][place[inside]] == ids[inside]
    arrays["removed"] = place[inside].astype(np.int32)
    return arrays | _in_words_of(base, arrays)


def _in_words_of(base: Segment, own: Mapping[str, Any]) -> dict[str, Any]:
    """Return the word columns of a delta: words of the base by its ids, new ones after them."""
    import numpy as np

    known = len(base["word_hash"])
    place = Lookup(base["word_hash"]).find(own["word_hash"])
    new = np.flatnonzero(place < 0)
    to_base = np.where(place >= 0, base["word_meant"][place] if known else 0, 0)
    to_base[new] = known + np.arange(len(new))
    words, measured = base["widths"].tolist()
    own_words, own_measured = own["widths"].tolist()
    facts = own["facts"]
    matrix = np.r_[to_base, -1].astype(np.int32)[facts[:, :own_words]]
    matrix = _as_wide(matrix, words, -1)
    kinds = _as_wide(facts[:, own_words : own_words + own_measured], measured, 0)
    values = _as_wide(facts[:, own_words + own_measured :], measured, 0)
    changed: dict[str, Any] = {
        name: own[name][new]
        for name in ("word_hash", "word_kind", "word_value", "word_unit", "word_scale")
    }
    rarity = word_rarity(np.zeros((1, 1), dtype=np.int32), base.parts, 1)
    changed["word_rarity"] = np.repeat(rarity, len(new))
    changed["word_meant"] = (known + np.arange(len(new))).astype(np.int32)
    changed["widths"], changed["facts"] = base["widths"], np.hstack([matrix, kinds, values])
    every = np.concatenate([base["word_rarity"], changed["word_rarity"]])
    layout = layout_for(len(matrix))
    changed["by_triple"] = triple_table(matrix, rarity_order(every), layout)
    return changed | holders(matrix, len(every))


def _as_wide(matrix: Any, width: int, fill: int) -> Any:
    """Return the matrix cut or padded to a width."""
    import numpy as np

    wide = np.full((len(matrix), width), fill, dtype=matrix.dtype)
    width = min(width, matrix.shape[1])
    wide[:, :width] = matrix[:, :width]
    return wide
