"""A batch as it was stored: vetted again without the file, with the readings it got then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from importers.rows import ListRow, PriceListText, RowKind
from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.listed import ListedLine, listed_lines
from partsdb.jobs.past import reading_of
from partsdb.jobs.reading_list import ReadList, profile_of, with_claims
from partsdb.matching.readings import Reading
from partsdb.store import lists, makers
from partsdb.store.rows_lists import LineRow, PriceListRow


def stored_list(batch: int) -> ReadList:
    """Return the batch as a read list; raises NotFoundError or, when withdrawn, UsageError."""
    head = live_head(batch)
    readings = {row.line_id: reading_of(row) for row in lists.readings_of(batch)}
    return as_read(head, lists.lines_of(batch), readings)


def live_head(batch: int) -> PriceListRow:
    """Return a batch's head; raises NotFoundError or, when it was withdrawn, UsageError."""
    head = lists.list_row(batch)
    if head is None:
        raise NotFoundError("price list", str(batch), hint="partsdb pricelist show lists them")
    if head.withdrawn_at:
        raise UsageError(
            f"batch {batch} was withdrawn on {head.withdrawn_at}", hint="read the file again first"
        )
    return head


def as_read(
    head: PriceListRow, lines: Sequence[LineRow], readings: Mapping[int, Reading]
) -> ReadList:
    """Return some or all lines of a batch as a read list, with the readings given by line id."""
    source = _source(head, [_row(line) for line in lines])
    listed = listed_lines(source, currency=_currency(head))
    return ReadList(
        source,
        makers.find_supplier(head.supplier),
        with_claims(source, listed, [readings[line.id] for line in lines]),
        head.assumptions,
    )


def as_listed(head: PriceListRow, lines: Sequence[LineRow]) -> list[ListedLine]:
    """Return some or all lines of a batch by meaning, without readings or claims."""
    return listed_lines(_source(head, [_row(line) for line in lines]), currency=_currency(head))


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
