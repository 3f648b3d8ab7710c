"""The answer to a kit put together from loose parts and partial kits, landed to the cent."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from partsdb.jobs.answers import ComposedAnswer, CostStep, Purchase
from partsdb.jobs.choices import Choice
from partsdb.jobs.compose import Composition, Wish, composition
from partsdb.jobs.landing import Need
from partsdb.rules.landed import LandedOrder
from partsdb.rules.verdict import Verdict, worst_verdict


def composed(wish: Wish, choices: Sequence[Choice]) -> ComposedAnswer | None:
    """Return the cheapest way to put the kit together, or what is not to be had and why.

    What is bought is counted again by the money code, each supplier one order.
    """
    found = composition(wish, choices)
    if found is None:
        return None
    if found.missing:
        return ComposedAnswer(missing=found.missing, reuse=found.reuse)
    landings, chosen = found.landings, found.chosen
    orders = _orders(found)
    steps = [
        CostStep(f"{name}: {s.label}", s.amount_minor, s.how)
        for name, order in orders.items()
        for s in order.steps
    ]
    days = [landings.lead_days(offer) for _, offer, _ in chosen]
    verdicts = [piece.verdict for piece, *_ in chosen]
    return ComposedAnswer(
        verdict=worst_verdict([Verdict.FIT_WITH_CONDITIONS, *verdicts]),
        buy=tuple(
            Purchase(
                p.part.maker, p.part.number, o.supplier, n, n * o.pack_units, landings.here_on(o)
            )
            for p, o, n in chosen
        ),
        brings=tuple(
            f"{p.part.maker} {p.part.number}: "
            + ", ".join(f"{name} x{count * n * o.pack_units}" for name, count in p.brings.items())
            for p, o, n in chosen
        ),
        total_minor=sum(step.amount_minor for step in steps),
        currency=next(iter(orders.values())).total.currency,
        steps=tuple(steps),
        conditions=found.conditions,
        reuse=found.reuse,
        lead_days=None if None in days else max(each or 0 for each in days),
        notes=tuple(dict.fromkeys(_notes(orders))),
    )


def _orders(found: Composition) -> dict[str, LandedOrder]:
    """Return the order to each supplier, by his name."""
    needs: dict[str, list[Need]] = {}
    for piece, offer, packs in found.chosen:
        need = Need(piece.part, offer, packs * offer.pack_units, as_ordered=True)
        needs.setdefault(offer.supplier, []).append(need)
    return {name: found.landings.land(needs[name]) for name in sorted(needs)}


def _notes(orders: Mapping[str, LandedOrder]) -> Iterator[str]:
    for name, order in orders.items():
        yield from (f"{name}: {note}" for note in order.notes)
        yield from (f"{name}: not counted: {gap}" for gap in order.not_counted)
