"""Machines with their positions, for people to read."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.jobs.named import the_machine
from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import shown_demand
from partsdb.rules.surges import highest_demand
from partsdb.store import catalogue, machines
from partsdb.store.rows import PartRow, PositionRow


@dataclass(frozen=True, slots=True)
class CalledFor:
    """A part that a position calls for."""

    maker: str
    number: str
    quantity: int


@dataclass(frozen=True, slots=True)
class PositionCard:
    """A position: `pressure` as written, `pressure_shown` what it reaches, in psi and bar."""

    position: str
    role: str
    pressure: str
    pressure_shown: str
    temp_c_max: int | None
    fluids: tuple[str, ...]
    ports: tuple[str, ...]
    materials: tuple[str, ...]
    sizes: tuple[str, ...]
    block_material: str
    parts: tuple[CalledFor, ...]


@dataclass(frozen=True, slots=True)
class MachineCard:
    """A machine model; `positions` is empty in a list of machines."""

    maker: str
    model: str
    kind: str
    serviced: bool
    positions: tuple[PositionCard, ...] = ()


def machine_card(model: str, maker: str | None) -> MachineCard:
    """Return the machine with its positions; raises NotFoundError or AmbiguousError."""
    machine = the_machine(model, maker)
    positions = machines.positions_of(machine.id)
    parts = catalogue.part_rows(i for p in positions for i in p.part_ids)
    cards = tuple(_position(p, parts) for p in positions)
    return MachineCard(machine.maker, machine.model, machine.kind, machine.serviced, cards)


def all_machines() -> list[MachineCard]:
    """Return every machine that is stored, without positions."""
    return [MachineCard(m.maker, m.model, m.kind, m.serviced) for m in machines.machine_rows()]


def _shown(asked: PositionDemand) -> str:
    highest = highest_demand(asked)
    if highest is None:
        return ""
    reaches = "" if highest is asked.pressure else f", {highest.as_written}"
    return f"{shown_demand(highest)}{reaches}"


def _position(row: PositionRow, parts: dict[int, PartRow]) -> PositionCard:
    asked = row.demand
    return PositionCard(
        position=asked.position,
        role=asked.role,
        pressure=asked.pressure.as_written if asked.pressure else "",
        pressure_shown=_shown(asked),
        temp_c_max=asked.temp_c_max,
        fluids=asked.fluids,
        ports=asked.ports,
        materials=tuple(f"{role}: {material}" for role, material in asked.materials),
        sizes=tuple(f"{name}: {value}" for name, value in asked.sizes),
        block_material=asked.block_material,
        parts=tuple(
            CalledFor(parts[i].maker, parts[i].number, n)
            for i, n in zip(row.part_ids, row.quantities, strict=True)
        ),
    )
