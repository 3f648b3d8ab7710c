"""Adapters: the one that a condition names, and those of the catalogue that would close a gap."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from partsdb.rules.certificates import on_day
from partsdb.rules.equivalence import adapter_named
from partsdb.rules.facts import ClaimKind, PartFacts, PositionDemand, StandsIn
from partsdb.rules.pressure_check import check_pressure
from partsdb.rules.ratings import working_rating
from partsdb.rules.roles import role_named
from partsdb.rules.surges import highest_demand
from partsdb.rules.threads import check_adapter
from partsdb.rules.verdict import GRAVITY, Check, Outcome
from partsdb.store import catalogue
from partsdb.store.claims import part_facts
from partsdb.store.fittings import two_ended_adapters
from partsdb.store.rows import PartRow, PositionRow

MOST_PROPOSED = 2
_MATED = (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)


def adapter_for(edges: Sequence[StandsIn]) -> PartRow | None:
    """Return the adapter that a condition of the way names; None without one or when not clear."""
    number = adapter_named(text for edge in edges for text in edge.conditions) if edges else ""
    found = catalogue.parts_numbered(number) if number else []
    return found[0] if len(found) == 1 else None


def adapter_facts(adapter: PartRow, day: str) -> PartFacts:
    """Return what is known of an adapter, as its papers show it on `day` (ISO; "" for all)."""
    known = part_facts([adapter.id])[adapter.id]
    return on_day(known, day).part if day else known


class Adapters:
    """The adapters of the catalogue, looked up when the first gap asks for one."""

    def __init__(self, day: str = "") -> None:
        """Take what papers show on `day` (ISO; "" for all of them)."""
        self._day = day

    @cached_property
    def _ends(self) -> dict[int, tuple[str, str]]:
        return two_ended_adapters()

    def closing(
        self, part: PartFacts, positions: Sequence[PositionRow], checks: Sequence[Check]
    ) -> tuple[str, ...]:
        """Return in words the adapters that would close the gap where only the threads do not meet.

        They are proposals: each joint through one seals and its own rating holds the pressure. The
        verdict stays as it is until a person accepts the pair with the adapter as its condition.
        """
        graver = [check for check in checks if check.outcome is Outcome.FAILS]
        if not graver or any(check.check != "thread" for check in graver):
            return ()
        demands = [row.demand for row in positions]
        ports = [claim.value for claim in part.claims if claim.kind == ClaimKind.PORT]
        if not ports or not demands or not all(map(_takes_adapter, demands)):
            return ()
        return tuple(
            f"an adapter would close the gap: {text}; accept the pair with the condition "
            f'"needs adapter {adapter.number}" once it is tried'
            for adapter, text in _closing(self._near(ports, demands), demands)[:MOST_PROPOSED]
        )

    def _near(
        self, ports: list[str], demands: list[PositionDemand]
    ) -> dict[int, tuple[PartFacts, str]]:
        """Return the adapters between whose ends the part and every place fit."""
        found = {
            part_id: " to ".join(both)
            for part_id, both in self._ends.items()
            if all(any(_mates(port, both, demand) for port in ports) for demand in demands)
        }
        known = part_facts(found)
        return {
            i: (on_day(known[i], self._day).part if self._day else known[i], between)
            for i, between in found.items()
        }


def _takes_adapter(demand: PositionDemand) -> bool:
    # A valve seated in its block cannot stand off on an adapter: only what is screwed on can.
    return len(demand.ports) == 1 and role_named(demand.role).judged_by == "facts"


def _closing(
    near: dict[int, tuple[PartFacts, str]], demands: list[PositionDemand]
) -> list[tuple[PartFacts, str]]:
    found = []
    for adapter, between in near.values():
        held = [_held(adapter, demand) for demand in demands]
        if all(check.outcome in _MATED for check in held):
            found.append((adapter, f"{adapter.maker} {adapter.number}, {between}, {held[0].text}"))
    return sorted(found, key=lambda pair: (pair[0].maker, pair[0].number))


def _mates(port: str, both: tuple[str, str], demand: PositionDemand) -> bool:
    check = check_adapter(demand.ports[0], both, port)
    return GRAVITY[check.outcome] <= GRAVITY[Outcome.MEETS_WITH_CONDITIONS]


def _held(adapter: PartFacts, demand: PositionDemand) -> Check:
    highest = highest_demand(demand)
    if highest is None:
        return Check("pressure", Outcome.NOT_SHOWN, "the working pressure is not recorded")
    return check_pressure(working_rating(adapter.claims, "fitting"), highest)
