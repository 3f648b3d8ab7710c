"""The shop's own record: what was fitted, and what came back."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.rules.recall import causes
from partsdb.store import sql


def comeback_counts(part_ids: Iterable[int]) -> dict[int, tuple[int, int]]:
    """Return (comebacks, fitted) of each part that was ever fitted; a fitting counts once.

    What our own work or the machine's owner did to it is no comeback of the part.
    """
    blameless = [code for code, cause in causes().items() if not cause.blames_part]
    found = sql.rows_for(
        "SELECT f.part_id, count(c.fitting_id), count(*) FROM fitting f LEFT JOIN"
        " (SELECT DISTINCT fitting_id FROM comeback WHERE cause NOT IN"
        f" ({','.join('?' * len(blameless))})) c ON c.fitting_id = f.id"
        " WHERE f.part_id IN ({marks}) GROUP BY f.part_id",
        part_ids,
        blameless,
    )
    return {part_id: (came_back, fitted) for part_id, came_back, fitted in found}
