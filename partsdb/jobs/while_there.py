"""While the machine is open: what the shop replaces with a part, and what it looks at."""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.rules.bench_side import look_at
from partsdb.store import catalogue, machines, recipes
from partsdb.store.rows import PartRow, PositionRow


def while_there(asked: PartRow, positions: Sequence[PositionRow]) -> tuple[str, ...]:
    """Return in words the other items of the recipes with `asked`, and what to look at on the way.

    Parts are named where the question is about one machine.
    """
    found = [*_recipes(asked, {row.machine_id for row in positions})]
    on_machine = {row.machine_id for row in positions}
    machine_id = next(iter(on_machine)) if len(on_machine) == 1 else None
    return (*found, *_looked_at(asked, machine_id))


def _recipes(asked: PartRow, machine_ids: set[int]) -> list[str]:
    told = []
    for recipe in recipes.recipes_with(asked.id):
        if machine_ids and recipe.machine_id is not None and recipe.machine_id not in machine_ids:
            continue
        others = [item for item in recipe.items if item.part_id != asked.id]
        parts = catalogue.part_rows([item.part_id for item in others])
        named = [
            f"{parts[i.part_id].maker} {parts[i.part_id].number} x{i.quantity}"
            + (f" ({i.position})" if i.position else "")
            for i in others
        ]
        if named:
            told.append(f"the recipe {recipe.name} replaces with it: {', '.join(named)}")
    return told


def _looked_at(asked: PartRow, machine_id: int | None) -> list[str]:
    places = machines.positions_of(machine_id) if machine_id is not None else []
    parts = catalogue.part_rows([i for place in places for i in place.part_ids])
    told = []
    for each in look_at(asked.role):
        named = [
            f"{place.demand.position}: {parts[i].maker} {parts[i].number}"
            for place in places
            if place.demand.role == each.role
            for i in place.part_ids
        ]
        if named or machine_id is None:
            here = f" ({'; '.join(named)})" if named else ""
            told.append(f"look at the {each.role}{here}: {each.why}")
    return told
