"""Copies of the whole database by the engine's own backup, each checked before it counts."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from partsdb.errors import StoreError, UsageError


def backup(path: Path, target: Path) -> int:
    """Copy the database to the new file `target`, verify the copy, and return its size in bytes."""
    from partsdb.store.connect import file_uri, sentences

    if not path.is_file():
        raise StoreError(f"no database at {path}", hint="run partsdb init, or name another --db")
    with sentences(path):
        source = sqlite3.connect(file_uri(path), uri=True, timeout=5)
        try:
            copy_verified(source, target)
        finally:
            source.close()
    return target.stat().st_size


def restore(path: Path, source: Path) -> Path | None:
    """Put the backup `source` in the place of the database; return where the old one was kept.

    Raises StoreError, and changes nothing, when the backup is damaged, not ours, or too new.
    """
    from partsdb.store import migrate
    from partsdb.store.connect import file_uri, sentences

    if not source.is_file():
        raise UsageError(f"no backup at {source}", hint="give the path of a file that backup wrote")
    with sentences(source):
        opened = sqlite3.connect(file_uri(source, "ro"), uri=True, timeout=5)
        try:
            _verify(opened, source)
            migrate._version_of(opened, source)
            kept = _set_aside(path)
            with sentences(path):
                path.parent.mkdir(parents=True, exist_ok=True)
                _write_over(opened, path)
        finally:
            opened.close()
    return kept


def copy_verified(source: sqlite3.Connection, target: Path) -> None:
    """Copy an open database into the new file `target` and check the copy from end to end."""
    if target.exists():
        raise UsageError(f"{target} exists already", hint="give the backup another name")
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    copy = sqlite3.connect(part)
    try:
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = delete")
        _verify(copy, target)
    finally:
        copy.close()
    os.replace(part, target)


def _verify(connection: sqlite3.Connection, path: Path) -> None:
    found = [row[0] for row in connection.execute("PRAGMA integrity_check(3)")]
    strays = connection.execute("PRAGMA foreign_key_check").fetchone()
    if found != ["ok"] or strays:
        why = found[0] if found != ["ok"] else f"a row of {strays[0]} refers to nothing"
        raise StoreError(f"the copy {path} is damaged: {why}", hint="run partsdb doctor")


def _set_aside(path: Path) -> Path | None:
    """Keep the present database beside itself before it is written over, damaged or not."""
    if not path.exists():
        return None
    names = (path.with_name(f"{path.name}.before-restore{n or ''}") for n in range(10_000))
    kept = next(name for name in names if not name.exists())
    kept.write_bytes(path.read_bytes())
    log = path.with_name(path.name + "-wal")
    if log.exists():
        kept.with_name(kept.name + "-wal").write_bytes(log.read_bytes())
    return kept


def _write_over(source: sqlite3.Connection, path: Path) -> None:
    for suffix in ("-wal", "-shm"):
        path.with_name(path.name + suffix).unlink(missing_ok=True)
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)
    copy = sqlite3.connect(part)
    try:
        source.backup(copy)
    finally:
        copy.close()
    os.replace(part, path)
