"""Numbered migrations: each one transaction, after a verified backup copy beside the file."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from partsdb.errors import StoreError

APPLICATION_ID = 0x70617274  # "part"
_FOLDER = Path(__file__).parent / "migrations"


def migrations() -> list[tuple[int, str]]:
    """Return (version, SQL) of every migration, in order."""
    named = sorted(_FOLDER.glob("*.sql"))
    return [(int(file.name[:4]), file.read_text(encoding="utf-8")) for file in named]


def newest_version() -> int:
    """Return the version that this program writes (read from the file names alone)."""
    return max(int(file.name[:4]) for file in _FOLDER.glob("*.sql"))


def build(path: Path, *, journal: str) -> None:
    """Make the new database file with every migration applied; a failure leaves no file behind."""
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(part, isolation_level=None)) as connection:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            _apply_after(connection, 0)
            connection.execute(f"PRAGMA journal_mode = {journal}")
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def bring_up_to_date(path: Path) -> None:
    """Migrate an older file; raises StoreError for a newer file or another program's."""
    uri = path.absolute().as_uri() + "?mode=rw"
    with closing(sqlite3.connect(uri, uri=True, timeout=5, isolation_level=None)) as connection:
        found = version_of(connection, path)
        if found < newest_version():
            from partsdb.store import backup

            backup.copy_verified(connection, _beside(path, found))
            _apply_after(connection, found)


def _apply_after(connection: sqlite3.Connection, found: int) -> None:
    for version, sql in migrations():
        if version > found:
            _apply(connection, version, sql)


def version_of(connection: sqlite3.Connection, path: Path) -> int:
    """Return an open file's version; raises StoreError for another program's or a newer one."""
    version: int = connection.execute("PRAGMA user_version").fetchone()[0]
    owner = connection.execute("PRAGMA application_id").fetchone()[0]
    if owner != APPLICATION_ID:
        raise StoreError(
            f"{path} is a database, but not one of partsdb",
            hint="name another file with --db, or make one with partsdb init",
        )
    if version > newest_version():
        raise StoreError(
            f"{path} is of version {version}, and this partsdb knows up to {newest_version()}",
            hint="install the newer partsdb that wrote it, or restore an older backup",
        )
    return version


def _beside(path: Path, version: int) -> Path:
    """Return a free name for the copy made before a migration."""
    stem = path.with_name(f"{path.name}.version-{version}")
    copies = (stem.with_name(f"{stem.name}{n or ''}.backup") for n in range(10_000))
    return next(copy for copy in copies if not copy.exists())


def _apply(connection: sqlite3.Connection, version: int, sql: str) -> None:
    """Run one migration in one transaction, unless another process was first."""
    connection.execute("BEGIN IMMEDIATE")
    with connection:  # commits, or rolls back when anything fails
        if connection.execute("PRAGMA user_version").fetchone()[0] < version:
            for statement in statements(sql):
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {version}")


def statements(sql: str) -> Iterator[str]:
    """Split a script into statements; sqlite3's own script runner would commit on its way."""
    pending = ""
    for row in sql.splitlines(keepends=True):
        pending += row
        if sqlite3.complete_statement(pending):
            yield pending
            pending = ""
    if any(not r.lstrip().startswith("--") and r.strip() for r in pending.splitlines()):
        raise ValueError(f"the migration ends inside a statement: {pending.strip()[:60]}")
