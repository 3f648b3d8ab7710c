"""Where the units of lots went, and what else rests on the same document."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.store import sql

_LAST = "\U0010ffff"  # behind every text that begins with the same words


@dataclass(frozen=True, slots=True)
class RestsOn:
    """A statement that rests on a document: a claim, an accepted stand-in, a lot's certificate."""

    part_id: int
    what: str
    source: str


def claim_source(claim_id: int) -> tuple[int, str, str, int | None] | None:
    """Return (part, what it says, source, price list) of a claim, or None."""
    row = sql.first(
        "SELECT part_id, trim(kind || ' ' || about) || ': ' || value, source, price_list_id"
        " FROM claim WHERE id = ?",
        (claim_id,),
    )
    return None if row is None else (row[0], row[1], row[2], row[3])


def jobs_with_serial(serial: str, machine_id: int | None = None) -> list[int]:
    """Return the jobs on machines of that serial number."""
    found = sql.rows(
        "SELECT id FROM job WHERE serial = ? AND serial <> '' AND (? IS NULL OR machine_id = ?)"
        " ORDER BY id",
        (serial, machine_id, machine_id),
    )
    return [row[0] for row in found]


def fitting_counts(part_ids: Iterable[int]) -> dict[int, int]:
    """Return how many units of each part were ever fitted."""
    found = sql.rows_for(
        "SELECT part_id, sum(units) FROM fitting WHERE part_id IN ({marks}) GROUP BY part_id",
        part_ids,
    )
    return dict(found)


def sources_of_acceptance(part_ids: Iterable[int]) -> list[str]:
    """Return what the parts were accepted on where another is called for."""
    found = sql.rows_for(
        "SELECT DISTINCT source FROM stands_in_now WHERE state = 'accepted' AND source <> ''"
        " AND fitted_part_id IN ({marks}) ORDER BY source",
        part_ids,
    )
    return [row[0] for row in found]


def accepted_on(document: str) -> list[RestsOn]:
    """Return the stand-ins that were accepted on sources that begin with `document`."""
    found = sql.rows(
        "SELECT s.fitted_part_id, 'accepted for ' || m.name || ' ' || p.number, s.source"
        " FROM stands_in_now s JOIN part p ON p.id = s.asked_part_id"
        " JOIN maker m ON m.id = p.maker_id WHERE s.state = 'accepted'"
        " AND s.source >= ? AND s.source < ? ORDER BY s.id",
        (document, document + _LAST),
    )
    return [RestsOn(*row) for row in found]


def claimed_on(document: str, price_list_id: int | None) -> list[RestsOn]:
    """Return the live claims whose source begins with `document`, or that the list brought."""
    where = "c.price_list_id = ?" if price_list_id else "c.source >= ? AND c.source < ?"
    values = (price_list_id,) if price_list_id else (document, document + _LAST)
    found = sql.rows(
        "SELECT c.part_id, trim(c.kind || ' ' || c.about) || ': ' || c.value, c.source"
        f" FROM claim_now c WHERE {where} ORDER BY c.id",
        values,
    )
    return [RestsOn(*row) for row in found]


def certified_by(document: str) -> list[int]:
    """Return the lots that came with a certificate whose name begins with `document`."""
    found = sql.rows(
        "SELECT id FROM lot WHERE document >= ? AND document < ? ORDER BY id",
        (document, document + _LAST),
    )
    return [row[0] for row in found]


def parts_in_use() -> dict[int, tuple[int, int, int]]:
    """Return (units fitted, of them without a lot, positions) of each part that is in use.

    In use is what was fitted, what a serviced machine or a recipe calls for, what lies in a lot.
    """
    fitted = sql.rows(
        "SELECT part_id, sum(units), sum(units * (lot_id IS NULL)) FROM fitting GROUP BY part_id"
    )
    places = sql.rows(
        "SELECT pp.part_id, count(*) FROM position_part pp JOIN position p ON p.id = pp.position_id"
        " JOIN machine c ON c.id = p.machine_id WHERE c.serviced = 1 GROUP BY pp.part_id"
    )
    others = sql.rows("SELECT part_id FROM recipe_item UNION SELECT part_id FROM lot")
    found: dict[int, tuple[int, int, int]] = {row[0]: (0, 0, 0) for row in others}
    found |= {part_id: (units, loose, 0) for part_id, units, loose in fitted}
    for part_id, count in places:
        units, loose, _ = found.get(part_id, (0, 0, 0))
        found[part_id] = (units, loose, count)
    return found
