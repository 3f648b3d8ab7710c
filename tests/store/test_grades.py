"""Grades and recipes: the newest counts, the older stay."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.store import grades, makers, recipes
from partsdb.store.rows import Stamp
from partsdb.store.rows_lists import NewRecipe, RecipeItemRow

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


def graded(subject: tuple[str, int], letter: str, reason: str = "bench sheet") -> None:
    grades.set_grade(subject, letter, reason=reason, evidence="sheet 7", by=BY)


def test_the_newest_grade_counts_and_the_older_stay(shop):
    for letter in ("C", "B", "barred"):
        graded(("part", shop.kit), letter)
    assert grades.grades_for_parts([shop.kit])[shop.kit].part.grade == "barred"
    assert [g.grade for g in grades.grade_history(("part", shop.kit))] == ["barred", "B", "C"]


def test_a_part_has_its_own_grade_and_its_makers(shop):
    graded(("maker", shop.corrowby), "B")
    found = grades.grades_for_parts([shop.kit, shop.copy])
    assert (found[shop.copy].part, found[shop.copy].maker.grade) == (None, "B")
    assert (found[shop.kit].part, found[shop.kit].maker) == (None, None)


def test_a_supplier_and_a_part_of_the_same_id_are_two_subjects(shop):
    supplier = makers.add_supplier("Saltreeve")
    graded(("supplier", supplier), "A")
    assert grades.current_grades("maker", [supplier]) == {}
    assert grades.grades_for_suppliers([supplier])[supplier].grade == "A"
    assert [(name, row.grade) for name, row in grades.grade_rows()] == [("Saltreeve", "A")]


def test_a_letter_that_is_no_grade_is_refused(shop):
    with pytest.raises(sqlite3.IntegrityError):
        graded(("part", shop.kit), "E")


def test_a_recipe_is_replaced_by_one_of_its_name(shop):
    first = recipes.add_recipe(
        NewRecipe("Q33 bypass", "EUR", minutes=60), [RecipeItemRow(shop.kit, 1)]
    )
    items = [RecipeItemRow(shop.hose, 1), RecipeItemRow(shop.kit, 2)]
    second = recipes.add_recipe(NewRecipe("q33 Bypass", "EUR", minutes=75), items)
    assert first == second
    found = recipes.find_recipe("Q33 BYPASS")
    assert (found.minutes, found.items) == (75, tuple(items))
    assert len(recipes.recipe_rows()) == 1
    assert recipes.find_recipe("other") is None
