"""Which parts may stand in for one that is called for: gathers edges, asks the rules for paths."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from partsdb.rules.certificates import edge_on_day
from partsdb.rules.equivalence import MOST_EDGES, paths, union_of_conditions
from partsdb.rules.facts import EvidenceLevel, StandsIn
from partsdb.rules.serials import Decided, decide
from partsdb.rules.supersession import (
    Supersession,
    SupersessionEnd,
    as_edge,
    covers,
    follow,
    is_to_come,
)
from partsdb.rules.verdict import Check, Outcome
from partsdb.store import catalogue, edges
from partsdb.store.rows import EdgeRow, PartRow, SupersessionRow

UNDECIDED = Decided((), (), ())


@dataclass(frozen=True, slots=True)
class Lead:
    """A part that may stand in, and the edges that lead to it, first edge first."""

    part: PartRow
    edges: tuple[StandsIn, ...]
    serial: Decided = UNDECIDED

    @property
    def path(self) -> tuple[str, ...]:
        """The edges in words, in order, and what the machine's serial settled."""
        met = self.serial.met
        settled = (f"the machine's serial meets: {'; '.join(met)}",) if met else ()
        return (*(in_words(edge) for edge in self.edges), *settled)

    @property
    def out_of_range(self) -> Check | None:
        """The check that fails when the machine's serial is outside of what the way allows."""
        if not self.serial.broken:
            return None
        text = f"this machine's serial is not in: {'; '.join(self.serial.broken)}"
        return Check("serial", Outcome.FAILS, text, "", "SERIAL_RANGE")


def in_words(edge: StandsIn) -> str:
    """Return one edge as words that a person can check."""
    conditions = f"; {'; '.join(edge.conditions)}" if edge.conditions else ""
    source = f" ({edge.source})" if edge.source else ""
    arrow = f"{name_of(edge.asked)} → {name_of(edge.fitted)}"
    return f"{arrow}: {edge.state}, {edge.evidence}{conditions}{source}"


def name_of(key: tuple[str, str]) -> str:
    """Return maker and number in one."""
    return " ".join(key)


def key_of(part: PartRow) -> tuple[str, str]:
    """Return the part as the rules name it."""
    return part.maker, part.number


def as_stands_in(row: EdgeRow, parts: Mapping[int, PartRow], day: str = "") -> StandsIn:
    """Return a stored edge as the rules know it on `day` (ISO); `parts` holds both its ends."""
    edge = StandsIn(
        key_of(parts[row.asked_id]),
        key_of(parts[row.fitted_id]),
        row.state,
        EvidenceLevel(row.evidence),
        row.conditions,
        row.source,
    )
    return edge_on_day(edge, day)


def leads_from(asked: PartRow, serial: str = "", day: str = "") -> tuple[list[Lead], list[str]]:
    """Return each part that may stand in for `asked` with its best path, and notes on its chain.

    Parts that were rejected for it are among them, by the rejection alone. A machine's `serial`
    settles the conditions about serials: what it meets is no condition any more. What the maker
    replaces only after `day` (ISO) is not replaced yet.
    """
    replaced, notes = _superseding(asked, serial, day)
    near, parts = _edges_within_reach(asked, day)
    ways = {path.parts[-1]: path.edges for path in paths(key_of(asked), [*replaced, *near])}
    rejected = [e for e in near if e.state == "rejected" and e.asked == key_of(asked)]
    ways |= {edge.fitted: (edge,) for edge in rejected}
    leads = [_lead(parts[end], way, serial) for end, way in ways.items() if end in parts]
    return sorted(leads, key=lambda lead: key_of(lead.part)), notes


def _lead(part: PartRow, way: tuple[StandsIn, ...], serial: str) -> Lead:
    decided = decide(union_of_conditions(way), serial)
    settled = (*decided.met, *decided.broken)
    open_ones = tuple(
        replace(edge, conditions=tuple(c for c in edge.conditions if c not in settled))
        for edge in way
    )
    return Lead(part, open_ones, decided)


def _superseding(asked: PartRow, serial: str, day: str) -> tuple[list[StandsIn], list[str]]:
    """Return the maker's own replacement of the number as edges, and what is amiss with it."""
    rows = edges.supersessions_around([asked.id])
    parts = catalogue.part_rows({i for r in rows for i in (r.old_id, r.new_id) if i is not None})
    chain = [as_supersession(row, parts) for row in rows]
    ends = follow(key_of(asked), chain, serial=serial, day=day)
    # A chain of which one branch runs in a circle is in disorder: none of it is an approval.
    is_sound = all(end.state != "cycle" for end in ends)
    found = [edge for end in ends if is_sound and (edge := as_edge(key_of(asked), end))]
    notes = [note for end in ends if (note := _note(asked, end))]
    return found, [*notes, *_not_for(chain, serial), *_to_come(chain, day)]


def as_supersession(row: SupersessionRow, parts: Mapping[int, PartRow]) -> Supersession:
    """Return a stored replacement as the rules know it; `parts` holds both its ends."""
    return Supersession(
        key_of(parts[row.old_id]),
        None if row.new_id is None else key_of(parts[row.new_id]),
        row.from_date or "",
        row.serial_from,
        row.serial_to,
        row.source,
    )


def _to_come(chain: Sequence[Supersession], day: str) -> list[str]:
    """Return the maker's replacements that do not hold yet, in words."""
    return [
        f"{name_of(step.old)} → {name_of(step.new) if step.new else 'no successor'} is only from "
        f"{step.from_date}: not yet on {day}"
        for step in chain
        if is_to_come(step, day)
    ]


def _not_for(chain: Sequence[Supersession], serial: str) -> list[str]:
    """Return the maker's replacements that are not for the machine's serial, in words."""
    return [
        f"{name_of(step.old)} → {name_of(step.new)} is only for {step.serials}, not for {serial}"
        for step in chain
        if serial and step.new and not covers(step, serial)
    ]


def _note(asked: PartRow, end: SupersessionEnd) -> str:
    name, steps = name_of(key_of(asked)), " → ".join(name_of(step.old) for step in end.steps)
    last = name_of(end.part) if end.part else "no successor"
    only = f", {'; '.join(end.conditions)}" if end.conditions else ""
    said = {
        "current": f"{name} is superseded: {steps} → {last}{only}",
        "ended": f"{name} has ended: {steps}, and the maker names no successor",
        "cycle": f"CYCLE: {steps} → {last}: it runs in a circle and proves nothing; ask the maker",
        "dangling": f"{name} is superseded by {last}, which is not in the catalogue: add it first",
    }
    return said.get(end.state, "")


def _edges_within_reach(
    asked: PartRow, day: str
) -> tuple[list[StandsIn], dict[tuple[str, str], PartRow]]:
    """Return the edges that start at most two edges away, and every part that they touch.

    The maker's own successors count as reached too: what stands in for them is a lead as well.
    """
    rows: dict[int, EdgeRow] = {}
    chain = edges.supersessions_around([asked.id])
    seen = {asked.id, *(row.new_id for row in chain if row.new_id is not None)}
    front = set(seen)
    for _ in range(MOST_EDGES):
        fresh = edges.edges_from(front)
        rows |= {row.id: row for row in fresh}
        front = {row.fitted_id for row in fresh} - seen
        seen |= front
    parts = catalogue.part_rows(seen)
    found = [as_stands_in(row, parts, day) for row in rows.values()]
    return found, {key_of(part): part for part in parts.values()}
