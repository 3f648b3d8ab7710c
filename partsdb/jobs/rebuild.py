"""What does this rebuild really cost? Every allowed way of buying its parts, landed, to the cent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from partsdb.errors import NotFoundError, PartsdbError, UsageError
from partsdb.jobs.answers import CostStep, Purchase, RebuildAnswer, RebuildOption
from partsdb.jobs.choices import Choice, choices_for
from partsdb.jobs.landing import Need, home_currency, land, lead_days
from partsdb.jobs.named import the_supplier
from partsdb.jobs.weigh import supplier_grade
from partsdb.rules.cautions import cautions_for, situations_of
from partsdb.rules.grading import BARRED, effective_grade
from partsdb.rules.landed import LandedOrder
from partsdb.rules.money import Money
from partsdb.rules.rebuild import RebuildWork, comeback_prior, is_option, rebuild_option
from partsdb.rules.verdict import worst_verdict
from partsdb.store import catalogue, machines, recipes
from partsdb.store.rows import OfferRow, PositionRow
from partsdb.store.rows_lists import RecipeItemRow, RecipeRow

# Above this many ways the mix is sought among sets of suppliers only; the answer then says so.
MOST_WAYS = 4096
RULED_OUT_SHOWN = 20


@dataclass(frozen=True, slots=True)
class RebuildAsk:
    """A recipe, how many machines, and the suppliers to look at (none: all)."""

    recipe: str
    as_of: str
    quantity: int = 1
    suppliers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Pick:
    """One item bought as one part from one supplier's offer; `rate` is its comeback rate."""

    choice: Choice
    offer: OfferRow
    units: int
    rate: Fraction
    alone_minor: int


@dataclass(frozen=True, slots=True)
class _Item:
    """One item of the recipe with its best pick at each supplier, and what was ruled out."""

    asked: str
    position: PositionRow | None
    picks: dict[int, _Pick]
    ruled_out: tuple[str, ...]


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
    items = [_item(row, ask, wanted) for row in recipe.items]
    positions = [item.position.demand for item in items if item.position]
    return RebuildAnswer(
        recipe=recipe.name, quantity=ask.quantity,
        options=tuple(_options(recipe, items, ask)),
        ruled_out=_ruled_out(items),
        cautions=cautions_for(situations_of(positions)),
    )  # fmt: skip


def the_recipe(name: str) -> RecipeRow:
    """Return the recipe of that name; raises NotFoundError with all names."""
    found = recipes.find_recipe(name)
    if found is None:
        known = ", ".join(recipe.name for recipe in recipes.recipe_rows())
        raise NotFoundError("recipe", name, hint=f"known: {known}" if known else
                            "add one with: partsdb rebuild add --from FILE")  # fmt: skip
    return found


def _item(row: RecipeItemRow, ask: RebuildAsk, wanted: set[int]) -> _Item:
    asked = catalogue.part_rows([row.part_id])[row.part_id]
    positions = machines.position_rows([row.position_id]) if row.position_id else \
        machines.positions_calling_for([row.part_id])  # fmt: skip
    itself, others, _ = choices_for(asked, positions, ask.as_of)
    picks: dict[int, _Pick] = {}
    ruled_out = []
    units = row.quantity * ask.quantity
    for choice in (itself, *others):
        if not is_option(choice.weighed.verdict):
            ruled_out += [_why_not(choice, asked.number)] if choice.offers else []
            continue
        for pick in _picks(choice, units, ask.as_of, wanted):
            best = picks.get(pick.offer.supplier_id)
            if best is None or _worth(pick) < _worth(best):
                picks[pick.offer.supplier_id] = pick
    name = f"{asked.maker} {asked.number}"
    return _Item(name, positions[0] if positions else None, picks, tuple(ruled_out))


def _worth(pick: _Pick) -> tuple[Fraction, str, str]:
    """Order picks by what they cost alone with their share of comebacks; ties by number."""
    return pick.alone_minor * (1 + pick.rate), pick.choice.part.maker, pick.choice.part.number


def _picks(choice: Choice, units: int, as_of: str, wanted: set[int]) -> Iterator[_Pick]:
    for offer in choice.offers:
        seller = supplier_grade(offer.supplier_id, offer.supplier)
        grade = effective_grade([each for each in (seller, choice.grade) if each])
        if (wanted and offer.supplier_id not in wanted) or (grade and grade.grade == BARRED):
            continue
        try:
            order = land([Need(choice.part, offer, units)], as_of)
        except PartsdbError:
            continue  # no rate or no terms: it cannot be costed, and a wrong cost is never shown
        rate = comeback_prior(grade.grade if grade else "")
        yield _Pick(choice, offer, units, rate, order.total.minor)


def _why_not(choice: Choice, asked: str) -> str:
    part, weighed = choice.part, choice.weighed
    reason = weighed.checks[0].text if weighed.checks else "nothing is known of it"
    return f"{part.maker} {part.number} for {asked}: {weighed.verdict.value}, {reason}"


def _ruled_out(items: Sequence[_Item]) -> tuple[str, ...]:
    said = [text for item in items for text in item.ruled_out]
    said += [f"{item.asked}: no supplier offers a part that may be fitted" for item in items if not item.picks]
    more = len(said) - RULED_OUT_SHOWN
    return (*said[:RULED_OUT_SHOWN], *((f"and {more} more",) if more > 0 else ()))


