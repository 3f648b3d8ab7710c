"""Where a part is used: the positions that call for it, or for a part that it may stand in for."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from partsdb.jobs.leads import as_stands_in, key_of
from partsdb.rules.facts import EvidenceLevel, StandsIn
from partsdb.rules.supersession import Supersession
from partsdb.store import catalogue, edges, machines
from partsdb.store.rows import PartRow, PositionRow, SupersessionRow


@dataclass(frozen=True, slots=True)
class Place:
    """Positions in which a part may stand, and how: `edge` None when it is called for itself."""

    positions: tuple[PositionRow, ...]
    called_for_id: int
    edge: StandsIn | None = None


class Places:
    """Looks up, once per part, where it is used on the machines that count."""

    def __init__(self, machine_ids: Collection[int] | None) -> None:
        self._machine_ids = machine_ids
        self._known: dict[int, tuple[Place, ...]] = {}
        self._own: dict[int, tuple[PositionRow, ...]] = {}

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
        replaced = [row for row in edges.supersessions_touching([part_id]) if row.new_id == part_id]
        ids = {part_id, *(row.asked_id for row in into), *(row.old_id for row in replaced)}
        parts = catalogue.part_rows(ids)
        ways = [(row.asked_id, as_stands_in(row, parts)) for row in into]
        around = bool(replaced) and _in_a_circle(part_id)
        ways += [(row.old_id, _superseding(row, parts, around=around)) for row in replaced]
        for asked_id, edge in ways:
            if positions := self.calling_for(asked_id):
                yield Place(positions, asked_id, edge)


def _superseding(
    row: SupersessionRow, parts: dict[int, PartRow], *, around: bool = False
) -> StandsIn:
    """Return the maker's replacement as his approval, for the serials that he names.

    Replacements that run in a circle approve nothing.
    """
    old, new = key_of(parts[row.old_id]), key_of(parts[row.new_id or 0])
    step = Supersession(old, new, row.from_date or "", row.serial_from, row.serial_to, row.source)
    if around:
        why = "CYCLE: the maker's replacements run in a circle and prove nothing; ask the maker"
        return StandsIn(old, new, "proposed", EvidenceLevel.INFERRED, (), why)
    conditions = (f"only for {step.serials}",) if step.serials else ()
    source = f"superseded by the maker: {row.source}" if row.source else "superseded by the maker"
    return StandsIn(old, new, "accepted", EvidenceLevel.MAKERS_DOCUMENT, conditions, source)


def _in_a_circle(part_id: int) -> bool:
    """Say whether the maker's replacements lead from the part back to itself."""
    onward: dict[int, list[int]] = {}
    for row in edges.supersessions_around([part_id]):
        if row.new_id is not None:
            onward.setdefault(row.old_id, []).append(row.new_id)
    seen: set[int] = set()
    front = {part_id}
    while front:
        front = {new for old in front for new in onward.get(old, [])} - seen
        seen |= front
    return part_id in seen
