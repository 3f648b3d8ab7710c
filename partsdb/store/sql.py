"""Plain SQL on the bound database: rows, bulk inserts, ids. Only the store imports this."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, islice
from typing import Any

from partsdb.store.database import database

CHUNK = 500  # well under the engine's limit of bound values, even of old builds
_MOST_BOUND = 999  # that limit


def connection() -> sqlite3.Connection:
    """Return the open connection; raises RuntimeError outside `open_database`."""
    if database.is_closed():
        raise RuntimeError("a store function was called outside open_database")
    bound: sqlite3.Connection = database.connection()  # type: ignore[no-untyped-call]
    return bound


def rows(sql: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
    """Run one query and return all of its rows."""
    return connection().execute(sql, values).fetchall()


def first(sql: str, values: Sequence[Any] = ()) -> tuple[Any, ...] | None:
    """Run one query and return its first row, or None."""
    row: tuple[Any, ...] | None = connection().execute(sql, values).fetchone()
    return row


def run(sql: str, values: Sequence[Any] = ()) -> int:
    """Run one statement and return how many rows it touched."""
    return connection().execute(sql, values).rowcount


def rows_for(sql: str, ids: Iterable[Any], before: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
    """Run `sql`, whose `{marks}` stands for a list of ids, over the ids in chunks.

    `before` are the values bound in front of the ids. Ids are taken once each, in order.
    """
    found: list[tuple[Any, ...]] = []
    for chunk in chunks(ids):
        marks = ",".join("?" * len(chunk))
        found += rows(sql.format(marks=marks), [*before, *chunk])
    return found


def chunks(ids: Iterable[Any]) -> Iterator[list[Any]]:
    """Yield the distinct ids in lists of at most 500."""
    distinct = list(dict.fromkeys(ids))
    for start in range(0, len(distinct), CHUNK):
        yield distinct[start : start + CHUNK]


def insert_many(table: str, columns: str, values: Iterable[Sequence[Any]]) -> None:
    """Insert rows in bulk: ten times faster than one model at a time.

    Many rows go in with one statement. Into a table with a trigger the engine keeps a copy of every
    page that a statement touches, so that one row for each took three times as long.
    """
    width = columns.count(",") + 1
    begin, row = f"INSERT INTO {table} ({columns}) VALUES ", f"({','.join('?' * width)})"
    many, left = max(1, _MOST_BOUND // width), iter(values)
    while chunk := list(islice(left, many)):
        bound = list(chain.from_iterable(chunk))
        connection().execute(begin + ",".join([row] * len(chunk)), bound)


def insert(table: str, columns: str, values: Sequence[Any]) -> int:
    """Insert one row and return its id."""
    marks = ",".join("?" * len(values))
    cursor = connection().execute(f"INSERT INTO {table} ({columns}) VALUES ({marks})", values)
    return int(cursor.lastrowid or 0)


def next_id(table: str) -> int:
    """Return the id that the next row gets; safe because writers hold the lock from the start."""
    row = first(f"SELECT coalesce(max(id), 0) + 1 FROM {table}")
    return int(row[0]) if row else 1


# Made once: json.dumps makes an encoder for every call that asks for anything unusual.
_encode = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode


def to_json(value: object) -> str:
    """Return `value` as compact JSON with its keys in order, so equal data is equal text."""
    return "[]" if value == () else _encode(value)  # most rows of a list have nothing to note


def from_json(text: str) -> Any:
    """Return what `to_json` was given (tuples come back as lists)."""
    return json.loads(text)
