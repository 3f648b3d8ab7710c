"""A lock on a folder: several readers share it or one writer has it; a dead one's is freed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

_NAME = "lock.db"
_WAIT = 60.0  # seconds: longer than an index of a million parts takes to build


@contextmanager
def shared(folder: Path) -> Iterator[None]:
    """Keep writers out of the folder; without a lock file there are none to keep out."""
    place = folder / _NAME
    if not place.exists():
        yield
        return
    uri = f"{place.absolute().as_uri()}?mode=ro"
    with closing(sqlite3.connect(uri, uri=True, timeout=_WAIT, isolation_level=None)) as held:
        held.execute("BEGIN")
        held.execute("SELECT count(*) FROM sqlite_master").fetchone()
        yield


@contextmanager
def exclusive(folder: Path) -> Iterator[None]:
    """Keep others out of the folder, which is made; raises OSError where that cannot be done."""
    folder.mkdir(exist_ok=True)
    try:
        held = sqlite3.connect(folder / _NAME, timeout=_WAIT, isolation_level=None)
    except sqlite3.Error as error:
        raise OSError(f"{folder} cannot be locked: {error}") from error
    with closing(held):
        try:
            held.execute("BEGIN EXCLUSIVE")
        except sqlite3.Error as error:
            raise OSError(f"{folder} cannot be locked: {error}") from error
        yield
        held.execute("ROLLBACK")
