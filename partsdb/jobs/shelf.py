"""What lies on our own shelf and may be fitted: asked before any supplier is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from partsdb.jobs.answers import ShelfLot
from partsdb.jobs.balances import balance_of
from partsdb.jobs.kit_lots import stopped_inside
from partsdb.rules.grading import Grade
from partsdb.rules.shelf import USABLE, offered
from partsdb.store.grades import grades_for_suppliers
from partsdb.store.lots import lots_of_parts
from partsdb.store.rows_bench import LotRow


def on_the_shelf(
    part_ids: Iterable[int], grades: Mapping[int, Grade | None], as_of: str
) -> dict[int, tuple[ShelfLot, ...]]:
    """Return for each part the lots of it that may be used, oldest first, none of which is barred.

    `grades` are those of the parts; a lot that is held, barred or sent back is never among them,
    nor a lot of kits that holds one, nor one that came after the day `as_of`.
    """
    found = [
        row
        for row in lots_of_parts(part_ids)
        if row.state == USABLE and row.received_at[:10] <= as_of
    ]
    stopped = stopped_inside(found)
    sellers = grades_for_suppliers({row.supplier_id for row in found})
    shelf: dict[int, tuple[ShelfLot, ...]] = {}
    for row in found:
        seller, graded = sellers.get(row.supplier_id), grades.get(row.part_id)
        touching = [each.grade for each in (seller, graded) if each]
        if row.id in stopped:
            continue
        if units := offered(row.state, balance_of(row), *touching):
            shelf[row.part_id] = (*shelf.get(row.part_id, ()), _shown(row, units))
    return shelf


def _shown(row: LotRow, units: int) -> ShelfLot:
    return ShelfLot(row.label, units, row.supplier, row.received_at[:10], row.bin)


def shelf_text(lots: Iterable[ShelfLot]) -> str:
    """Return what is on the shelf in words: "2, lot B7 (bin 4), lot B8", "" for nothing."""
    known = list(lots)
    if not known:
        return ""
    named = [f"lot {each.lot}" + (f" (bin {each.bin})" if each.bin else "") for each in known]
    return f"{sum(each.units for each in known)}, {', '.join(named)}"
