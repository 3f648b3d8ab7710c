"""Articles that the last list lacks or does not price: what the lists before it asked for them.

A line that vanished and comes back at a hundred times its price is no new article.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from partsdb.jobs.list_compare import by_code, key_of
from partsdb.jobs.past import reading_of
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.stored_list import as_read
from partsdb.rules.numbers import number_key
from partsdb.store import line_history, lists


def last_priced(
    before: int, lines: Iterable[ReadLine], was: Mapping[str, ReadLine]
) -> dict[str, ReadLine]:
    """Return by key the newest older line with a price, for lines that `was` gives none of.

    `was` are the lines of the batch `before`; the lists that were withdrawn count for nothing.
    """
    wanted = {
        key
        for line in lines
        if line.listed.offer and (key := key_of(line))
        if key not in was or was[key].listed.offer is None
    }
    head = lists.list_row(before)
    found: dict[str, ReadLine] = {}
    for older in lists.list_rows(head.supplier_id) if head and wanted else ():
        if older.id >= before or older.withdrawn_at or not wanted:
            continue
        rows = line_history.lines_with_codes(older.id, sorted(set(map(number_key, wanted))))
        readings = line_history.newest_readings(row.id for row in rows)
        kept = [row for row in rows if row.id in readings]
        read = as_read(older, kept, {at: reading_of(row) for at, row in readings.items()})
        priced = {
            key: line
            for key, line in by_code(read.lines).items()
            if key in wanted and line.listed.offer
        }
        found |= priced
        wanted -= priced.keys()
    return found
