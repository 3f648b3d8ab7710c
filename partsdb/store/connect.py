"""Where the database is and how it is opened: one connection and one transaction per command."""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from partsdb.errors import StoreError, UsageError

BUSY_MS = 5000
_NETWORK_FILE_SYSTEMS = {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "fuse.sshfs", "afs", "davfs"}


def default_path(given: str | Path | None = None) -> Path:
    """Return the database's path: as given, else PARTSDB_DB, else in the user's data folder."""
    if given:
        return Path(given)
    if named := os.environ.get("PARTSDB_DB"):
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("partsdb", appauthor=False) / "parts.db"


@contextmanager
def open_database(
    path: str | Path, *, create: bool = False, write: bool = False, known_on: str = ""
) -> Iterator[None]:
    """Open the database for one command: everything in the block happens wholly or not at all.

    `write` takes the write lock at once; `create` makes a missing database first; `known_on` shows
    it as it was known at the end of that day. Raises StoreError when it is missing, busy, damaged,
    not ours or of a newer version, UsageError when the past is to be written.
    """
    from partsdb.store import migrate
    from partsdb.store.database import database

    if not database.is_closed():
        raise RuntimeError("open_database was called inside open_database")
    if known_on and (write or create):
        raise UsageError(
            "what was known on a day gone by cannot be changed", hint="leave --known-on out"
        )
    path = Path(path)
    if create and not path.exists():
        init_database(path)
    _refuse_what_is_no_file(path)
    with sentences(path):
        migrate.bring_up_to_date(path)
        database.init(file_uri(path), uri=True, timeout=BUSY_MS // 1000, pragmas=_pragmas())
        database.connect()
        try:
            with database.transaction("IMMEDIATE" if write else "DEFERRED"):
                if known_on:
                    from partsdb.store.known import look_back

                    look_back(known_on)
                yield
        finally:
            database.close()


def init_database(path: str | Path) -> None:
    """Make a new, empty database at `path`; raises UsageError when something is there already."""
    from partsdb.store import migrate

    path = Path(path)
    if path.exists():
        raise UsageError(
            f"{path} exists already and is left as it is",
            hint="give another path with --db, or move the old file away first",
        )
    with sentences(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        migrate.build(path, journal="delete" if on_network_share(path) else "wal")


def file_uri(path: Path, mode: str = "rw") -> str:
    """Return the URI that opens `path` without ever creating it."""
    return f"{path.absolute().as_uri()}?mode={mode}"


def _pragmas() -> dict[str, int]:
    return {"foreign_keys": 1, "busy_timeout": BUSY_MS}


def _refuse_what_is_no_file(path: Path) -> None:
    if path.is_dir():
        raise StoreError(
            f"{path} is a folder, not a database",
            hint=f"name the file in it, for example --db {path / 'parts.db'}",
        )
    if not path.exists():
        raise StoreError(f"no database at {path}", hint="run partsdb init, or name another --db")


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Turn the engine's own errors into a StoreError of one sentence that names `path`."""
    import peewee

    try:
        yield
    except (sqlite3.DatabaseError, peewee.DatabaseError, OSError) as error:
        if isinstance(error, BrokenPipeError):
            raise
        sentence = _sentence(path, str(error).lower())
        if sentence is None:  # a constraint or a mistake in our SQL: our fault, not the file's
            raise
        raise StoreError(sentence[0], hint=sentence[1]) from error


_RIGHTS = (
    "check the rights of the file and its folder: even a question is answered from files beside it"
)
_ENGINE_SAYS = (
    ("locked", "is in use by another command", "try again when the other command is done"),
    ("not a database", "is not a database of ours", "name the right file with --db"),
    ("malformed", "is damaged", "bring back a backup: partsdb restore BACKUP"),
    ("disk i/o", "cannot be read or written whole", "check the disk, then partsdb doctor"),
    ("full", "cannot grow: the disk is full", "free some space and run the command again"),
    ("readonly", "may not be written", _RIGHTS),
    ("read-only", "may not be written", _RIGHTS),
    ("permission denied", "may not be opened", "check the rights of the file and its folder"),
    ("unable to open", "cannot be opened", "check the path and the rights of its folder"),
    ("no space left", "cannot grow: the disk is full", "free some space and run the command again"),
    ("file exists", "lies under a file, not a folder", "name another path with --db"),
    ("not a directory", "lies under a file, not a folder", "name another path with --db"),
    ("too long", "has too long a name", "name another path with --db"),
)


def _sentence(path: Path, said: str) -> tuple[str, str] | None:
    for words, what, hint in _ENGINE_SAYS:
        if words in said:
            return f"{path} {what}", hint
    return None


def on_network_share(path: Path) -> bool:
    """Say whether `path` lies on a share, where write-ahead logging must not be used."""
    absolute = str(path.absolute())
    if sys.platform == "win32":
        return absolute.startswith("\\\\")
    mounts = Path("/proc/self/mounts")
    if not mounts.exists():
        return False
    kinds = {}
    for row in mounts.read_text(errors="replace").splitlines():
        _, point, kind = row.split(" ")[:3]
        kinds[point.replace("\\040", " ")] = kind
    owner = max((p for p in kinds if Path(absolute).is_relative_to(p)), key=len, default="/")
    return kinds.get(owner, "") in _NETWORK_FILE_SYSTEMS
