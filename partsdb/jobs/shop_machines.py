"""Loading machines with their positions, and rebuild recipes, from the shop's own files."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.jobs.shop_parts import find_part
from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import Pressure, demand
from partsdb.rules.roles import known_roles
from partsdb.store import events, machines, makers, recipes
from partsdb.store.rows import PositionRow, Stamp
from partsdb.store.rows_lists import NewRecipe, RecipeItemRow, RecipeRow

MACHINES = FileFormat(
    "machines.csv",
    ("maker", "model", "kind", "position", "role"),
    ("pressure", "temp_c_max", "fluids", "ports", "materials", "sizes", "block_material",
     "part_maker", "part_number", "quantity", "stall", "overshoot_percent"),
)  # fmt: skip
RECIPES = FileFormat(
    "recipes.csv",
    ("recipe", "minutes", "hourly", "currency", "part_maker", "part_number", "quantity"),
    ("machine_maker", "machine", "comeback_minutes", "comeback_carriage", "comeback_goodwill",
     "waiting_day", "consumables", "position"),
)  # fmt: skip


@dataclass(slots=True)
class _Position:
    """A position as the rows of a table state it."""

    asked: PositionDemand
    parts: dict[int, int] = field(default_factory=dict)


@dataclass(slots=True)
class _Machine:
    """A machine as the rows of a table state it."""

    maker: str
    model: str
    kind: str
    positions: dict[str, _Position] = field(default_factory=dict)
    stall: Pressure | None = None
    overshoot: str = ""


def load_machines(table: Table, by: Stamp) -> LoadCount:
    """Store machines, their positions and what these demand; one count for each position."""
    wanted: dict[tuple[str, str], _Machine] = {}
    for row in table.rows:
        _read_machine_row(row, wanted)
    table.refuse_if_bad()
    for machine in wanted.values():
        _give_margin(machine)
    done = [what for machine in wanted.values() for what in _store_machine(machine, by)]
    return table.tally(done)


def _read_machine_row(row: Row, wanted: dict[tuple[str, str], _Machine]) -> None:
    maker, model = row.text("maker", needed=True), row.text("model", needed=True)
    name = row.text("position", needed=True)
    new = _Machine(maker, model, row.text("kind"))
    machine = wanted.setdefault((maker.casefold(), model.casefold()), new)
    _read_margin(row, machine)
    position = machine.positions.get(name.casefold())
    if position is None:
        position = _Position(_read_demand(row, model, name))
        machine.positions[name.casefold()] = position
    elif row.text("role"):
        row.bad("position", f"{model} has its {name} twice; a further part leaves role empty")
    if row.text("part_number"):
        part_id = find_part(row, "part_maker", "part_number")
        if part_id is not None:
            position.parts[part_id] = row.whole("quantity", least=1) or 1


def _read_margin(row: Row, machine: _Machine) -> None:
    """Read what the machine reaches above its working pressure: it is the machine's, said once."""
    written = row.text("stall")
    percent = row.decimal("overshoot_percent") if row.text("overshoot_percent") else ""
    stall = row.tried("stall", lambda: demand(written) if written else None, None)
    for column, said, known in (
        ("stall", stall, machine.stall),
        ("overshoot_percent", percent, machine.overshoot),
    ):
        if said and known and said != known:
            row.bad(column, f"{machine.model} has another {column} in an earlier row")
    machine.stall = machine.stall or stall
    machine.overshoot = machine.overshoot or percent


def _give_margin(machine: _Machine) -> None:
    """Let every position of the machine that is under pressure hold what the machine reaches."""
    for position in machine.positions.values():
        if position.asked.pressure is not None:
            position.asked = replace(
                position.asked, stall=machine.stall, overshoot_percent=machine.overshoot
            )


def _read_demand(row: Row, model: str, name: str) -> PositionDemand:
    written = row.text("pressure")
    read = row.tried("pressure", lambda: demand(written) if written else None, None)
    return PositionDemand(
        machine=model,
        position=name,
        role=row.choice("role", known_roles()),
        pressure=read,
        temp_c_max=row.whole("temp_c_max", least=-60),
        fluids=row.several("fluids"),
        ports=row.several("ports"),
        materials=row.pairs("materials"),
        sizes=row.pairs("sizes"),
        block_material=row.text("block_material"),
    )


def _store_machine(machine: _Machine, by: Stamp) -> list[str]:
    found = machines.find_machine(machine.model, machine.maker)
    maker_id = makers.add_maker(machine.maker)
    if found:
        machine_id = found[0].id
        if found[0].kind != machine.kind or not found[0].serviced:
            machines.set_serviced(machine_id, True, kind=machine.kind)
            was = {"was": found[0]._asdict(), "kind": machine.kind}
            events.record("change", ("machine", machine_id), was, by=by)
    else:
        machine_id = machines.add_machine(maker_id, machine.model, kind=machine.kind)
        named = {"maker": machine.maker, "model": machine.model}
        events.record("add", ("machine", machine_id), named, by=by)
    stored = {p.demand.position.casefold(): p for p in machines.positions_of(machine_id)}
    return [
        _store_position(machine_id, stored.get(key), position, by)
        for key, position in machine.positions.items()
    ]


