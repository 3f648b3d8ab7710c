"""The names of what events are about: parts, makers, suppliers … looked up once for many events."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from partsdb.store import catalogue, lots, machines, makers, recipes
from partsdb.store.rows import EventRow

# Fields of an event's detail that hold the id of a part.
PARTS = frozenset(("asked_id", "fitted_id", "old_id", "new_id", "part_id", "own_part_id"))
_RENAMED = {"price list": "batch"}


class EventNames:
    """Gives the name of a thing that an event names by its id."""

    def __init__(self, events: Iterable[EventRow]) -> None:
        events = list(events)
        self._parts = {
            row.id: f"{row.maker} {row.number}"
            for row in catalogue.part_rows(sorted(set(_part_ids(events)))).values()
        }
        lot_ids = {e.subject_id for e in events if e.subject_kind == "lot"} - {None}
        position_ids = {e.subject_id for e in events if e.subject_kind == "position"} - {None}
        self._named: dict[str, dict[int, str]] = {
            "part": self._parts,
            "maker": {row.id: row.name for row in makers.maker_rows()},
            "supplier": {row.id: row.name for row in makers.supplier_rows()},
            "machine": {row.id: f"{row.maker} {row.model}" for row in machines.machine_rows()},
            "recipe": {row.id: row.name for row in recipes.recipe_rows()},
            "lot": {row.id: row.label for row in lots.lot_rows(_whole(lot_ids))},
            "position": {
                row.position_id: f"{row.demand.position} of {row.machine_maker} {row.machine}"
                for row in machines.position_rows(_whole(position_ids))
            },
        }

    def subject(self, event: EventRow) -> str:
        """Return what an event is about: "part Quillmere 24-1180", "batch 3"."""
        kind = _RENAMED.get(event.subject_kind, event.subject_kind)
        if event.subject_id is None:
            return kind
        known = self._named.get(event.subject_kind, {})
        return f"{kind} {known.get(event.subject_id, event.subject_id)}"

    def part(self, part_id: int | None) -> str:
        """Return a part's maker and number, "no part" for none."""
        return self._parts.get(part_id, f"part {part_id}") if part_id else "no part"

    def of(self, kind: str, thing_id: int) -> str:
        """Return the name of a thing of the kind ("maker"), its number where it has none."""
        return self._named.get(kind, {}).get(thing_id, str(thing_id))


def _whole(ids: Iterable[int | None]) -> list[int]:
    return sorted(each for each in ids if each is not None)


def _part_ids(events: Iterable[EventRow]) -> Iterator[int]:
    for event in events:
        if event.subject_kind == "part" and event.subject_id is not None:
            yield event.subject_id
        yield from _named_in(event.detail)


def _named_in(detail: Any) -> Iterator[int]:
    """Yield the ids of parts in plain data, however deep they stand."""
    if isinstance(detail, Mapping):
        for key, value in detail.items():
            if key in PARTS and isinstance(value, int):
                yield value
            else:
                yield from _named_in(value)
    elif isinstance(detail, (list, tuple)):
        for each in detail:
            yield from _named_in(each)
