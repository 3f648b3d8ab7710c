"""Everything that may be fitted where a part is called for, weighed, with who offers it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsdb.jobs.answers import ShelfLot
from partsdb.jobs.barred_lots import barred_lots
from partsdb.jobs.leads import Lead, key_of, leads_from
from partsdb.jobs.shelf import on_the_shelf
from partsdb.jobs.weigh import Weighed, failed_here, grades_of, weigh, with_check
from partsdb.rules.certificates import check_papers, on_day
from partsdb.rules.facts import Claim, PartFacts, StandsIn
from partsdb.rules.grading import Grade
from partsdb.rules.verdict import Check, Outcome
from partsdb.store.claims import part_facts
from partsdb.store.offers import live_offers
from partsdb.store.rows import OfferRow, PartRow, PositionRow


@dataclass(frozen=True, slots=True)
class Choice:
    """One part with its verdict in the positions meant; `edges` is empty for the very part."""

    part: PartRow
    weighed: Weighed
    offers: tuple[OfferRow, ...]
    grade: Grade | None
    edges: tuple[StandsIn, ...]
    path: tuple[str, ...]
    facts: PartFacts
    shelf: tuple[ShelfLot, ...] = ()


def choices_for(
    asked: PartRow, positions: Sequence[PositionRow], as_of: str, serial: str = ""
) -> tuple[Choice, list[Choice], list[str]]:
    """Return the part itself, every part that may stand in for it, and notes on its number.

    `serial` is the machine's, "" where it is not known.
    """
    leads, notes = leads_from(asked, serial, as_of)
    found = _choices([Lead(asked, ()), *leads], asked, positions, as_of)
    return found[0], found[1:], notes


def choice_without_way(
    part: PartRow, asked: PartRow, positions: Sequence[PositionRow], as_of: str
) -> Choice:
    """Return a part to which nothing leads, weighed by its own facts alone."""
    return _choices([Lead(part, ())], asked, positions, as_of)[0]


def _choices(
    every: Sequence[Lead], asked: PartRow, positions: Sequence[PositionRow], as_of: str
) -> list[Choice]:
    ids = [lead.part.id for lead in every]
    aged = {i: on_day(known, as_of) for i, known in part_facts({*ids, asked.id}).items()}
    facts = {i: each.part for i, each in aged.items()}
    grades = grades_of([lead.part for lead in every])
    shelf, failed = on_the_shelf(facts, grades, as_of), failed_here(ids)
    barred = barred_lots(ids)
    offers: dict[int, list[OfferRow]] = {}
    for offer in live_offers(ids, as_of):
        offers.setdefault(offer.part_id, []).append(offer)
    return [
        Choice(
            lead.part,
            _weighed(
                aged[lead.part.id].expired,
                weigh(
                    facts[lead.part.id],
                    positions,
                    original=facts[asked.id],
                    edges=lead.edges,
                    grade=grades[lead.part.id],
                    day=as_of,
                ),
                failed.get(lead.part.id),
                barred.get(lead.part.id),
                lead.out_of_range,
                _of_another_part(lead.part, asked, positions),
            ),
            tuple(offers.get(lead.part.id, ())),
            grades[lead.part.id],
            lead.edges,
            lead.path,
            facts[lead.part.id],
            shelf.get(lead.part.id, ()),
        )
        for lead in every
    ]


def _of_another_part(
    part: PartRow, asked: PartRow, positions: Sequence[PositionRow]
) -> Check | None:
    """Return the check that is not met where a position's parts list names neither of the parts.

    What stands in for the part asked about is not thereby shown for another one.
    """
    for row in positions:
        if not {part.id, asked.id} & {*row.part_ids}:
            text = (
                f"the parts list of {row.machine} {row.demand.position} does not call for "
                f"{asked.maker} {asked.number}: ask for the part that it calls for"
            )
            return Check("position", Outcome.NOT_SHOWN, text, code="POSITION_UNKNOWN")
    return None


def _weighed(expired: Sequence[Claim], weighed: Weighed, *more: Check | None) -> Weighed:
    for check in (check_papers(expired, weighed.checks), *more):
        weighed = with_check(weighed, check)
    return weighed


__all__ = ["Choice", "choice_without_way", "choices_for", "key_of"]
