"""Kits in a recall: which lots of kits hold what is recalled, and which kits may."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from partsdb.store import bench_record, catalogue, lot_components, lots
from partsdb.store.rows_bench import ComponentRow, FittingRow, LotRow


@dataclass(frozen=True, slots=True)
class Kits:
    """Lots of kits that hold what is recalled: what each holds in words, by the lot's id.

    `loose` are the kit parts by id with the day from which such a kit may hold it.
    """

    rows: Sequence[LotRow] = ()
    holds: dict[int, str] = field(default_factory=dict)
    loose: dict[int, str] = field(default_factory=dict)


def kits_with(rows: Sequence[LotRow], part_ids: Collection[int], label: str | None) -> Kits:
    """Return the lots of kits that hold the lots recalled, kits within kits too.

    `label` is the label of the lot recalled, "" where the part is recalled as such and None where
    only the lots named are: a component that never came by itself is known by part and label alone.
    """
    holds = {
        kit: ", ".join(_named(rows, inside))
        for kit, inside in lot_components.kits_holding(row.id for row in rows).items()
    }
    unreceived = [each for each in _by_word(part_ids, label) if each.lot_id is None]
    for each in unreceived:
        holds.setdefault(each.kit_lot_id, f"lot {each.lot} ({each.maker} {each.number})")
    for kit, inside in lot_components.kits_holding(each.kit_lot_id for each in unreceived).items():
        holds.setdefault(kit, "; ".join(holds[i] for i in inside if i in holds))
    known = {row.id for row in rows}
    kits = [row for row in lots.lot_rows(holds) if row.id not in known]
    return Kits(kits, holds, _loose(kits, part_ids, _first(rows)))


def _by_word(part_ids: Collection[int], label: str | None) -> Sequence[ComponentRow]:
    if label is None:
        return ()
    if label:
        return lot_components.components_labelled(label)
    return lot_components.components_of_parts(part_ids)


def _named(rows: Sequence[LotRow], ids: Collection[int]) -> list[str]:
    return [f"lot {row.label} ({row.maker} {row.number})" for row in rows if row.id in ids]


def _first(rows: Sequence[LotRow]) -> str:
    return min((row.received_at[:10] for row in rows), default="")


def _loose(kits: Sequence[LotRow], part_ids: Collection[int], first: str) -> dict[int, str]:
    """Return the kits that list a recalled part, and those of which a lot holds one."""
    parts = catalogue.part_rows(part_ids).values()
    names = [name for part in parts for name in (part.number, f"{part.maker} {part.number}")]
    found = dict.fromkeys(lot_components.kits_listing(names), first)
    for row in kits:
        day = row.received_at[:10]
        found[row.part_id] = min(day, found.get(row.part_id, day))
    return {part_id: day for part_id, day in found.items() if part_id not in part_ids}


def may_hold(kits: Kits, part_ids: Collection[int]) -> list[FittingRow]:
    """Return the fittings of those kits of which nobody knows which lots are inside.

    A kit out of a lot that names its lot of the part is known: it holds the one recalled or not.
    """
    if not kits.loose:
        return []
    told = {each.kit_lot_id for each in lot_components.components_of_parts(part_ids)}
    told |= set(kits.holds)
    return [
        row
        for row in bench_record.fittings_of_parts(kits.loose)
        if row.at[:10] >= kits.loose[row.part_id] and (row.lot_id is None or row.lot_id not in told)
    ]


def with_insides(lot_ids: Iterable[int]) -> list[LotRow]:
    """Return the lots and every lot inside them: what a machine carries of each."""
    ids = list(lot_ids)
    inside = lot_components.lots_inside(ids)
    return lots.lot_rows([*ids, *(i for each in inside.values() for i in each)])
