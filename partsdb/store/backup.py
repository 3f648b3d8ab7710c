"""Copies of the whole database by the engine's own backup, each checked before it counts."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from partsdb.errors import StoreError, UsageError

BUSY_SECONDS = 5


def backup(path: Path, target: Path) -> int:
    """Copy the database to the new file `target`, check the copy, and return its size in bytes."""
    from partsdb.store.connect import file_uri, sentences

    if not path.is_file():
        raise StoreError(f"no database at {path}", hint="run partsdb init, or name another --db")
    uri = file_uri(path)
    with sentences(path), closing(sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS)) as source:
        copy_verified(source, target)
    return target.stat().st_size


def restore(path: Path, source: Path) -> Path | None:
    """Put the backup `source` in the place of the database; return where the old one was kept.

    Raises StoreError, and changes nothing, when the backup is damaged, not ours, or too new, or
    when another command holds the database.
    """
    from partsdb.store import migrate
    from partsdb.store.connect import file_uri, sentences

    if not source.is_file():
        raise UsageError(f"no backup at {source}", hint="give the path of a file that backup wrote")
    with sentences(source):
        opened = sqlite3.connect(file_uri(source, "ro"), uri=True)
    with closing(opened):
        with sentences(source):
            migrate.version_of(opened, source)
            _verify(opened, source)
        with sentences(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            return _replace(opened, path)


def copy_verified(source: sqlite3.Connection, target: Path) -> None:
    """Copy an open database into the new file `target` and check the copy from end to end."""
    if target.exists():
        raise UsageError(f"{target} exists already", hint="give the backup another name")
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    try:
        _copy(source, part)
        with closing(sqlite3.connect(part)) as copy:
            _verify(copy, target)
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)


def _copy(source: sqlite3.Connection, part: Path) -> None:
    """Copy into a file of its own that needs no log beside it."""
    part.unlink(missing_ok=True)
    with closing(sqlite3.connect(part)) as copy:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = delete")


def _verify(connection: sqlite3.Connection, path: Path) -> None:
    found = [row[0] for row in connection.execute("PRAGMA integrity_check(3)")]
    strays = connection.execute("PRAGMA foreign_key_check").fetchone()
    if found != ["ok"] or strays:
        why = found[0] if found != ["ok"] else f"a row of {strays[0]} refers to nothing"
        raise StoreError(f"{path} is damaged: {why}".splitlines()[0], hint="use another backup")


def _replace(source: sqlite3.Connection, path: Path) -> Path | None:
    """Copy the backup over a sound database through the engine, over a broken one as a file."""
    if not path.exists():
        _move_in(source, path)
        return None
    kept = _free_name(path)
    if _is_readable(path):
        with closing(sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)) as live:
            live.execute("BEGIN IMMEDIATE")  # refuses while another command writes
            live.execute("ROLLBACK")
            _copy(live, kept)
            source.backup(live)
    else:
        os.replace(path, kept)
        _move_in(source, path)
    return kept


def _is_readable(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(path)) as live:
            return bool(live.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",))
    except sqlite3.DatabaseError:
        return False


def _move_in(source: sqlite3.Connection, path: Path) -> None:
    from partsdb.store.connect import on_network_share

    for suffix in ("-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    part = path.with_name(path.name + ".part")
    _copy(source, part)
    os.replace(part, path)
    if not on_network_share(path):
        with closing(sqlite3.connect(path)) as live:
            live.execute("PRAGMA journal_mode = wal")


def _free_name(path: Path) -> Path:
    names = (path.with_name(f"{path.name}.before-restore{n or ''}") for n in range(10_000))
    return next(name for name in names if not name.exists())
