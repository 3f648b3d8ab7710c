"""Positions that ask the same of a part: weighed once, told each by its name."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from partsdb.jobs.places import Place
from partsdb.jobs.weigh import Weighed, weigh
from partsdb.rules.facts import PartFacts, PositionDemand
from partsdb.rules.grading import Grade
from partsdb.store.rows import PositionRow


def alike(rows: Iterable[PositionRow]) -> tuple[tuple[PositionRow, ...], ...]:
    """Return the positions, those together that ask the same, in the order of the first."""
    found: dict[PositionDemand, list[PositionRow]] = {}
    for row in rows:
        asked = replace(row.demand, machine="", position="")
        found.setdefault(asked, []).append(row)
    return tuple(tuple(each) for each in found.values())


def weighed_in_all(
    facts: PartFacts, rows: Sequence[PositionRow], grade: Grade | None, day: str
) -> Weighed:
    """Weigh a part once for positions that ask the same of it."""
    found = weigh(facts, rows[:1], grade=grade, day=day)
    places = (f"{row.demand.machine} {row.demand.position}" for row in rows)
    return replace(found, where=tuple((place, found.verdict) for place in places))


def own_first(places: Sequence[Place]) -> Sequence[Place]:
    """Return only the positions that call for the very part, where there are any."""
    own = [place for place in places if place.edge is None]
    return own or places
