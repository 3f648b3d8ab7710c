"""Lines of older lists: the last price that was let through, where the batch before has none.

A line that vanished and comes back at a hundred times its price is no new article; and a price that
waits for a person waits on when the next list says the same, for nobody has said yes to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from partsdb.jobs.list_compare import by_code, key_of
from partsdb.jobs.past import reading_of
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.stored_list import as_read
from partsdb.rules.numbers import number_identity, number_key
from partsdb.store import line_history, lists, offers
from partsdb.store.rows_lists import LineRow, PriceListRow


def last_priced(
    before: int, lines: Iterable[ReadLine], was: Mapping[str, ReadLine]
) -> dict[str, ReadLine]:
    """Return by key the newest older line with a price, for lines that `was` gives none of.

    `was` are the lines of the batch `before`; the lists that were withdrawn count for nothing, nor
    do prices that wait for a person.
    """
    return _newest_priced(
        before,
        {
            key
            for line in lines
            if line.listed.offer and (key := key_of(line))
            if key not in was or was[key].listed.offer is None
        },
    )


def let_through(before: int, was: Mapping[str, ReadLine]) -> dict[str, ReadLine]:
    """Return the lines of the batch `before`, for one that waits the last that did not.

    One that waits and was never let through stays, for want of anything to compare with.
    """
    return {**was, **_newest_priced(before, waiting_keys(before).keys() & was.keys())}


def waiting_keys(batch: int) -> dict[str, str]:
    """Return the key of each line of a batch whose offer waits for a person, and why it does."""
    held = offers.held_offers(batch)
    return {key_of_row(row): held[row.id] for row in line_history.line_rows(held)}


def key_of_row(row: LineRow) -> str:
    """Return what `key_of` does, of a stored line."""
    stated = row.fields["fields"]
    return number_identity(row.code) or number_identity(stated.get("maker_number", ""))


def _newest_priced(before: int, wanted: set[str]) -> dict[str, ReadLine]:
    head = lists.list_row(before)
    found: dict[str, ReadLine] = {}
    for older in lists.list_rows(head.supplier_id) if head and wanted else ():
        if older.id >= before or older.withdrawn_at or not wanted:
            continue
        priced = _priced_of(older, wanted)
        found |= priced
        wanted = wanted - priced.keys()
    return found


def _priced_of(older: PriceListRow, wanted: set[str]) -> dict[str, ReadLine]:
    """Return by key the lines of one list whose price was let through."""
    rows = line_history.lines_with_keys(older.id, set(map(number_key, wanted)))
    readings = line_history.newest_readings(row.id for row in rows)
    held = offers.held_offers(older.id)
    kept = [row for row in rows if row.id in readings and row.id not in held]
    read = as_read(older, kept, {at: reading_of(row) for at, row in readings.items()})
    return {
        key: line
        for key, line in by_code(read.lines).items()
        if key in wanted and line.listed.offer
    }
