"""A batch as it was stored: vetted again without the file, with the readings it got then."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from importers.rows import ListRow, PriceListText, RowKind
from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.reading_list import ReadList, profile_of, with_claims
from partsdb.matching.readings import Candidate, Evidence, Reading, ReadingKind
from partsdb.store import lists, makers
from partsdb.store.rows_lists import LineRow, PriceListRow, ReadingRow


def stored_list(batch: int) -> ReadList:
    """Return the batch as a read list; raises NotFoundError or, when withdrawn, UsageError."""
    head = lists.list_row(batch)
    if head is None:
        raise NotFoundError("price list", str(batch), hint="partsdb pricelist show lists them")
    if head.withdrawn_at:
        raise UsageError(
            f"batch {batch} was withdrawn on {head.withdrawn_at}", hint="read the file again first"
        )
    readings = {row.line_id: row for row in lists.readings_of(batch)}
    lines = lists.lines_of(batch)
    source = _source(head, [_row(line) for line in lines])
    return ReadList(
        source,
        makers.find_supplier(head.supplier),
        with_claims(source, [_reading(readings[line.id]) for line in lines], _currency(head)),
        head.assumptions,
    )


def _currency(head: PriceListRow) -> str:
    """Return the list's one currency; a list in several names it in each row."""
    return head.currency if " " not in head.currency else ""


def _source(head: PriceListRow, rows: list[ListRow]) -> PriceListText:
    return PriceListText(
        head.file_name,
        head.sha256,
        head.reader,
        tuple(rows),
        tuple(profile_of(data) for data in head.profiles),
        head.assumptions,
        head.skipped,
    )


def _row(line: LineRow) -> ListRow:
    kept = line.fields
    return ListRow(
        RowKind(line.kind),
        line.sheet,
        line.row,
        dict(kept["fields"]),
        dict(kept["amounts"]),
        kept["section"],
        line.notes,
        tuple(kept["cells"]),
    )


def _reading(row: ReadingRow) -> Reading:
    told = row.evidence[0] if row.evidence else {"evidence": [], "candidates": []}
    return Reading(
        ReadingKind(row.kind),
        row.part_id,
        row.confidence,
        tuple(Evidence(**each) for each in told["evidence"]),
        tuple(_candidate(each) for each in told["candidates"]),
        row.damage,
    )


def _candidate(data: Mapping[str, Any]) -> Candidate:
    return Candidate(
        data["part_id"], data["score"], tuple(Evidence(**each) for each in data["evidence"])
    )