def _options(recipe: RecipeRow, items: Sequence[_Item], ask: RebuildAsk) -> list[RebuildOption]:
    """Return one option per supplier that has everything, and the best mix when it is a mix."""
    if not items or not all(item.picks for item in items):
        return []
    everywhere = set.intersection(*(set(item.picks) for item in items))
    single = [_option(recipe, [item.picks[each] for item in items], ask) for each in sorted(everywhere)]
    ways = list(_mixes(items))
    mix = min((_option(recipe, way, ask) for way in ways), key=_cheapest)
    found = single if len(mix.suppliers) < 2 else [mix, *single]
    return sorted(found, key=_cheapest)


def _cheapest(option: RebuildOption) -> tuple[int, int, str]:
    return option.total_minor, len(option.suppliers), option.name


def _mixes(items: Sequence[_Item]) -> Iterator[list[_Pick]]:
    """Yield every way to spread the items over the suppliers, or the cheapest of each set of them."""
    suppliers = sorted({supplier for item in items for supplier in item.picks})
    count = 1
    for item in items:
        count *= len(item.picks)
    if count <= MOST_WAYS:
        yield from (list(way) for way in product(*([item.picks[s] for s in sorted(item.picks)] for item in items)))
        return
    for chosen in product((False, True), repeat=len(suppliers)):
        allowed = {supplier for supplier, is_in in zip(suppliers, chosen, strict=True) if is_in}
        ways = [[pick for s, pick in item.picks.items() if s in allowed] for item in items]
        if all(ways):
            yield [min(picks, key=_worth) for picks in ways]


def _option(recipe: RecipeRow, picks: Sequence[_Pick], ask: RebuildAsk) -> RebuildOption:
    orders = _orders(picks, ask.as_of)
    home = home_currency()
    parts = Money(sum(order.total.minor for _, order, _ in orders), home)
    days = [lead_days(pick.offer, ask.as_of) for pick in picks]
    rate = max(pick.rate for pick in picks)
    cost = rebuild_option(parts, _work(recipe, ask.quantity), comeback_rate=rate,
                          waiting_days=max((day for day in days if day is not None), default=0))  # fmt: skip
    names = tuple(name for name, _, _ in orders)
    return RebuildOption(
        name="all from " + names[0] if len(names) == 1 else "mix of " + " and ".join(names),
        suppliers=names, total_minor=cost.total.minor, currency=home,
        steps=(*_order_steps(orders), *(CostStep(step.label, step.amount_minor, step.how)
                                       for step in cost.steps if step.label != "parts")),
        buy=tuple(_purchase(pick, order, at) for _, order, bought in orders
                  for at, pick in enumerate(bought)),
        verdict=worst_verdict(pick.choice.weighed.verdict for pick in picks),
        notes=_notes(picks, orders, days),
    )  # fmt: skip


_Order = tuple[str, LandedOrder, list[_Pick]]


def _orders(picks: Sequence[_Pick], as_of: str) -> list[_Order]:
    """Return one landed order per supplier, so that freight and fees are paid once."""
    by_supplier: dict[str, list[_Pick]] = {}
    for pick in picks:
        by_supplier.setdefault(pick.offer.supplier, []).append(pick)
    return [(name, land([Need(p.choice.part, p.offer, p.units) for p in bought], as_of), bought)
            for name, bought in sorted(by_supplier.items())]  # fmt: skip


def _order_steps(orders: Sequence[_Order]) -> list[CostStep]:
    return [CostStep(f"{name}: {step.label}", step.amount_minor, step.how)
            for name, order, _ in orders for step in order.steps]  # fmt: skip


def _purchase(pick: _Pick, order: LandedOrder, at: int) -> Purchase:
    bought, part = order.purchases[at], pick.choice.part
    return Purchase(part.maker, part.number, pick.offer.supplier, bought.packs, bought.units)


def _work(recipe: RecipeRow, quantity: int) -> RebuildWork:
    def money(minor: int) -> Money:
        return Money(minor, recipe.currency)

    return RebuildWork(
        minutes=recipe.minutes, hourly=money(recipe.hourly_minor),
        comeback_minutes=recipe.comeback_minutes,
        comeback_carriage=money(recipe.comeback_carriage_minor),
        comeback_goodwill=money(recipe.comeback_goodwill_minor),
        waiting_day=money(recipe.waiting_day_minor), quantity=quantity,
    )  # fmt: skip


def _notes(
    picks: Sequence[_Pick], orders: Sequence[_Order], days: Sequence[int | None]
) -> tuple[str, ...]:
    said = [f"{name}: {note}" for name, order, _ in orders for note in order.notes]
    said += [f"{name}: not counted: {gap}" for name, order, _ in orders for gap in order.not_counted]
    said += [f"condition for {p.choice.part.number}: {text}" for p in picks for text in p.choice.weighed.conditions]
    if None in days:
        said.append("a lead time is not known: the waiting may be longer")
    said.append("the comeback rate is that assumed for the grade of the least proven part")
    return tuple(dict.fromkeys(said))
