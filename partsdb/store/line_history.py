"""What lines were taken for before, by the matcher and by people; nothing is overwritten."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any

from partsdb.rules.numbers import number_key
from partsdb.store import sql
from partsdb.store.rows import Stamp
from partsdb.store.rows_lists import DecisionRow, LineRow, ReadingRow

_READING = (
    "r.id, r.line_id, r.kind, r.part_id, r.own_part_id, r.confidence, r.damage, r.evidence,"
    " r.matcher_version"
)
_LINE = "id, price_list_id, sheet, row, kind, code, code_key, description, fields, notes"
_DECISION = (
    "d.id, d.supplier_id, d.code_key, d.said, d.kind, d.part_id, d.reason, d.made_by, d.made_at,"
    " d.reading_id"
)
# A reading that a person's word made says so in its first piece of evidence.
_BY_PEOPLE = (
    "coalesce(json_extract(r.evidence, '$[0].evidence[0].name'), '') IN ('decision', 'wrong match')"
)


def line_rows(line_ids: Iterable[int]) -> list[LineRow]:
    """Return those lines in the order of their files."""
    found = sql.rows_for(f"SELECT {_LINE} FROM line WHERE id IN ({{marks}})", line_ids)
    return [_line(row) for row in sorted(found, key=lambda row: int(row[0]))]


def lines_with_codes(list_id: int, code_keys: Iterable[str]) -> list[LineRow]:
    """Return the lines of a list whose code has one of the keys, in file order."""
    found = sql.rows_for(f"{_of_list(list_id)} AND code_key IN ({{marks}})", code_keys)
    return [_line(row) for row in sorted(found, key=lambda row: int(row[0]))]


def lines_with_keys(list_id: int, keys: Collection[str]) -> list[LineRow]:
    """Return the same, and of the lines without a code those whose maker's number has a key."""
    found = {row.id: row for row in lines_with_codes(list_id, keys)}
    numbered = "json_extract(fields, '$.fields.maker_number')"
    for row in map(_line, sql.rows(f"{_of_list(list_id)} AND code_key = '' AND {numbered} <> ''")):
        if number_key(row.fields["fields"]["maker_number"]) in keys:
            found[row.id] = row
    return [found[line_id] for line_id in sorted(found)]


def _of_list(list_id: int) -> str:
    return f"SELECT {_LINE} FROM line WHERE price_list_id = {int(list_id)}"


def newest_readings(line_ids: Iterable[int]) -> dict[int, ReadingRow]:
    """Return the reading that counts of each line."""
    return _newest("1", line_ids)


def matcher_readings(line_ids: Iterable[int]) -> dict[int, ReadingRow]:
    """Return the newest reading of each line that no person's word made, where there is one."""
    return _newest(f"NOT ({_BY_PEOPLE})", line_ids)


def judged_readings() -> list[tuple[ReadingRow, DecisionRow]]:
    """Return every reading that a person judged, with the decision that stands, oldest first."""
    found = sql.rows(
        f"SELECT {_READING}, {_DECISION} FROM decision d JOIN reading r ON r.id = d.reading_id"
        " WHERE d.taken_back_at IS NULL ORDER BY d.id"
    )
    return [(_reading(row[:9]), DecisionRow(*row[9:])) for row in found]


def standing(decision_ids: Iterable[int]) -> list[DecisionRow]:
    """Return those of the decisions that have not been taken back."""
    found = sql.rows_for(
        f"SELECT {_DECISION} FROM decision d WHERE d.taken_back_at IS NULL AND d.id IN ({{marks}})",
        decision_ids,
    )
    return [DecisionRow(*row) for row in sorted(found)]


def live_list_ids(supplier_id: int) -> list[int]:
    """Return the lists of a supplier that are not withdrawn, oldest first."""
    found = sql.rows(
        "SELECT id FROM price_list WHERE supplier_id = ? AND withdrawn_at IS NULL ORDER BY id",
        (supplier_id,),
    )
    return [list_id for (list_id,) in found]


def offer_holds(list_id: int, line_ids: Iterable[int]) -> dict[int, str]:
    """Return why the live offer of each of those lines waits for a person, "" where it counts."""
    found = sql.rows_for(
        f"SELECT line_id, held FROM offer WHERE price_list_id = {int(list_id)}"
        " AND withdrawn_at IS NULL AND line_id IN ({marks})",
        line_ids,
    )
    return dict(found)


def lists_of_other_versions(version: int) -> list[int]:
    """Return the live lists whose first line was last read by another version of the matcher.

    A list that was gone through since, so that what flips was stored, is none of them.
    """
    found = sql.rows(
        "SELECT l.id FROM price_list l WHERE l.withdrawn_at IS NULL AND ? <> (SELECT"
        " r.matcher_version FROM reading r WHERE r.line_id = (SELECT min(n.id) FROM line n"
        " WHERE n.price_list_id = l.id) ORDER BY r.id DESC LIMIT 1)"
        " AND NOT EXISTS (SELECT 1 FROM event e WHERE e.subject_kind = 'price list'"
        " AND e.subject_id = l.id AND e.action = 'recheck'"
        " AND json_extract(e.detail, '$.matcher_version') = ?) ORDER BY l.id",
        (version, version),
    )
    return [list_id for (list_id,) in found]


def take_back(decision_ids: Iterable[int], *, by: Stamp) -> None:
    """Mark decisions as taken back; older ones about the same lines count again."""
    sql.connection().executemany(
        "UPDATE decision SET taken_back_at = ? WHERE id = ? AND taken_back_at IS NULL",
        [(by.at, decision_id) for decision_id in decision_ids],
    )


def _newest(test: str, line_ids: Iterable[int]) -> dict[int, ReadingRow]:
    found = sql.rows_for(
        f"SELECT {_READING} FROM reading r WHERE {test} AND r.line_id IN ({{marks}})", line_ids
    )
    return {row[1]: _reading(row) for row in sorted(found, key=lambda row: int(row[0]))}


def _reading(row: Sequence[Any]) -> ReadingRow:
    return ReadingRow(*[*row[:7], tuple(sql.from_json(row[7])), row[8]])


def _line(row: Sequence[Any]) -> LineRow:
    return LineRow(*[*row[:8], sql.from_json(row[8]), tuple(sql.from_json(row[9]))])
