"""Repair or replace: kit and new block, or a new unit; and what comebacks would turn the choice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from partsdb.jobs.answers import CostStep
from partsdb.jobs.rebuild_answers import RebuildOption
from partsdb.jobs.rebuild_ways import Pick, Ways
from partsdb.rules.costing import per_cent
from partsdb.rules.money import Money
from partsdb.rules.rebuild import break_even_rate, what_the_record_says
from partsdb.rules.verdict import Verdict
from partsdb.store import catalogue, machines
from partsdb.store.record import comeback_counts
from partsdb.store.rows import PartRow
from partsdb.store.rows_lists import RecipeItemRow, RecipeRow

BLOCK = "pump block"
_WORK = ("labour", "consumables", "expected comebacks")
Items = Sequence[Sequence[Pick]]
Take = Callable[[RecipeItemRow], Sequence[Pick]]


def beyond_the_kit(
    recipe: RecipeRow, ways: Ways, items: Items, take: Take, unit: Callable[[PartRow], list[Pick]]
) -> tuple[RebuildOption, ...]:
    """Return the best way to fit a new block with the kit, and to buy the whole unit new.

    Only what is on offer is among them. `take` gives the picks of a recipe item, `unit` those of
    a part that is bought as it is.
    """
    if recipe.machine_id is None:
        return ()
    found = []
    blocks = [take(row) for row in _blocks(recipe, recipe.machine_id)]
    if blocks and all(blocks) and items and all(items):
        best = ways.options([*items, *blocks])[:1]
        found += [replace(option, name=f"kit and block, {option.name}") for option in best]
    picks = [pick for part in _units(recipe.machine_id) for pick in unit(part)]
    if picks:
        found.append(_new_unit(recipe, ways, picks))
    return tuple(found)


def _blocks(recipe: RecipeRow, machine_id: int) -> list[RecipeItemRow]:
    """Return the machine's blocks as items, those that the recipe replaces anyway left out."""
    taken = {item.part_id for item in recipe.items}
    return [
        RecipeItemRow(part_id, quantity, row.position_id, row.demand.position)
        for row in machines.positions_of(machine_id)
        if row.demand.role == BLOCK
        # A position that names several parts takes any of them: the first is the maker's own.
        for part_id, quantity in list(zip(row.part_ids, row.quantities, strict=True))[:1]
        if part_id not in taken
    ]


def _units(machine_id: int) -> list[PartRow]:
    """Return the machine as an article of its maker, numbered by its model."""
    places = machines.positions_of(machine_id)
    return catalogue.find_parts(places[0].machine, places[0].machine_maker) if places else []


def _new_unit(recipe: RecipeRow, ways: Ways, picks: Sequence[Pick]) -> RebuildOption:
    """Return the cheapest new unit: its parts and the waiting, without labour or comebacks."""
    options = ways.options([picks])
    bare = [_without_work(option) for option in options]
    best = min(bare, key=lambda option: (option.total_minor, option.name))
    return replace(best, name=f"new {recipe.machine}, {best.name}", verdict=Verdict.FIT)


def _without_work(option: RebuildOption) -> RebuildOption:
    steps: tuple[CostStep, ...] = tuple(step for step in option.steps if step.label not in _WORK)
    notes = (
        *(note for note in option.notes if not note.startswith("the comeback rate")),
        "no labour is counted, and a failure under warranty is the maker's",
    )
    total = sum(step.amount_minor for step in steps)
    return replace(option, steps=steps, total_minor=total, notes=notes)


def break_even_notes(ways: Ways, items: Items) -> tuple[str, ...]:
    """Return at which comeback rate the cheapest way costs what the parts called for do.

    Nothing when the parts called for are the cheapest themselves, or are not all to be had.
    """
    best = ways.best(items)
    if best is None or not any(pick.choice.edges for pick in best):
        return ()
    asked = ways.best([[pick for pick in item if not pick.choice.edges] for item in items])
    if asked is None:
        return ()
    total, other = ways.cost(best), ways.cost(asked)
    parts = Money(total.steps[0].amount_minor, total.total.currency)
    days = max((pick.days for pick in best if pick.days is not None), default=0)
    rate = break_even_rate(parts, ways.work, waiting_days=days, other_total=other.total)
    if rate is None:
        return ()
    numbers = ", ".join(pick.choice.part.number for pick in best if pick.choice.edges)
    said = f"{numbers} against the parts called for ({other.total})"
    if rate >= 1:
        return (f"{said}: cheaper whatever the comeback rate",)
    weakest = max((p for p in best if p.choice.edges), key=lambda p: (p.rate, p.choice.part.id))
    record = comeback_counts([weakest.choice.part.id]).get(weakest.choice.part.id, (0, 0))
    told = what_the_record_says(*record, rate)
    rounded = per_cent(round(rate, 4))
    return (
        f"{said}: at a comeback rate of {rounded} both cost the same",
        f"{weakest.choice.part.number}: {told.text}",
    )
