"""Price lists as received: their lines, readings, layouts, and people's decisions about them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from partsdb.rules.numbers import number_key
from partsdb.store import sql
from partsdb.store.rows import Stamp
from partsdb.store.rows_lists import (
    DecisionRow,
    LineRow,
    NewDecision,
    NewLine,
    NewList,
    NewReading,
    PriceListRow,
    ReadingRow,
)

_LIST = (
    "SELECT l.id, l.supplier_id, s.name, l.file_name, l.sha256, l.reader, l.read_at, l.read_by,"
    " l.currency, l.valid_from, l.valid_to, l.profiles, l.assumptions, l.skipped, l.withdrawn_at,"
    " l.withdrawn_why, (SELECT count(*) FROM line WHERE price_list_id = l.id),"
    # Offers of lines that were read anew since are not counted; a withdrawn list counts its last.
    " (SELECT count(*) FROM offer WHERE price_list_id = l.id AND withdrawn_at IS l.withdrawn_at),"
    " l.renews_id"
    " FROM price_list l JOIN supplier s ON s.id = l.supplier_id"
)
_READING = (
    "SELECT r.id, r.line_id, r.kind, r.part_id, r.own_part_id, r.confidence, r.damage, r.evidence,"
    " r.matcher_version FROM reading r"
)


def find_list(supplier_id: int, sha256: str) -> PriceListRow | None:
    """Return the live list that this supplier's file of that hash became, or None."""
    found = _lists("l.supplier_id = ? AND l.sha256 = ? AND l.withdrawn_at IS NULL",
                   (supplier_id, sha256))  # fmt: skip
    return found[0] if found else None


def list_row(list_id: int) -> PriceListRow | None:
    """Return one list, withdrawn or not, or None."""
    found = _lists("l.id = ?", (list_id,))
    return found[0] if found else None


def list_rows(supplier_id: int | None = None) -> list[PriceListRow]:
    """Return all lists, newest first, of one supplier when named."""
    return _lists("? IS NULL OR l.supplier_id = ?", (supplier_id, supplier_id))


def _lists(test: str, values: Sequence[object]) -> list[PriceListRow]:
    found = sql.rows(f"{_LIST} WHERE {test} ORDER BY l.id DESC", values)
    return [
        PriceListRow(*row[:11], *(tuple(sql.from_json(text)) for text in row[11:14]), *row[14:])
        for row in found
    ]


def add_list(new: NewList, *, by: Stamp) -> int:
    """Store a list's head and return its id, the batch number that people see."""
    return sql.insert(
        "price_list",
        "supplier_id, file_name, sha256, reader, read_at, read_by, currency, valid_from, valid_to,"
        " profiles, assumptions, skipped, renews_id",
        (new.supplier_id, new.file_name, new.sha256, new.reader, by.at, by.who, new.currency,
         new.valid_from, new.valid_to, sql.to_json(new.profiles), sql.to_json(new.assumptions),
         sql.to_json(new.skipped), new.renews_id),
    )  # fmt: skip


def add_lines(list_id: int, lines: Iterable[NewLine]) -> list[int]:
    """Store a list's rows in bulk and return their ids, in order."""
    free = sql.next_id("line")
    values = [
        (free + n, list_id, line.sheet, line.row, line.kind, line.code, number_key(line.code),
         line.description, sql.to_json(line.fields), sql.to_json(line.notes))
        for n, line in enumerate(lines)
    ]  # fmt: skip
    sql.insert_many(
        "line",
        "id, price_list_id, sheet, row, kind, code, code_key, description, fields, notes",
        values,
    )
    return list(range(free, free + len(values)))


def add_readings(readings: Iterable[NewReading]) -> list[int]:
    """Store what the lines were taken for in bulk and return the ids, in order."""
    free = sql.next_id("reading")
    values = [
        (free + n, r.line_id, r.kind, r.part_id, r.own_part_id, r.confidence, r.damage,
         sql.to_json(r.evidence), r.matcher_version)
        for n, r in enumerate(readings)
    ]  # fmt: skip
    sql.insert_many(
        "reading",
        "id, line_id, kind, part_id, own_part_id, confidence, damage, evidence, matcher_version",
        values,
    )
    return list(range(free, free + len(values)))


