"""Lots: what was received, what has left, what was inspected. Two lots are never made one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from partsdb.store import sql
from partsdb.store.rows import Stamp
from partsdb.store.rows_bench import FirstInspection, InspectionRow, LotRow, MovementRow, NewLot

_LOT = (
    "SELECT l.id, l.label, l.supplier_label, l.supplier_id, s.name, l.part_id, p.maker_id, m.name,"
    " p.number, p.role, l.received_at, l.units, l.state, l.order_ref, l.bin, l.due_at, l.ordered,"
    " l.document, l.document_until, iif(l.taken_apart_at IS NULL, 0, l.units)"
    " FROM lot l JOIN supplier s ON s.id = l.supplier_id"
    " JOIN part p ON p.id = l.part_id JOIN maker m ON m.id = p.maker_id"
)
_INSPECTION = (
    "SELECT i.id, i.lot_id, i.at, i.by, i.sampled, i.rejected, i.note, i.plan, i.required,"
    " i.allowed, i.decision, i.found FROM inspection i"
)


def label_key(label: str) -> str:
    """Return a label as it is looked up: case and blanks aside, punctuation kept."""
    return " ".join(label.split()).upper()


def add_lot(new: NewLot) -> int:
    """Store a receipt as a lot of its own and return its id.

    The label on the bin is the supplier's where that is free, else it gets a number ("B7/2"); a
    receipt without one is named after its year and the lot's id ("L26-00017").
    """
    lot_id = sql.next_id("lot")
    label = _free_label(new, lot_id)
    return sql.insert(
        "lot",
        "id, supplier_id, part_id, label, label_key, supplier_label, supplier_label_key,"
        " received_at, units, order_ref, bin, due_at, ordered, document, document_until",
        (
            lot_id, new.supplier_id, new.part_id, label, label_key(label), new.supplier_label,
            label_key(new.supplier_label), new.received_at, new.units, new.order_ref, new.bin,
            new.due_at, new.ordered, new.document, new.document_until,
        ),
    )  # fmt: skip


def _free_label(new: NewLot, lot_id: int) -> str:
    wanted = new.supplier_label or f"L{new.received_at[2:4]}-{lot_id:05d}"
    label, number = wanted, 1
    while sql.first("SELECT 1 FROM lot WHERE label_key = ?", (label_key(label),)):
        number += 1
        label = f"{wanted}/{number}"
    return label


def find_lot(label: str) -> LotRow | None:
    """Return the lot whose bin carries that label, or None."""
    return next(iter(_lots("l.label_key = ?", (label_key(label),))), None)


def lots_named(label: str) -> list[LotRow]:
    """Return every lot of that label, on the bin or as the supplier gave it."""
    key = label_key(label)
    return _lots("l.label_key = ? OR (l.supplier_label_key <> '' AND l.supplier_label_key = ?)",
                 (key, key))  # fmt: skip


def lot_rows(lot_ids: Iterable[int]) -> list[LotRow]:
    """Return the lots of those ids with their counts."""
    rows = sql.rows_for(_LOT + " WHERE l.id IN ({marks}) ORDER BY l.received_at, l.id", lot_ids)
    return _counted(rows)


def lots_of_parts(part_ids: Iterable[int]) -> list[LotRow]:
    """Return every lot of those parts, oldest first."""
    rows = sql.rows_for(_LOT + " WHERE l.part_id IN ({marks}) ORDER BY l.received_at, l.id",
                        part_ids)  # fmt: skip
    return _counted(rows)


def lots_received(
    *, supplier_id: int | None = None, since: str = "", until: str = "9999"
) -> list[LotRow]:
    """Return the lots received from a supplier (or all) in a span of days, ends included."""
    where = "l.received_at >= ? AND l.received_at <= ?"
    if supplier_id is None:
        return _lots(where, (since, f"{until}~"))
    return _lots(f"l.supplier_id = ? AND {where}", (supplier_id, since, f"{until}~"))


def lots_without_paper(day: str) -> list[LotRow]:
    """Return the accepted lots that came without a certificate, or whose own has run out by then.

    What our own bench put together has those of its pieces.
    """
    return _lots(
        "l.state = 'accepted' AND (l.document = '' OR coalesce(l.document_until, '9999') < ?)"
        " AND NOT EXISTS (SELECT 1 FROM lot_component c WHERE c.kit_lot_id = l.id AND c.taken = 1)",
        (day,),
    )


def _lots(where: str, values: Sequence[Any]) -> list[LotRow]:
    return _counted(sql.rows(f"{_LOT} WHERE {where} ORDER BY l.received_at, l.id", values))


def _counted(rows: Sequence[tuple[Any, ...]]) -> list[LotRow]:
    ids = [row[0] for row in rows]
    fitted = dict(
        sql.rows_for(
            "SELECT lot_id, sum(units) FROM fitting WHERE lot_id IN ({marks}) GROUP BY lot_id", ids
        )
    )
    gone: dict[tuple[int, str], int] = {}
    for lot_id, kind, units in sql.rows_for(
        "SELECT lot_id, kind, sum(units) FROM lot_movement WHERE lot_id IN ({marks})"
        " GROUP BY lot_id, kind",
        ids,
    ):
        gone[lot_id, kind] = units
    built = dict(
        sql.rows_for(
            "SELECT component_lot_id, sum(units) FROM lot_component WHERE taken = 1"
            " AND taken_back_at IS NULL AND component_lot_id IN ({marks})"
            " GROUP BY component_lot_id",
            ids,
        )
    )
    kinds = ("returned", "written off", "missing")
    return [
        LotRow(
            *[
                *row[:-1],
                fitted.get(row[0], 0),
                *(gone.get((row[0], kind), 0) for kind in kinds),
                built.get(row[0], 0),
                row[-1],
            ]
        )
        for row in rows
    ]


def set_state(lot_id: int, state: str) -> None:
    """Put a lot into "held", "accepted", "returned" or "barred"."""
    sql.run("UPDATE lot SET state = ? WHERE id = ?", (state, lot_id))


def take_apart(lot_id: int, *, by: Stamp) -> None:
    """Leave nothing of a lot of kits: every kit was taken apart."""
    sql.run("UPDATE lot SET taken_apart_at = ? WHERE id = ?", (by.at, lot_id))


def move(lot_id: int, kind: str, units: int, *, reason: str, by: Stamp) -> int:
    """Record units that left the lot: "returned", "written off", or "missing" (a count's gap)."""
    return sql.insert(
        "lot_movement",
        "lot_id, at, by, kind, units, reason",
        (lot_id, by.at, by.who, kind, units, reason),
    )


def movements_of(lot_ids: Iterable[int]) -> list[MovementRow]:
    """Return what left those lots, in order."""
    found = sql.rows_for(
        "SELECT lot_id, at, by, kind, units, reason FROM lot_movement"
        " WHERE lot_id IN ({marks}) ORDER BY id",
        lot_ids,
    )
    return [MovementRow(*row) for row in found]


def add_inspection(lot_id: int, row: InspectionRow) -> int:
    """Store an inspection (its id and lot are those given here)."""
    return sql.insert(
        "inspection",
        "lot_id, at, by, sampled, rejected, note, plan, required, allowed, decision, found",
        (
            lot_id, row.at, row.by, row.sampled, row.rejected, row.note, row.plan, row.required,
            row.allowed, row.decision, sql.to_json(row.found),
        ),
    )  # fmt: skip


def inspections_of(lot_ids: Iterable[int]) -> list[InspectionRow]:
    """Return the inspections of those lots, in order."""
    found = sql.rows_for(_INSPECTION + " WHERE i.lot_id IN ({marks}) ORDER BY i.id", lot_ids)
    return [_inspection(row) for row in found]


def first_inspections(supplier_id: int, *, before: int | None = None) -> list[FirstInspection]:
    """Return the first inspection of each lot of the supplier, in order.

    With `before`, a lot's id, only of the other lots, and only what was inspected before that lot
    was: its plan does not change with what comes after it.
    """
    found = sql.rows(
        "SELECT i.id, p.role, i.decision, i.rejected, i.allowed"
        " FROM inspection i JOIN lot l ON l.id = i.lot_id"
        " JOIN part p ON p.id = l.part_id WHERE l.supplier_id = ? AND l.id IS NOT ? AND i.id ="
        " (SELECT min(f.id) FROM inspection f WHERE f.lot_id = l.id) AND i.id <"
        " coalesce((SELECT min(o.id) FROM inspection o WHERE o.lot_id = ?), i.id + 1)"
        " ORDER BY i.id",
        (supplier_id, before, before),
    )
    return [FirstInspection(*row) for row in found]


def suppliers_inspected() -> list[tuple[int, str]]:
    """Return (id, name) of every supplier of whom a lot was inspected, by name."""
    found = sql.rows(
        "SELECT DISTINCT s.id, s.name FROM inspection i JOIN lot l ON l.id = i.lot_id"
        " JOIN supplier s ON s.id = l.supplier_id ORDER BY s.name"
    )
    return [(row[0], row[1]) for row in found]


def _inspection(row: Sequence[Any]) -> InspectionRow:
    return InspectionRow(*[*row[:11], sql.from_json(row[11])])
