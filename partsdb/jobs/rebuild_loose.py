"""A rebuild with one of its kits put together from loose parts and partial kits."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from partsdb.jobs.choices import Choice
from partsdb.jobs.landing import Landings
from partsdb.jobs.rebuild_answers import RebuildOption
from partsdb.jobs.rebuild_ways import Pick, Ways
from partsdb.jobs.weigh import Weighed, grades_of
from partsdb.rules.facts import PartFacts
from partsdb.store.rows import OfferRow, PartRow, PositionRow

# Gives the pick of so many units of an offer; None when it may not be bought.
Take = Callable[[Choice, OfferRow, int], Pick | None]


@dataclass(frozen=True, slots=True)
class KitWanted:
    """A kit that a recipe calls for: what leads from it, where it goes, how many."""

    asked: PartRow
    facts: PartFacts
    others: tuple[Choice, ...]
    positions: tuple[PositionRow, ...]
    units: int


@dataclass(frozen=True, slots=True)
class Loose:
    """What is tried beside the kits as they are: options, and why a kit cannot be put together."""

    options: tuple[RebuildOption, ...]
    not_to_be_had: tuple[str, ...]


def loose_parts(
    kits: Sequence[tuple[int, KitWanted]],
    picks: Sequence[Sequence[Pick]],
    ways: Ways,
    landings: Landings,
    take: Take,
) -> Loose:
    """Return for each kit (with its place among the items) the best way with loose parts."""
    options: list[RebuildOption] = []
    missing: list[str] = []
    for place, kit in kits:
        others = [*picks[:place], *picks[place + 1 :]]
        found, why = _put_together(kit, landings, take)
        missing += why
        if found is None:
            continue
        bought, conditions = found
        best = ways.options([*others, *([pick] for pick in bought)])[:1]
        options += [_told(option, kit, conditions) for option in best]
    return Loose(tuple(options), tuple(missing))


def _put_together(
    kit: KitWanted, landings: Landings, take: Take
) -> tuple[tuple[list[Pick], tuple[str, ...]] | None, list[str]]:
    """Return the picks with their conditions, or None and why not."""
    # Few rebuilds are asked about in pieces, and start-up feels what that needs.
    from partsdb.jobs.compose import Wish, composition

    wish = Wish(kit.facts, kit.positions, kit.units, landings.as_of)
    found = composition(wish, kit.others, landings)
    name = f"{kit.asked.maker} {kit.asked.number} from loose parts"
    if found is None:
        return None, []
    if found.missing:
        return None, [f"{name}: {text}" for text in found.missing]
    bought = []
    grades = grades_of([piece.part for piece, *_ in found.chosen])
    for piece, offer, packs in found.chosen:
        weighed = Weighed(piece.verdict, (), piece.conditions, (), ())
        grade = grades[piece.part.id]
        choice = Choice(piece.part, weighed, (offer,), grade, (), (), kit.facts)
        pick = take(choice, offer, packs * offer.pack_units)
        if pick is None:
            return None, [f"{name}: {piece.part.number} may not be bought from {offer.supplier}"]
        bought.append(pick)
    return (bought, found.conditions), []


def _told(option: RebuildOption, kit: KitWanted, conditions: Sequence[str]) -> RebuildOption:
    name = f"{kit.asked.number} from loose parts, {option.name}"
    notes = tuple(dict.fromkeys((*conditions, *option.notes)))
    return replace(option, name=name, notes=notes)
