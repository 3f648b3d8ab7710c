"""Batches and their lines as rows to show: what was stored is rendered, nothing is read anew."""

from __future__ import annotations

from importers.rows import place_of
from partsdb.errors import NotFoundError
from partsdb.store import catalogue, lists


def batch_list() -> list[dict[str, object]]:
    """Return the batches, newest first."""
    return [
        {
            "batch": row.id,
            "supplier": row.supplier,
            "file": row.file_name,
            "read_at": row.read_at,
            "read_by": row.read_by,
            "lines": row.lines,
            "offers": row.offers,
            "currency": row.currency,
            "withdrawn": row.withdrawn_at or "",
        }
        for row in lists.list_rows()
    ]


def batch_lines(batch: int) -> list[dict[str, object]]:
    """Return every line of a batch with its reading; raises NotFoundError for an unknown batch."""
    if lists.list_row(batch) is None:
        raise NotFoundError("price list", str(batch), hint="partsdb pricelist show lists them")
    readings = {reading.line_id: reading for reading in lists.readings_of(batch)}
    parts = catalogue.part_rows(r.part_id for r in readings.values() if r.part_id is not None)
    rows = []
    for line in lists.lines_of(batch):
        reading = readings[line.id]
        part = parts.get(reading.part_id or 0)
        rows.append(
            {
                "place": place_of(line.sheet, line.row),
                "code": line.code,
                "description": line.description,
                "reading": reading.kind,
                "part": f"{part.maker} {part.number}" if part else "",
                "confidence": round(reading.confidence, 2),
                "damage": reading.damage,
                "notes": list(line.notes),
            }
        )
    return rows
