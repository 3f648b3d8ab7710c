"""What do I buy for all of these jobs, from whom? The least total, proven, with its steps."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from time import monotonic

from partsdb.errors import PartsdbError, UsageError
from partsdb.jobs.answers import CostStep
from partsdb.jobs.basket_answers import (
    BasketAnswer,
    BasketPurchase,
    BasketUse,
    OtherBasket,
    RuleCost,
)
from partsdb.jobs.basket_needs import Gatherer, Job, Limits, Market, Sale, the_job, wanted_for
from partsdb.jobs.delivery import delivery_notes, here_on
from partsdb.jobs.landing import home_currency, land_from
from partsdb.jobs.named import the_supplier
from partsdb.jobs.payment_notes import notes_on_paying
from partsdb.jobs.quiet import without_noise
from partsdb.rules.basket import Basket, BasketProblem, broken_rules
from partsdb.rules.basket_plain import best_single_supplier, cheapest_per_line
from partsdb.rules.basket_solve import (
    Solved,
    rules_in_force,
    runner_up,
    smallest_relaxation,
    solve_basket,
)
from partsdb.rules.cautions import cautions_for
from partsdb.rules.counting import counted
from partsdb.rules.landed import LandedOrder
from partsdb.rules.money import round_whole, total_of
from partsdb.rules.situations import situations_of

GRADES = ("A", "B", "C", "D")
Say = Callable[[str], object]


@dataclass(frozen=True, slots=True)
class BasketAsk:
    """Jobs as typed, and the rules: the day, suppliers at most, the worst grade, whom to ask.

    `seconds` limits the search; what is then known is shown with its bound.
    """

    jobs: tuple[str, ...]
    as_of: str
    by: str = ""
    most_suppliers: int | None = None
    worst_grade: str = ""
    suppliers: tuple[str, ...] = ()
    seconds: float = 30.0


class NoBasketError(PartsdbError):
    """No basket keeps every rule; the hint names the fewest rules that would have to go."""

    exit_code = 3
    code = "no_basket"


_Orders = list[tuple[Sale, LandedOrder, tuple[int, ...]]]


@without_noise()
def basket(ask: BasketAsk, say: Say = lambda said: None) -> BasketAnswer:
    """Return the cheapest basket for all the jobs, landed to the cent.

    Only parts whose verdict allows fitting are bought. Raises NotFoundError for unknown names,
    UsageError for a job or rule without meaning, NoBasketError when nothing keeps the rules.
    """
    jobs = _jobs(ask)
    market = _market(ask, jobs, say)
    if not market.needs:
        raise NoBasketError("nothing can be bought", hint="; ".join(market.unserved))
    problem = _problem(ask, market)
    started = monotonic()
    say(f"weighing {counted(len(market.sales), 'offer')} for {counted(len(market.needs), 'need')}")
    solved = solve_basket(problem, seconds=ask.seconds)
    if solved is None:
        raise _no_basket(problem, ask)
    say("counting it again to the cent")
    orders = _orders(market, solved.basket)
    total = sum(order.total.minor for _, order, _ in orders)
    bound = min(math.floor(solved.bound), total)
    say("what the rules cost")
    left = ask.seconds - (monotonic() - started)
    positions = [row.demand for wanted in market.wanted for row in wanted.positions]
    return BasketAnswer(
        jobs=tuple(_shown(job) for job in jobs),
        total_minor=total,
        currency=home_currency(),
        proven=solved.proven and total - bound <= _roundings(market, orders),
        bound_minor=bound,
        steps=tuple(_steps(orders)),
        buy=tuple(_purchases(problem, market, solved.basket, orders)),
        uses=tuple(_uses(problem, market, solved)),
        rules=_rule_costs(problem, solved, left),
        others=_others(problem, market),
        unserved=tuple(market.unserved),
        shelf=tuple(market.shelf),
        notes=_notes(market, solved, orders),
        cautions=cautions_for(situations_of(positions)),
    )


def _jobs(ask: BasketAsk) -> list[Job]:
    if not ask.jobs:
        raise UsageError("a basket needs a job to buy for", hint="name a recipe, or MAKER|NUMBER")
    if ask.most_suppliers is not None and ask.most_suppliers < 1:
        raise UsageError(
            f"from {ask.most_suppliers} suppliers nothing can be bought", hint="give 1 or more"
        )
    if ask.worst_grade and ask.worst_grade not in GRADES:
        raise UsageError(f"{ask.worst_grade!r} is no grade", hint=f"give {', '.join(GRADES)}")
    jobs = [the_job(text, by=ask.by) for text in ask.jobs]
    for job in jobs:
        if job.by and job.by < ask.as_of:
            raise UsageError(f"{job.by} lies before {ask.as_of}", hint="give a day still to come")
    return jobs


def _shown(job: Job) -> str:
    return f"{job.name} × {job.units}" + (f", by {job.by}" if job.by else "")


def _market(ask: BasketAsk, jobs: Sequence[Job], say: Say) -> Market:
    suppliers = frozenset(the_supplier(name).id for name in ask.suppliers)
    gatherer = Gatherer(Limits(ask.as_of, ask.worst_grade, suppliers))
    wanted = wanted_for(jobs)
    for number, each in enumerate(wanted, start=1):
        say(f"looking up {number} of {len(wanted)}: {each.name}")
        gatherer.add(each)
    return gatherer.market


def _problem(ask: BasketAsk, market: Market) -> BasketProblem:
    return BasketProblem(
        tuple(market.needs), market.offers(), market.suppliers(), ask.most_suppliers
    )


def _no_basket(problem: BasketProblem, ask: BasketAsk) -> NoBasketError:
    found = smallest_relaxation(problem, seconds=ask.seconds)
    rules = " and ".join(found.rules)
    hint = f"it can be bought without this: {rules}" if rules else "try --seconds with more time"
    if found.rules:
        against = [
            need.name
            for need in problem.needs
            if not problem.options(need) and problem.options(need, frozenset(found.rules))
        ]
        hint += f" (it stands against {', '.join(against)})" if against else ""
    return NoBasketError("no basket keeps every rule", hint=hint)


def _orders(market: Market, found: Basket) -> _Orders:
    """Return the landed order of each supplier: a sale of his, the order, the sales in it."""
    bought: dict[str, list[int]] = {}
    for index, packs in enumerate(found.packs):
        if packs:
            bought.setdefault(market.sales[index].offer.supplier, []).append(index)
    orders = []
    for _, indices in sorted(bought.items()):
        lines = [
            replace(
                market.sales[i].line,
                need_units=found.packs[i] * market.sales[i].offer.pack_units,
                as_ordered=True,
            )
            for i in indices
        ]
        first = market.sales[indices[0]]
        orders.append((first, land_from(first.side.seller, lines), tuple(indices)))
    return orders


def _steps(orders: _Orders) -> list[CostStep]:
    return [
        CostStep(f"{sale.offer.supplier}: {step.label}", step.amount_minor, step.how)
        for sale, order, _ in orders
        for step in order.steps
    ]


def _roundings(market: Market, orders: _Orders) -> int:
    """Return the minor units that rounding may add to the orders.

    A coin for each step and each line's duty; where customs count in whole units, also the duty
    and tax on half of one for each line.
    """
    coins = sum(len(order.steps) + len(indices) for _, order, indices in orders)
    halves = (
        seller.levies(market.sales[i].line.duty_rate) * seller.customs.whole_minor / 2
        for sale, _, indices in orders
        for seller in [sale.side.seller]
        for i in indices
    )
    return coins + math.ceil(sum(halves))


def _purchases(
    problem: BasketProblem, market: Market, found: Basket, orders: _Orders
) -> list[BasketPurchase]:
    spare = found.left_over(problem)
    return [
        BasketPurchase(
            supplier=sale.offer.supplier,
            code=market.sales[i].offer.code,
            maker=market.sales[i].part.maker,
            number=market.sales[i].part.number,
            packs=bought.packs,
            units=bought.units,
            left_over=spare.get(i, 0),
            goods_minor=bought.goods.minor,
            goods_currency=bought.goods.currency,
        )
        for sale, order, indices in orders
        for i, bought in zip(indices, order.purchases, strict=True)
    ]


def _uses(problem: BasketProblem, market: Market, solved: Solved) -> list[BasketUse]:
    told = []
    for use in solved.basket.uses:
        wanted, sale = market.wanted[use.need], market.sales[use.offer]
        other = runner_up(problem, solved, use.need)
        told.append(
            BasketUse(
                need=wanted.name,
                jobs=tuple(dict.fromkeys(wanted.jobs)),
                maker=sale.part.maker,
                number=sale.part.number,
                supplier=sale.offer.supplier,
                units=use.units,
                lead_days=sale.lead_days,
                verdict=market.verdicts[use.need, use.offer][0],
                next_best=market.sales[other.offer].name if other else "",
                more_minor=round_whole(other.more) if other else None,
                here_on=here_on(market.as_of, sale.lead_days),
            )
        )
    return told


def _rule_costs(problem: BasketProblem, solved: Solved, seconds: float) -> tuple[RuleCost, ...]:
    """Return what each rule costs, by solving without it while the time lasts."""
    costs = []
    until = monotonic() + seconds
    for rule in rules_in_force(problem):
        left = until - monotonic()
        if left <= 0:
            break
        without = solve_basket(problem, seconds=left, lifted=frozenset({rule}))
        if without is not None and without.proven:
            costs.append(RuleCost(rule, max(round_whole(solved.cost - without.cost), 0)))
    return tuple(costs)


def _others(problem: BasketProblem, market: Market) -> tuple[OtherBasket, ...]:
    """Return what the simple ways to buy would come to, landed to the cent."""
    simple = {
        "each part where it is cheapest by itself": cheapest_per_line(problem),
        "all from the best single supplier": best_single_supplier(problem),
    }
    return tuple(
        OtherBasket(name, sum(order.total.minor for _, order, _ in _orders(market, found)))
        for name, found in simple.items()
        if found is not None and not broken_rules(problem, found)
    )


def _notes(market: Market, solved: Solved, orders: _Orders) -> tuple[str, ...]:
    said = list(market.notes)
    for sale, order, _ in orders:
        name = sale.offer.supplier
        said += [f"{name}: {note}" for note in order.notes]
        said += [f"{name}: not counted: {gap}" for gap in order.not_counted]
        goods = total_of([p.goods for p in order.purchases], sale.offer.currency)
        said += notes_on_paying(sale.side, goods)
    said += [
        note
        for _, order, indices in orders
        for i, bought in zip(indices, order.purchases, strict=True)
        for note in delivery_notes(market.sales[i].part, market.sales[i].offer, bought.units)
    ]
    said += [
        f"condition for {market.sales[use.offer].part.number}: {text}"
        for use in solved.basket.uses
        for text in market.verdicts[use.need, use.offer][1]
    ]
    return tuple(dict.fromkeys(said))
