"""The append-only history, and the shop's settings."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from partsdb.store import sql
from partsdb.store.rows import EventRow, Stamp

_COLUMNS = "at, who, action, subject_kind, subject_id, detail"


def record(
    action: str, subject: tuple[str, int | None], detail: dict[str, Any], *, by: Stamp
) -> int:
    """Write one event: `subject` is ("part", 17); `detail` is plain data."""
    kind, subject_id = subject
    values = (by.at, by.who, action, kind, subject_id, sql.to_json(detail))
    return sql.insert("event", _COLUMNS, values)


def record_many(
    action: str, subjects: Iterable[tuple[str, int | None, dict[str, Any]]], *, by: Stamp
) -> None:
    """Write one event for each (kind, id, detail)."""
    sql.insert_many(
        "event",
        _COLUMNS,
        ((by.at, by.who, action, kind, i, sql.to_json(detail)) for kind, i, detail in subjects),
    )


def history(
    subject_kind: str = "", subject_id: int | None = None, *, limit: int = 100
) -> list[EventRow]:
    """Return the newest events, of one kind or one subject when named."""
    found = sql.rows(
        "SELECT id, at, who, action, subject_kind, subject_id, detail FROM event"
        " WHERE (? = '' OR subject_kind = ?) AND (? IS NULL OR subject_id = ?)"
        " ORDER BY id DESC LIMIT ?",
        (subject_kind, subject_kind, subject_id, subject_id, limit),
    )
    return [EventRow(*[*row[:6], sql.from_json(row[6])]) for row in found]


def setting(name: str, default: str = "") -> str:
    """Return a setting's value, or `default` when it was never set."""
    row = sql.first("SELECT value FROM setting WHERE name = ?", (name,))
    return str(row[0]) if row else default


def set_setting(name: str, value: str, *, by: Stamp) -> None:
    """Set a setting and record what it was before."""
    before = setting(name)
    sql.run(
        "INSERT INTO setting (name, value) VALUES (?, ?)"
        " ON CONFLICT (name) DO UPDATE SET value = excluded.value",
        (name, value),
    )
    record("set", ("setting", None), {"name": name, "was": before, "is": value}, by=by)
