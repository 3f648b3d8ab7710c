"""What an index of the catalogue outside the database needs: its state, its parts, its changes."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from partsdb.store import sql

_OWN = "p.price_list_id IS NULL AND p.withdrawn_at IS NULL"
_INDEXED = (
    "SELECT p.id, p.number, p.description, m.name FROM part p JOIN maker m ON m.id = p.maker_id"
)
IndexedRow = tuple[int, str, str, str]


def database_file() -> Path | None:
    """Return the file of the open database, None when it shows a day gone by."""
    if sql.first("SELECT 1 FROM temp.sqlite_master WHERE name = 'part'"):
        return None
    (found,) = (row[2] for row in sql.rows("PRAGMA database_list") if row[1] == "main")
    return Path(found) if found else None


def about_how_many() -> int:
    """Return the highest id of a part: as many parts as there are at most, without a count."""
    row = sql.first("SELECT coalesce(max(id), 0) FROM part")
    return int(row[0]) if row else 0


def state() -> str:
    """Return the last change of the shop's own parts as a text that no other state bears."""
    row = sql.first("SELECT id, mark FROM part_change ORDER BY id DESC LIMIT 1")
    return f"{row[0]}.{row[1]}" if row else "0.0"


def changed_since(before: str, *, most: int) -> list[int] | None:
    """Return the ids of parts changed since a state; None: too many, or another history."""
    number, _, mark = before.partition(".")
    if not number.isdecimal():
        return None
    known = sql.first("SELECT mark FROM part_change WHERE id = ?", (int(number),))
    if known is None or str(known[0]) != mark:
        return None
    found = sql.rows(
        "SELECT DISTINCT part_id FROM part_change WHERE id > ? ORDER BY part_id LIMIT ?",
        (int(number), most + 1),
    )
    return [row[0] for row in found] if len(found) <= most else None


def indexed_rows() -> list[IndexedRow]:
    """Return (id, number, description, maker) of the shop's own live parts, in order of id."""
    rows: list[IndexedRow] = sql.rows(f"{_INDEXED} WHERE {_OWN} ORDER BY p.id")
    return rows


def indexed_rows_of(part_ids: list[int]) -> list[IndexedRow]:
    """Return those rows of some parts; a part that is gone or not the shop's own has none."""
    found = sql.rows_for(f"{_INDEXED} WHERE {_OWN} AND p.id IN ({{marks}})", part_ids)
    return [(row[0], row[1], row[2], row[3]) for row in found]


def own_keys_among(keys: Collection[str]) -> list[str]:
    """Return which of some keys are those of a number of the shop's own live parts."""
    found = sql.rows_for(
        f"SELECT DISTINCT p.number_key FROM part p WHERE {_OWN} AND p.number_key IN ({{marks}})",
        sorted(keys),
    )
    return [row[0] for row in found]


def own_keys_with(side: str, text: str) -> list[str]:
    """Return the keys of the shop's own live parts that begin ("prefix") or end with a text."""
    if side == "prefix":
        # Keys hold A-Z and 0-9 alone: "[" stands behind all of them.
        where, values = "p.number_key >= ? AND p.number_key < ?", [text, f"{text}["]
    else:
        where, values = f"substr(p.number_key, -{len(text)}) = ?", [text]
    found = sql.rows(f"SELECT DISTINCT p.number_key FROM part p WHERE {_OWN} AND {where}", values)
    return [row[0] for row in found]


def sampled_descriptions(step: int) -> list[tuple[str, str]]:
    """Return (description, role) of the shop's own live parts whose id is a multiple of `step`."""
    found = sql.rows(
        f"SELECT p.description, p.role FROM part p WHERE {_OWN} AND p.id % ? = 0", (step,)
    )
    return [(row[0], row[1]) for row in found]
