"""Machines, their positions, what each position demands and which parts it calls for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from partsdb.rules.facts import PositionDemand
from partsdb.rules.makers import name_key
from partsdb.rules.numbers import number_key
from partsdb.store import sql
from partsdb.store.rows import MachineRow, PositionRow

if TYPE_CHECKING:
    from partsdb.rules.pressure import Pressure

_MACHINE = (
    "SELECT c.id, m.name, c.model, c.kind, c.serviced FROM machine c"
    " JOIN maker m ON m.id = c.maker_id"
)
_POSITION = (
    "SELECT p.id, p.machine_id, c.model, m.name, p.name, p.role FROM position p"
    " JOIN machine c ON c.id = p.machine_id JOIN maker m ON m.id = c.maker_id"
)
_SINGLE = {"pressure", "temp_c_max", "block_material"}
# What a demand of pressure is about, where it is not the working pressure.
_STALL, _OVERSHOOT = "stall", "overshoot percent"


def add_machine(maker_id: int, model: str, *, kind: str = "", serviced: bool = True) -> int:
    """Store a machine model and return its id."""
    return sql.insert(
        "machine",
        "maker_id, model, model_key, kind, serviced",
        (maker_id, model.strip(), number_key(model), kind, int(serviced)),
    )


def set_serviced(machine_id: int, serviced: bool, *, kind: str | None = None) -> None:
    """Say whether the shop services the model (and what kind it is)."""
    sql.run(
        "UPDATE machine SET serviced = ?, kind = coalesce(?, kind) WHERE id = ?",
        (int(serviced), kind, machine_id),
    )


def find_machine(model: str, maker: str | None = None) -> list[MachineRow]:
    """Return the machines of that model, punctuation and case aside."""
    found = sql.rows(
        f"{_MACHINE} WHERE c.model_key = ? AND (? = '' OR m.name_key = ?) ORDER BY m.name",
        (number_key(model), name_key(maker or ""), name_key(maker or "")),
    )
    return [_machine(row) for row in found]


def machine_rows() -> list[MachineRow]:
    """Return all machines by maker and model."""
    return [_machine(row) for row in sql.rows(f"{_MACHINE} ORDER BY m.name, c.model")]


def add_position(machine_id: int, asked: PositionDemand) -> int:
    """Store a position with its demands and return its id."""
    position_id = sql.insert(
        "position", "machine_id, name, role", (machine_id, asked.position, asked.role)
    )
    set_demand(position_id, asked)
    return position_id


def set_demand(position_id: int, asked: PositionDemand) -> None:
    """State what a position demands, in the place of what was stated before."""
    sql.run("UPDATE position SET role = ? WHERE id = ?", (asked.role, position_id))
    sql.run("DELETE FROM position_demand WHERE position_id = ?", (position_id,))
    sql.insert_many(
        "position_demand",
        "position_id, kind, about, value, pascals",
        ((position_id, *row) for row in _demand_rows(asked)),
    )


def _demand_rows(asked: PositionDemand) -> list[tuple[str, str, str, int | None]]:
    found: list[tuple[str, str, str, int | None]] = []
    if asked.pressure:
        found.append(("pressure", "", asked.pressure.as_written, asked.pressure.pascals))
    if asked.stall:
        found.append(("pressure", _STALL, asked.stall.as_written, asked.stall.pascals))
    if asked.overshoot_percent:
        found.append(("pressure", _OVERSHOOT, asked.overshoot_percent, None))
    if asked.temp_c_max is not None:
        found.append(("temp_c_max", "", str(asked.temp_c_max), None))
    if asked.block_material:
        found.append(("block_material", "", asked.block_material, None))
    found += [("fluid", "", fluid, None) for fluid in asked.fluids]
    found += [("port", "", port, None) for port in asked.ports]
    found += [("material", role, material, None) for role, material in asked.materials]
    found += [("size", name, value, None) for name, value in asked.sizes]
    return found


def call_for(position_id: int, part_id: int, quantity: int = 1) -> None:
    """Say that the position calls for so many of the part."""
    sql.run(
        "INSERT INTO position_part (position_id, part_id, quantity) VALUES (?, ?, ?)"
        " ON CONFLICT (position_id, part_id) DO UPDATE SET quantity = excluded.quantity",
        (position_id, part_id, quantity),
    )


def positions_calling_for(
    part_ids: Iterable[int], machine_ids: Iterable[int] | None = None
) -> list[PositionRow]:
    """Return the positions that call for any of the parts, on those machines or on all."""
    found = sql.rows_for(
        "SELECT DISTINCT position_id FROM position_part WHERE part_id IN ({marks})", part_ids
    )
    return _positions("p.id IN ({marks})", {row[0] for row in found}, machine_ids)


def positions_by_role(
    roles: Iterable[str], machine_ids: Iterable[int] | None = None
) -> list[PositionRow]:
    """Return the positions of those roles on those machines, or on all that the shop services."""
    return _positions("c.serviced = 1 AND p.role IN ({marks})" if machine_ids is None
                      else "p.role IN ({marks})", roles, machine_ids)  # fmt: skip


def positions_of(machine_id: int) -> list[PositionRow]:
    """Return the positions of one machine."""
    return _positions("p.machine_id IN ({marks})", [machine_id], None)


def position_rows(position_ids: Iterable[int]) -> list[PositionRow]:
    """Return the positions of those ids."""
    return _positions("p.id IN ({marks})", position_ids, None)


def find_position(machine_id: int, name: str) -> PositionRow | None:
    """Return the machine's position of that name, or None."""
    wanted = name.strip().casefold()
    found = (p for p in positions_of(machine_id) if p.demand.position.casefold() == wanted)
    return next(found, None)