def _store_position(
    machine_id: int, old: PositionRow | None, position: _Position, by: Stamp
) -> str:
    if old is None:
        position_id = machines.add_position(machine_id, position.asked)
    else:
        position_id = old.position_id
        called = dict(zip(old.part_ids, old.quantities, strict=True))
        as_before = _comparable(old.demand) == _comparable(position.asked)
        if as_before and called == called | position.parts:
            return "same"
        machines.set_demand(position_id, position.asked)
    for part_id, quantity in position.parts.items():
        machines.call_for(position_id, part_id, quantity)
    done = "added" if old is None else "changed"
    detail: dict[str, object] = {
        "position": position.asked.position, "is": _plain(position.asked),
    }  # fmt: skip
    if old is not None:
        detail["was"] = _plain(old.demand)
        before = zip(old.part_ids, old.quantities, strict=True)
        detail["called_before"] = [{"part_id": i, "quantity": n} for i, n in before]
    events.record("add" if old is None else "change", ("position", position_id), detail, by=by)
    return done


def _comparable(asked: PositionDemand) -> PositionDemand:
    return replace(asked, machine="", position=asked.position.casefold())


def _plain(asked: PositionDemand) -> dict[str, object]:
    facts: dict[str, object] = {name: getattr(asked, name) for name in PositionDemand.__slots__}
    for name, pressure in (("pressure", asked.pressure), ("stall", asked.stall)):
        facts[name] = pressure.as_written if pressure else None
    return {name: value for name, value in facts.items() if value not in (None, "", ())}


def load_recipes(table: Table, by: Stamp) -> LoadCount:
    """Store rebuild recipes; a recipe's rows are all of its parts, its head stands in each."""
    wanted: dict[str, tuple[NewRecipe, list[RecipeItemRow]]] = {}
    for row in table.rows:
        head, item = _read_recipe(row), _read_recipe_item(row)
        kept, items = wanted.setdefault(head.name.casefold(), (head, []))
        if kept != head:
            row.bad("recipe", f"{head.name} has another head (minutes, rates …) in an earlier row")
        if item:
            items.append(item)
    table.refuse_if_bad()
    done = [_store_recipe(head, items, by) for head, items in wanted.values()]
    return table.tally(done)


def _read_recipe(row: Row) -> NewRecipe:
    currency = row.currency("currency")
    return NewRecipe(
        name=row.text("recipe", needed=True),
        currency=currency,
        machine_id=_machine_id(row),
        minutes=row.whole("minutes") or 0,
        hourly_minor=row.minor("hourly", currency) or 0,
        comeback_minutes=row.whole("comeback_minutes") or 0,
        comeback_carriage_minor=row.minor("comeback_carriage", currency) or 0,
        comeback_goodwill_minor=row.minor("comeback_goodwill", currency) or 0,
        waiting_day_minor=row.minor("waiting_day", currency) or 0,
        consumables_minor=row.minor("consumables", currency) or 0,
    )


def _machine_id(row: Row) -> int | None:
    model = row.text("machine")
    found = machines.find_machine(model, row.text("machine_maker")) if model else []
    if model and len(found) != 1:
        row.bad("machine", f"{model} is not one machine that is known; add it to the machines")
    return found[0].id if len(found) == 1 else None


def _read_recipe_item(row: Row) -> RecipeItemRow | None:
    part_id = find_part(row, "part_maker", "part_number")
    quantity = row.whole("quantity", least=1) or 1
    name = row.text("position")
    machine_id = _machine_id(row) if name else None
    position = machines.find_position(machine_id, name) if machine_id else None
    if machine_id and position is None:
        row.bad("position", f"{row.text('machine')} has no position {name}")
    if part_id is None:
        return None
    if position is None:
        return RecipeItemRow(part_id, quantity)
    return RecipeItemRow(part_id, quantity, position.position_id, position.demand.position)


def _store_recipe(head: NewRecipe, items: list[RecipeItemRow], by: Stamp) -> str:
    old = recipes.find_recipe(head.name)
    if old and _head(old) == head and old.items == tuple(items):
        return "same"
    recipe_id = recipes.add_recipe(head, items)
    detail = {"is": {**head._asdict(), "items": [item._asdict() for item in items]}}
    if old:
        detail["was"] = {**old._asdict(), "items": [item._asdict() for item in old.items]}
    events.record("change" if old else "add", ("recipe", recipe_id), detail, by=by)
    return "changed" if old else "added"


def _head(old: RecipeRow) -> NewRecipe:
    return NewRecipe(**{name: getattr(old, name) for name in NewRecipe._fields})
