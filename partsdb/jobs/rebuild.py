"""What does this rebuild really cost? Every allowed way to buy its parts, landed, to the cent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import PartsdbError, UsageError
from partsdb.jobs.choices import Choice, choices_for
from partsdb.jobs.landing import Landings, Need, home_currency
from partsdb.jobs.named import the_recipe, the_supplier
from partsdb.jobs.rebuild_answers import RebuildAnswer
from partsdb.jobs.rebuild_loose import KitWanted, loose_parts
from partsdb.jobs.rebuild_replace import beyond_the_kit, break_even_notes
from partsdb.jobs.rebuild_ways import Pick, Ways
from partsdb.jobs.shelf import shelf_text
from partsdb.jobs.weigh import supplier_grade
from partsdb.rules.cautions import cautions_for
from partsdb.rules.grading import BARRED, Grade, effective_grade
from partsdb.rules.rebuild import comeback_prior, comeback_rate_after, how_rated, is_option
from partsdb.rules.situations import situations_of
from partsdb.store import catalogue, machines
from partsdb.store.record import comeback_counts
from partsdb.store.rows import OfferRow, PartRow
from partsdb.store.rows_lists import RecipeItemRow

RULED_OUT_SHOWN = 20


@dataclass(frozen=True, slots=True)
class RebuildAsk:
    """A recipe, how many machines, and the suppliers to look at (none: all).

    `compose`: its kits are put together from loose parts as well, not only where none can be had.
    """

    recipe: str
    as_of: str
    quantity: int = 1
    suppliers: tuple[str, ...] = ()
    compose: bool = False


@dataclass(frozen=True, slots=True)
class _Item:
    """One item of the recipe with every pick that is allowed, and what was ruled out."""

    kit: KitWanted
    picks: tuple[Pick, ...]
    ruled_out: tuple[str, ...]
    shelf: tuple[str, ...] = ()

    @property
    def asked(self) -> str:
        """The part that is called for."""
        return f"{self.kit.asked.maker} {self.kit.asked.number}"


def rebuild_cost(ask: RebuildAsk) -> RebuildAnswer:
    """Return the ways to buy the recipe's parts, cheapest first, each total the sum of its steps.

    Only parts whose verdict allows fitting are costed: the safety gate runs before the cost.
    Raises NotFoundError for an unknown recipe or supplier, UsageError for a quantity below one.
    """
    if ask.quantity < 1:
        raise UsageError(f"{ask.quantity} rebuilds cost nothing", hint="give --qty 1 or more")
    recipe = the_recipe(ask.recipe)
    if recipe.currency != home_currency():
        raise UsageError(
            f"the recipe is in {recipe.currency}, the shop counts in {home_currency()}",
            hint="store the recipe's amounts in the shop's own currency",
        )
    wanted = {the_supplier(name).id for name in ask.suppliers}
    landings = Landings(ask.as_of)
    picker = _Picker(landings, wanted)
    items = [_item(row, ask, picker) for row in recipe.items]
    positions = [item.kit.positions[0].demand for item in items if item.kit.positions]
    ways, picks = Ways(recipe, ask.quantity, landings), [item.picks for item in items]
    kits = [(n, i.kit) for n, i in enumerate(items) if i.kit.facts.contents]
    wanted_loose = [(n, kit) for n, kit in kits if ask.compose or not picks[n]]
    loose = loose_parts(wanted_loose, picks, ways, landings, picker.pick)
    options = sorted((*ways.options(picks), *loose.options), key=lambda o: (o.total_minor, o.name))
    return RebuildAnswer(
        recipe=recipe.name,
        quantity=ask.quantity,
        options=tuple(options),
        beyond=beyond_the_kit(
            recipe,
            ways,
            picks,
            lambda row: _item(row, ask, picker).picks,
            lambda part: picker.picks(choices_for(part, (), ask.as_of)[0], ask.quantity)[0],
        ),
        break_even=break_even_notes(ways, picks),
        ruled_out=_ruled_out(items, loose.not_to_be_had),
        cautions=cautions_for(situations_of(positions)),
        shelf=tuple(text for item in items for text in item.shelf),
    )


def _item(row: RecipeItemRow, ask: RebuildAsk, picker: _Picker) -> _Item:
    asked = catalogue.part_rows([row.part_id])[row.part_id]
    positions = (
        machines.position_rows([row.position_id])
        if row.position_id
        else machines.positions_calling_for([row.part_id])
    )
    itself, others, _ = choices_for(asked, positions, ask.as_of)
    picks: list[Pick] = []
    ruled_out, shelf = list[str](), list[str]()
    units = row.quantity * ask.quantity
    for choice in (itself, *others):
        if not is_option(choice.weighed.verdict):
            ruled_out += [_why_not(choice, asked.number)] if choice.offers else []
            continue
        shelf += [_on_the_shelf(choice, units, asked.number)] if choice.shelf else []
        found, unlanded = picker.picks(choice, units)
        picks += found
        ruled_out += unlanded
    kit = KitWanted(asked, itself.facts, tuple(others), tuple(positions), units)
    return _Item(kit, tuple(picks), tuple(ruled_out), tuple(shelf))


def _on_the_shelf(choice: Choice, units: int, asked: str) -> str:
    part = choice.part
    standing_in = "" if part.number == asked else f" for {asked}"
    return (
        f"{part.maker} {part.number}{standing_in}: {shelf_text(choice.shelf)}; {units} needed"
        f" ({choice.weighed.verdict})"
    )


class _Picker:
    """Takes the offers of a choice that may be bought; suppliers and records are read once."""

    def __init__(self, landings: Landings, wanted: set[int]) -> None:
        self._landings, self._wanted = landings, wanted
        self._sellers: dict[int, Grade | None] = {}
        self._records: dict[int, tuple[int, int]] = {}

    def picks(self, choice: Choice, units: int) -> tuple[list[Pick], list[str]]:
        """Return the offers that can be landed, and of the others why not."""
        picks, unlanded = [], []
        for offer in choice.offers:
            try:
                pick = self.pick(choice, offer, units)
            except PartsdbError as refusal:  # a wrong cost is never shown
                unlanded.append(
                    f"{offer.supplier}'s {offer.code} cannot be costed: {refusal.message}"
                )
                continue
            picks += [pick] if pick else []
        return picks, unlanded

    def pick(self, choice: Choice, offer: OfferRow, units: int) -> Pick | None:
        """Return so many units of one offer, None when it may not be bought.

        Raises PartsdbError when it cannot be landed.
        """
        grade = effective_grade([g for g in (self._seller(offer), choice.grade) if g])
        is_unwanted = self._wanted and offer.supplier_id not in self._wanted
        if is_unwanted or (grade and grade.grade == BARRED):
            return None
        order = self._landings.land([Need(choice.part, offer, units)])
        rate, why = self._comeback_rate(grade.grade if grade else "", choice.part)
        days = self._landings.lead_days(offer)
        return Pick(choice, offer, units, rate, order.total.minor, days, why)

    def _seller(self, offer: OfferRow) -> Grade | None:
        if offer.supplier_id not in self._sellers:
            found = supplier_grade(offer.supplier_id, offer.supplier)
            self._sellers[offer.supplier_id] = found
        return self._sellers[offer.supplier_id]

    def _comeback_rate(self, grade: str, part: PartRow) -> tuple[Fraction, str]:
        """Return the rate assumed for the grade, moved by the shop's own record; and a sentence."""
        if part.id not in self._records:
            self._records[part.id] = comeback_counts([part.id]).get(part.id, (0, 0))
        prior, record = comeback_prior(grade), self._records[part.id]
        why = how_rated(part.number, grade, prior, record)
        return comeback_rate_after(prior, *record), why


def _why_not(choice: Choice, asked: str) -> str:
    part, weighed = choice.part, choice.weighed
    reason = weighed.checks[0].text if weighed.checks else "nothing is known of it"
    return f"{part.maker} {part.number} for {asked}: {weighed.verdict.value}, {reason}"


def _ruled_out(items: Sequence[_Item], not_to_be_had: Sequence[str]) -> tuple[str, ...]:
    said = [*not_to_be_had, *(text for item in items for text in item.ruled_out)]
    said += [
        f"{item.asked}: no supplier offers a part that may be fitted"
        for item in items
        if not item.picks
    ]
    more = len(said) - RULED_OUT_SHOWN
    return (*said[:RULED_OUT_SHOWN], *((f"and {more} more",) if more > 0 else ()))
