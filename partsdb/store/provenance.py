"""Where the facts and prices of a part came from: who said it, when, and the line of which file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from partsdb.store import sql

_SAID = (
    "SELECT 'claim', kind, about, value, basis, evidence, source, line_id, made_by, made_at,"
    " withdrawn_at FROM claim WHERE part_id = :part"
    " UNION ALL SELECT 'offer', 'price', '', price_e4 || '/' || price_per || ' ' || currency, '',"
    " held, '', line_id, '', made_at, withdrawn_at FROM offer WHERE part_id = :part"
    " UNION ALL SELECT 'offer', 'price', 'from ' || b.from_units,"
    " b.price_e4 || '/' || o.price_per || ' ' || o.currency, '', o.held, '', o.line_id, '',"
    " o.made_at, o.withdrawn_at FROM price_break b JOIN offer o ON o.id = b.offer_id"
    " WHERE o.part_id = :part"
    " ORDER BY 10, 1, 2, 3, 4"
)


@dataclass(frozen=True, slots=True)
class SaidRow:
    """One claim or offer of a part, live or withdrawn; an offer's `value` is "e4/per CUR".

    A price break is an offer `about` "from 10".
    """

    what: str
    kind: str
    about: str
    value: str
    basis: str
    evidence: str
    source: str
    line_id: int | None
    made_by: str
    made_at: str
    withdrawn_at: str | None


@dataclass(frozen=True, slots=True)
class LineSource:
    """A line with its file: `fields` and `profiles` are the plain data that intake stored."""

    sheet: str
    row: int
    fields: dict[str, Any]
    batch: int
    file_name: str
    sha256: str
    supplier: str
    profiles: tuple[dict[str, Any], ...]


def said_of(part_id: int) -> list[SaidRow]:
    """Return every claim and offer that was ever made of a part, oldest first."""
    found = sql.connection().execute(_SAID, {"part": part_id}).fetchall()
    return [SaidRow(*row) for row in found]


def line_sources(line_ids: set[int]) -> dict[int, LineSource]:
    """Return line id -> where that line stands."""
    found = sql.rows_for(
        "SELECT l.id, l.sheet, l.row, l.fields, p.id, p.file_name, p.sha256, s.name, p.profiles"
        " FROM line l JOIN price_list p ON p.id = l.price_list_id"
        " JOIN supplier s ON s.id = p.supplier_id WHERE l.id IN ({marks})",
        sorted(line_ids),
    )
    return {line_id: _line_source(*row) for line_id, *row in found}


def _line_source(sheet: str, row: int, fields: str, *head: Any) -> LineSource:
    batch, file_name, sha256, supplier, profiles = head
    layouts = tuple(sql.from_json(profiles))
    return LineSource(
        sheet, row, sql.from_json(fields), batch, file_name, sha256, supplier, layouts
    )
