"""The index of the catalogue: a folder beside the database, made on first need and kept in step.

What the folder holds can always be made again from the database. Where it cannot be written the
answer is None, and the caller searches the database itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from partsdb.errors import StoreError
from partsdb.matching.engine.index import read_contents
from partsdb.matching.readings import MATCHER_VERSION
from partsdb.rules.makers import name_key
from partsdb.store import locks, part_changes

if TYPE_CHECKING:
    from partsdb.matching.engine.build import Catalogue

# More changes at once are indexed anew: the engine keeps no more beside its base.
_MOST_CHANGES = 2_000


@contextmanager
def part_index(progress: Callable[[str], None] = lambda said: None) -> Iterator[Path | None]:
    """Give the folder of an index that tells the catalogue as it is, None when there is none.

    Makes or renews it when it must. No other process can replace it inside the block.
    """
    place = part_changes.database_file()
    if place is None:
        yield None
        return
    folder, wanted = place.with_name(f"{place.name}.index"), _stamp(part_changes.state())
    if not _is_current(folder, wanted):
        progress("bringing the index of the catalogue up to date")
        _renew(folder, wanted)
    with locks.shared(folder):
        yield folder if _is_current(folder, wanted) else None


def _stamp(state: str) -> str:
    """Return what an index of that state bears; another version of the matcher reads it anew."""
    return f"{MATCHER_VERSION}/{state}"


def _is_current(folder: Path, wanted: str) -> bool:
    contents = read_contents(folder)
    return contents is not None and contents.stamp == wanted


def _renew(folder: Path, wanted: str) -> None:
    """Bring the index up to date, or make it; leave it as it is where that cannot be done."""
    try:
        with locks.exclusive(folder):
            if _is_current(folder, wanted):  # another process was first
                return
            if not _updated(folder, wanted):
                _build(folder, wanted)
    except (OSError, StoreError):
        return


def _updated(folder: Path, wanted: str) -> bool:
    """Bring in the few parts that changed since; False when the index must be made anew."""
    contents = read_contents(folder)
    version, _, before = contents.stamp.partition("/") if contents else ("", "", "")
    if version != str(MATCHER_VERSION):
        return False
    changed = part_changes.changed_since(before, most=_MOST_CHANGES)
    if changed is None:
        return False
    from partsdb.matching.engine.make import update_index

    rows = part_changes.indexed_rows_of(changed)
    gone = set(changed) - {row[0] for row in rows}
    return update_index(folder, _columns(rows), sorted(gone), stamp=wanted) is not None


def _build(folder: Path, wanted: str) -> None:
    from partsdb.matching.engine.make import build_index
    from partsdb.rules.pieces import abbreviations

    rows = _columns(part_changes.indexed_rows())
    build_index(folder, rows, stamp=wanted, abbreviations=abbreviations())


def _columns(rows: Sequence[part_changes.IndexedRow]) -> Catalogue:
    """Return the parts column by column, the makers by the key that every spelling leads to."""
    from partsdb.matching.engine.build import Catalogue

    ids, numbers, descriptions, makers = zip(*rows, strict=True) if rows else ((), (), (), ())
    keys = {maker: name_key(maker) for maker in set(makers)}
    return Catalogue(ids, numbers, descriptions, [keys[maker] for maker in makers])
