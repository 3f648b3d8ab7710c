"""Where a part is used: the positions that call for it, or for a part that it may stand in for."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from partsdb.jobs.leads import as_stands_in, as_supersession, key_of
from partsdb.rules.facts import StandsIn
from partsdb.rules.supersession import edges_to
from partsdb.store import catalogue, edges, machines
from partsdb.store.rows import PositionRow, SupersessionRow


@dataclass(frozen=True, slots=True)
class Place:
    """Positions in which a part may stand, and how: `edge` None when it is called for itself."""

    positions: tuple[PositionRow, ...]
    called_for_id: int
    edge: StandsIn | None = None


class Places:
    """Looks up, once per part, where it is used on the machines that count."""

    def __init__(self, machine_ids: Collection[int] | None, day: str = "") -> None:
        """Look at those machines (None: all), as the maker's replacements stand on `day` (ISO)."""
        self._machine_ids = machine_ids
        self._day = day
        self._known: dict[int, tuple[Place, ...]] = {}
        self._own: dict[int, tuple[PositionRow, ...]] = {}

    def look_up(self, part_ids: Collection[int]) -> None:
        """Find the positions that call for many parts in one go; they are then known."""
        found: dict[int, list[PositionRow]] = {i: [] for i in part_ids if i not in self._own}
        for row in machines.positions_calling_for(found, self._machine_ids):
            for part_id in found.keys() & set(row.part_ids):
                found[part_id].append(row)
        self._own |= {part_id: tuple(rows) for part_id, rows in found.items()}

    def of(self, part_id: int) -> tuple[Place, ...]:
        """Return where the part is called for, and where parts that it may replace are.

        Rejected edges are among them: what leaked once must be said again.
        """
        if part_id not in self._known:
            self._known[part_id] = tuple(self._find(part_id))
        return self._known[part_id]

    def calling_for(self, part_id: int) -> tuple[PositionRow, ...]:
        """Return the positions that call for the very part."""
        if part_id not in self._own:
            found = machines.positions_calling_for([part_id], self._machine_ids)
            self._own[part_id] = tuple(found)
        return self._own[part_id]

    def _find(self, part_id: int) -> Iterable[Place]:
        if own := self.calling_for(part_id):
            yield Place(own, part_id)
        into = edges.edges_into(part_id)
        parts = catalogue.part_rows({part_id, *(row.asked_id for row in into)})
        ways = [(row.asked_id, as_stands_in(row, parts, self._day)) for row in into]
        for asked_id, edge in (*ways, *_replaced(part_id, self._day)):
            if positions := self.calling_for(asked_id):
                yield Place(positions, asked_id, edge)


def _replaced(part_id: int, day: str) -> Iterator[tuple[int, StandsIn]]:
    """Yield the older numbers that the maker replaced by the part, over however many steps.

    Each with what that amounts to: his approval, for the serials that he names.
    """
    if not edges.supersessions_touching([part_id]):
        return
    rows = edges.supersessions_around([part_id])
    parts = catalogue.part_rows({i for r in rows for i in (r.old_id, r.new_id) if i is not None})
    steps = [as_supersession(row, parts) for row in rows]
    for old_id in sorted(_older(part_id, rows)):
        asked, fitted = key_of(parts[old_id]), key_of(parts[part_id])
        yield from ((old_id, edge) for edge in edges_to(asked, fitted, steps, day=day))


def _older(part_id: int, rows: Iterable[SupersessionRow]) -> set[int]:
    """Return every part from which replacements lead to this one, itself left out."""
    before: dict[int, set[int]] = {}
    for row in rows:
        before.setdefault(row.new_id or 0, set()).add(row.old_id)
    seen: set[int] = set()
    front = {part_id}
    while front:
        front = {old for new in front for old in before.get(new, ())} - seen
        seen |= front
    return seen - {part_id}