def lines_of(list_id: int) -> list[LineRow]:
    """Return a list's rows in the order of the file."""
    found = sql.rows(
        "SELECT id, price_list_id, sheet, row, kind, code, code_key, description, fields, notes"
        " FROM line WHERE price_list_id = ? ORDER BY id",
        (list_id,),
    )
    return [LineRow(*[*r[:8], sql.from_json(r[8]), tuple(sql.from_json(r[9]))]) for r in found]


def readings_of(list_id: int) -> list[ReadingRow]:
    """Return the newest reading of every line of the list that has one, in file order."""
    found = sql.rows(
        f"{_READING} JOIN line l ON l.id = r.line_id WHERE l.price_list_id = ?"
        " ORDER BY r.line_id, r.id",
        (list_id,),
    )
    newest = {row[1]: row for row in found}
    return [
        ReadingRow(*[*row[:7], tuple(sql.from_json(row[7])), row[8]]) for row in newest.values()
    ]


def codes_of(list_id: int) -> set[str]:
    """Return the codes of the articles of a list as printed, of one without the maker's number."""
    found = sql.rows(
        "SELECT DISTINCT iif(code <> '', code, json_extract(fields, '$.fields.maker_number'))"
        " FROM line WHERE price_list_id = ? AND kind = 'item'",
        (list_id,),
    )
    return {code for (code,) in found if code}


def saved_profiles(supplier_id: int) -> dict[str, Any]:
    """Return the remembered layouts of a supplier's lists by layout key."""
    found = sql.rows(
        "SELECT layout_key, profile FROM list_profile WHERE supplier_id = ? ORDER BY layout_key",
        (supplier_id,),
    )
    return {key: sql.from_json(profile) for key, profile in found}


def save_profile(supplier_id: int, layout_key: str, profile: Any, *, by: Stamp) -> None:
    """Remember, or replace, how a list of that layout is read; `profile` is plain data."""
    as_json = sql.to_json(profile)
    _keep_former(supplier_id, layout_key, by, unless=as_json)
    sql.run(
        "INSERT INTO list_profile (supplier_id, layout_key, profile, made_at) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (supplier_id, layout_key) DO UPDATE SET profile = excluded.profile,"
        " made_at = excluded.made_at WHERE profile <> excluded.profile",
        (supplier_id, layout_key, as_json, by.at),
    )


def _keep_former(supplier_id: int, layout_key: str, by: Stamp, *, unless: str = "") -> None:
    """Keep what is about to be replaced or forgotten, for answers as of a day gone by."""
    sql.run(
        "INSERT INTO list_profile_past (supplier_id, layout_key, profile, made_at, ended_at)"
        " SELECT supplier_id, layout_key, profile, made_at, ? FROM list_profile"
        " WHERE supplier_id = ? AND layout_key = ? AND profile <> ?",
        (by.at, supplier_id, layout_key, unless),
    )


def forget_profile(supplier_id: int, layout_key: str, *, by: Stamp) -> None:
    """Remember a layout no more."""
    _keep_former(supplier_id, layout_key, by)
    sql.run(
        "DELETE FROM list_profile WHERE supplier_id = ? AND layout_key = ?",
        (supplier_id, layout_key),
    )


def decisions(supplier_id: int) -> list[DecisionRow]:
    """Return the decisions about a supplier's codes that stand, oldest first."""
    found = sql.rows(
        "SELECT d.id, d.supplier_id, d.code_key, d.said, d.kind, d.part_id, d.reason, d.made_by,"
        " d.made_at, d.reading_id, coalesce(l.code, d.code_key) FROM decision d"
        " LEFT JOIN reading r ON r.id = d.reading_id LEFT JOIN line l ON l.id = r.line_id"
        " WHERE d.supplier_id = ? AND d.taken_back_at IS NULL ORDER BY d.id",
        (supplier_id,),
    )
    return [DecisionRow(*row) for row in found]


def add_decision(new: NewDecision, *, by: Stamp) -> int:
    """Store a person's decision and return its id; the newest of a code counts."""
    return sql.insert(
        "decision",
        "supplier_id, code_key, said, kind, part_id, reason, made_by, made_at, reading_id",
        (new.supplier_id, new.code_key, new.said, new.kind, new.part_id, new.reason, by.who, by.at,
         new.reading_id),
    )  # fmt: skip


def take_back_decision(decision_id: int, *, by: Stamp) -> None:
    """Take a decision back; an older one of the same code counts again."""
    sql.run("UPDATE decision SET taken_back_at = ? WHERE id = ?", (by.at, decision_id))
