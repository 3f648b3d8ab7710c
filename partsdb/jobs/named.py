"""What a name means: makers, parts, machines, positions, suppliers; or a clear refusal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.errors import AmbiguousError, NotFoundError
from partsdb.store import catalogue, makers
from partsdb.store.rows import MachineRow, MakerRow, PartRow, PositionRow, SupplierRow

if TYPE_CHECKING:
    from partsdb.store.rows_lists import RecipeRow

_MOST_NEAR = 4


def the_part(number: str, maker: str | None = None) -> PartRow:
    """Return the one part of that number; raises NotFoundError or AmbiguousError with choices.

    A letter is never taken for the figure that it looks like: 24-118O may be another part.
    """
    if maker:
        the_maker(maker)
    found = catalogue.parts_numbered(number, maker)
    if not found:
        named = f"{maker} {number}" if maker else number
        raise NotFoundError("part", named, hint=_near_parts(number, maker))
    if len(found) > 1:
        choices = [f"{part.maker} {part.number}" for part in found]
        hint = "write the number as printed" if maker else "say which maker with --maker"
        raise AmbiguousError("part", number, choices, hint=hint)
    return found[0]


def _near_parts(number: str, maker: str | None) -> str:
    if sold := codes_of(number):
        said = "; ".join(each.said for each in sold)
        return f"{said}: write the maker's number"
    near = catalogue.parts_one_slip_away(number, maker)[:_MOST_NEAR]
    if not near:
        return f"search with: partsdb part find {number!r}"
    named = " or ".join(f"{part.maker} {part.number}" for part in near)
    return f"did you mean {named}? One sign more or less is another part: read the label again"


@dataclass(frozen=True, slots=True)
class Asked:
    """The part that a question means; `said`: whose code it was asked by, "" for its number."""

    part: PartRow
    said: str = ""


def codes_of(code: str) -> list[Asked]:
    """Return the parts that suppliers sell under a code of their own, with whose code it is."""
    from partsdb.store.offers import parts_coded

    found = parts_coded(code)
    parts = catalogue.part_rows(part_id for _, _, part_id in found)
    return [
        Asked(parts[i], f"{written} is {seller}'s code for {parts[i].maker} {parts[i].number}")
        for seller, written, i in found
    ]


def part_asked(number: str, maker: str | None = None) -> Asked:
    """Return the part that a question means by its number, else by a supplier's own code for it.

    What is recorded goes by `the_part`: a code is the supplier's word. Raises as `the_part` does,
    and AmbiguousError where a code means several parts.
    """
    if maker or catalogue.parts_numbered(number):
        return Asked(the_part(number, maker))
    sold = codes_of(number)
    if len({each.part.id for each in sold}) > 1:
        choices = [f"{each.part.maker} {each.part.number} ({each.said})" for each in sold]
        raise AmbiguousError("code", number, choices, hint="write the maker's number")
    if not sold:
        return Asked(the_part(number))
    return Asked(sold[0].part, "; ".join(each.said for each in sold))


def asked_written(written: str) -> Asked:
    """Return the part that a question names as "Number", "Code" or "Maker|Number"."""
    maker, mark, number = (each.strip() for each in written.partition("|"))
    return part_asked(number, maker) if mark else part_asked(written)


def the_maker(name: str) -> MakerRow:
    """Return the maker of that name; raises NotFoundError with the names that are near."""
    found = makers.find_maker(name)
    if found is None:
        known = _near(name, (m.name for m in makers.maker_rows()))
        raise NotFoundError("maker", name, hint=known or "a part that names the maker adds it")
    return found


def the_supplier(name: str) -> SupplierRow:
    """Return the supplier of that name; raises NotFoundError with the names that are near."""
    found = makers.find_supplier(name)
    if found is None:
        known = _near(name, (s.name for s in makers.supplier_rows()))
        raise NotFoundError(
            "supplier", name, hint=known or f"add it with: partsdb supplier add {name!r}"
        )
    return found


def the_machine(model: str, maker: str | None = None) -> MachineRow:
    """Return the one machine of that model; raises NotFoundError or AmbiguousError."""
    from partsdb.store import machines

    found = machines.find_machine(model, maker)
    if not found:
        known = _near(model, (m.model for m in machines.machine_rows()))
        raise NotFoundError(
            "machine", model, hint=known or "add it with: partsdb machine add --from FILE"
        )
    if len(found) > 1:
        raise AmbiguousError(
            "machine",
            model,
            [f"{m.maker} {m.model}" for m in found],
            hint="say whose it is with --maker",
        )
    return found[0]


def the_position(machine: MachineRow, name: str) -> PositionRow:
    """Return the machine's position of that name; raises NotFoundError with all its positions."""
    from partsdb.store import machines

    found = machines.find_position(machine.id, name)
    if found is None:
        names = [p.demand.position for p in machines.positions_of(machine.id)]
        raise NotFoundError(
            "position", f"{machine.model}: {name}", hint=f"it has: {', '.join(names)}"
        )
    return found


def the_recipe(name: str) -> RecipeRow:
    """Return the recipe of that name; raises NotFoundError with all names."""
    from partsdb.store import recipes

    found = recipes.find_recipe(name)
    if found is None:
        known = ", ".join(recipe.name for recipe in recipes.recipe_rows())
        raise NotFoundError(
            "recipe",
            name,
            hint=f"known: {known}" if known else "add one with: partsdb rebuild add --from FILE",
        )
    return found


def _near(name: str, known: Iterable[str]) -> str:
    from difflib import get_close_matches

    by_fold = {each.casefold(): each for each in known}
    near = get_close_matches(name.casefold(), list(by_fold), n=3, cutoff=0.6)
    return f"did you mean {' or '.join(by_fold[each] for each in near)}?" if near else ""