def _positions(
    test: str, values: Iterable[object], machine_ids: Iterable[int] | None
) -> list[PositionRow]:
    found = sorted(sql.rows_for(f"{_POSITION} WHERE {test}", values))
    if machine_ids is not None:
        wanted = set(machine_ids)
        found = [row for row in found if row[1] in wanted]
    ids = [row[0] for row in found]
    demands, parts = _demands_of(ids), _parts_of(ids)
    return [_position(row, demands.get(row[0], []), parts.get(row[0], [])) for row in found]


def _demands_of(ids: Sequence[int]) -> dict[int, list[tuple[str, str, str, int | None]]]:
    found: dict[int, list[tuple[str, str, str, int | None]]] = {}
    for position_id, *row in sql.rows_for(
        "SELECT position_id, kind, about, value, pascals FROM position_demand"
        " WHERE position_id IN ({marks}) ORDER BY id",
        ids,
    ):
        found.setdefault(position_id, []).append((row[0], row[1], row[2], row[3]))
    return found


def _parts_of(ids: Sequence[int]) -> dict[int, list[tuple[int, int]]]:
    found: dict[int, list[tuple[int, int]]] = {}
    for position_id, part_id, quantity in sql.rows_for(
        "SELECT position_id, part_id, quantity FROM position_part"
        " WHERE position_id IN ({marks}) ORDER BY position_id, part_id",
        ids,
    ):
        found.setdefault(position_id, []).append((part_id, quantity))
    return found


def _position(
    row: Sequence[object],
    demands: Sequence[tuple[str, str, str, int | None]],
    parts: Sequence[tuple[int, int]],
) -> PositionRow:
    position_id, machine_id, model, maker, name, role = row
    single = {about or kind: value for kind, about, value, _ in demands if kind in _SINGLE}
    asked = PositionDemand(
        machine=str(model),
        position=str(name),
        role=str(role),
        pressure=_pressure(single.get("pressure")),
        temp_c_max=int(single["temp_c_max"]) if "temp_c_max" in single else None,
        fluids=tuple(v for kind, _, v, _ in demands if kind == "fluid"),
        ports=tuple(v for kind, _, v, _ in demands if kind == "port"),
        materials=tuple((about, v) for kind, about, v, _ in demands if kind == "material"),
        sizes=tuple((about, v) for kind, about, v, _ in demands if kind == "size"),
        block_material=single.get("block_material", ""),
        stall=_pressure(single.get(_STALL)),
        overshoot_percent=single.get(_OVERSHOOT, ""),
    )
    return PositionRow(
        int(str(position_id)), int(str(machine_id)), str(model), str(maker), asked,
        tuple(i for i, _ in parts), tuple(n for _, n in parts),
    )  # fmt: skip


def _pressure(written: str | None) -> Pressure | None:
    # Read again from what was written: a stored figure is never converted a second time.
    if not written:
        return None
    from partsdb.rules.pressure import demand  # who only wants a machine's name needs none of it

    return demand(written)


def _machine(row: Sequence[Any]) -> MachineRow:
    return MachineRow(*[*row[:4], bool(row[4])])
