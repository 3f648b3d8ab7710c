"""Rebuild recipes: what a rebuild takes in parts and minutes."""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.rules.makers import name_key
from partsdb.store import sql
from partsdb.store.rows_lists import NewRecipe, RecipeItemRow, RecipeRow

_COLUMNS = (
    "name, name_key, currency, machine_id, minutes, hourly_minor, comeback_minutes,"
    " comeback_carriage_minor, comeback_goodwill_minor, waiting_day_minor,"
    " consumables_minor"
)
_RECIPE = (
    "SELECT r.id, r.name, r.currency, r.machine_id, coalesce(c.model, ''), r.minutes,"
    " r.hourly_minor, r.comeback_minutes, r.comeback_carriage_minor, r.comeback_goodwill_minor,"
    " r.waiting_day_minor, r.consumables_minor FROM recipe r"
    " LEFT JOIN machine c ON c.id = r.machine_id"
)


def add_recipe(recipe: NewRecipe, items: Sequence[RecipeItemRow]) -> int:
    """Store a recipe with its items, in the place of one of the same name, and return its id."""
    r = recipe
    row = sql.first(
        f"INSERT INTO recipe ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (name_key) DO UPDATE SET (name, currency, machine_id, minutes, hourly_minor,"
        " comeback_minutes, comeback_carriage_minor, comeback_goodwill_minor, waiting_day_minor,"
        " consumables_minor) ="
        " (excluded.name, excluded.currency, excluded.machine_id, excluded.minutes,"
        " excluded.hourly_minor, excluded.comeback_minutes, excluded.comeback_carriage_minor,"
        " excluded.comeback_goodwill_minor, excluded.waiting_day_minor, excluded.consumables_minor)"
        " RETURNING id",
        (r.name.strip(), name_key(r.name), r.currency, r.machine_id, r.minutes, r.hourly_minor,
         r.comeback_minutes, r.comeback_carriage_minor, r.comeback_goodwill_minor,
         r.waiting_day_minor, r.consumables_minor),
    )  # fmt: skip
    recipe_id = int(row[0]) if row else 0
    sql.run("DELETE FROM recipe_item WHERE recipe_id = ?", (recipe_id,))
    sql.insert_many(
        "recipe_item",
        "recipe_id, part_id, position_id, quantity",
        ((recipe_id, i.part_id, i.position_id, i.quantity) for i in items),
    )
    return recipe_id


def find_recipe(name: str) -> RecipeRow | None:
    """Return the recipe of that name with its items, or None."""
    row = sql.first(f"{_RECIPE} WHERE r.name_key = ?", (name_key(name),))
    return RecipeRow(*[*row, recipe_items(row[0])]) if row else None


def recipe_rows() -> list[RecipeRow]:
    """Return all recipes by name, with their items."""
    found = sql.rows(f"{_RECIPE} ORDER BY r.name")
    return [RecipeRow(*[*row, recipe_items(row[0])]) for row in found]


def recipes_with(part_id: int) -> list[RecipeRow]:
    """Return the recipes that need the part, by name, with all their items."""
    found = sql.rows(
        f"{_RECIPE} WHERE r.id IN (SELECT recipe_id FROM recipe_item WHERE part_id = ?)"
        " ORDER BY r.name",
        (part_id,),
    )
    return [RecipeRow(*[*row, recipe_items(row[0])]) for row in found]


def recipe_items(recipe_id: int) -> tuple[RecipeItemRow, ...]:
    """Return the parts that a recipe needs, in the order they were given."""
    found = sql.rows(
        "SELECT i.part_id, i.quantity, i.position_id, coalesce(p.name, '') FROM recipe_item i"
        " LEFT JOIN position p ON p.id = i.position_id WHERE i.recipe_id = ? ORDER BY i.id",
        (recipe_id,),
    )
    return tuple(RecipeItemRow(*row) for row in found)
