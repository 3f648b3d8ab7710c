"""What lots of kits were put together from, and which kits hold a lot."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.store import sql
from partsdb.store.lots import label_key
from partsdb.store.rows import Stamp
from partsdb.store.rows_bench import ComponentRow, NewComponent

_COMPONENT = (
    "SELECT c.kit_lot_id, k.label, c.part_id, m.name, p.number, p.role, c.component_lot_id,"
    " coalesce(l.label, c.label), coalesce(l.state, ''), coalesce(l.supplier_id, 0), c.units,"
    " c.taken, c.source, c.at"
    " FROM lot_component c JOIN lot k ON k.id = c.kit_lot_id JOIN part p ON p.id = c.part_id"
    " JOIN maker m ON m.id = p.maker_id LEFT JOIN lot l ON l.id = c.component_lot_id"
)
# Kits may be put into kits: every step up from the lots that are asked about.
_UP = (
    "WITH RECURSIVE up (kit, lot) AS (SELECT kit_lot_id, component_lot_id FROM lot_component"
    " WHERE taken_back_at IS NULL AND component_lot_id IN ({marks})"
    " UNION SELECT c.kit_lot_id, up.lot FROM lot_component c"
    " JOIN up ON c.component_lot_id = up.kit WHERE c.taken_back_at IS NULL)"
    " SELECT kit, lot FROM up ORDER BY kit, lot"
)
_DOWN = (
    "WITH RECURSIVE down (kit, lot) AS (SELECT kit_lot_id, component_lot_id FROM lot_component"
    " WHERE taken_back_at IS NULL AND kit_lot_id IN ({marks})"
    " UNION SELECT down.kit, c.component_lot_id FROM lot_component c"
    " JOIN down ON c.kit_lot_id = down.lot WHERE c.taken_back_at IS NULL)"
    " SELECT kit, lot FROM down WHERE lot IS NOT NULL ORDER BY kit, lot"
)


def add_components(kit_lot_id: int, new: Iterable[NewComponent], *, by: Stamp) -> None:
    """Store what is inside a lot of kits."""
    sql.insert_many(
        "lot_component",
        "kit_lot_id, part_id, component_lot_id, label, label_key, units, taken, source, at, by",
        (
            (
                kit_lot_id, each.part_id, each.lot_id, each.label, label_key(each.label),
                each.units, int(each.taken), each.source, by.at, by.who,
            )
            for each in new
        ),
    )  # fmt: skip


def take_back(kit_lot_id: int, *, by: Stamp) -> None:
    """Put what our own bench took for a lot of kits back into its lots; the rows stay."""
    sql.run(
        "UPDATE lot_component SET taken_back_at = ? WHERE kit_lot_id = ? AND taken = 1"
        " AND taken_back_at IS NULL",
        (by.at, kit_lot_id),
    )


def components_of(lot_ids: Iterable[int]) -> list[ComponentRow]:
    """Return what is directly inside each of those lots, in the order of entry."""
    return _rows("c.kit_lot_id IN ({marks}) ORDER BY c.id", lot_ids)


def components_of_parts(part_ids: Iterable[int]) -> list[ComponentRow]:
    """Return where those parts are known to be inside a lot of kits."""
    return _rows("c.part_id IN ({marks}) ORDER BY c.id", part_ids)


def components_labelled(label: str) -> list[ComponentRow]:
    """Return where a lot of that label, which never came by itself, is inside a lot of kits."""
    return _rows("c.label_key <> '' AND c.label_key IN ({marks}) ORDER BY c.id",
                 [label_key(label)] if label.strip() else [])  # fmt: skip


def _rows(where: str, values: Iterable[object]) -> list[ComponentRow]:
    found = sql.rows_for(f"{_COMPONENT} WHERE c.taken_back_at IS NULL AND {where}", values)
    return [ComponentRow(*[*row[:11], bool(row[11]), *row[12:]]) for row in found]


def kits_holding(lot_ids: Iterable[int]) -> dict[int, tuple[int, ...]]:
    """Return by lot of kits which of those lots it holds, kits within kits too."""
    return _gathered(sql.rows_for(_UP, lot_ids))


def lots_inside(lot_ids: Iterable[int]) -> dict[int, tuple[int, ...]]:
    """Return by lot of kits every lot inside it, kits within kits too."""
    return _gathered(sql.rows_for(_DOWN, lot_ids))


def _gathered(pairs: Iterable[tuple[int, ...]]) -> dict[int, tuple[int, ...]]:
    found: dict[int, tuple[int, ...]] = {}
    for kit, lot in pairs:
        found[kit] = (*found.get(kit, ()), lot)
    return found


def kits_listing(names: Iterable[str]) -> list[int]:
    """Return the parts whose stated contents name an item by one of those texts."""
    found = sql.rows_for("SELECT part_id FROM kit_item WHERE item IN ({marks})", names)
    return sorted({row[0] for row in found})
