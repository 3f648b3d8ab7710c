"""Recipes as rows to show."""

from __future__ import annotations

from partsdb.jobs.named import the_recipe
from partsdb.store import catalogue, recipes


def recipe_rows(name: str = "") -> list[dict[str, object]]:
    """Return one row per part of the named recipe, or of all."""
    found = [the_recipe(name)] if name else recipes.recipe_rows()
    parts = catalogue.part_rows(item.part_id for recipe in found for item in recipe.items)
    return [
        {
            "recipe": recipe.name,
            "machine": recipe.machine,
            "minutes": recipe.minutes,
            "hourly_minor": recipe.hourly_minor,
            "currency": recipe.currency,
            "position": item.position,
            "maker": parts[item.part_id].maker,
            "number": parts[item.part_id].number,
            "quantity": item.quantity,
        }
        for recipe in found
        for item in recipe.items
    ]
