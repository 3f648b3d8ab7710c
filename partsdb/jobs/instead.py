"""What may I fit instead? Candidates in order, each with its verdict and its reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.answers import CandidateAnswer, InsteadAnswer, OfferAnswer, PartRef
from partsdb.jobs.landing import offer_answers
from partsdb.jobs.leads import Lead, leads_from
from partsdb.jobs.named import the_machine, the_part, the_position
from partsdb.jobs.weigh import Weighed, grades_of, weigh
from partsdb.rules.cautions import cautions_for, situations_of
from partsdb.rules.equivalence import weakest_evidence
from partsdb.rules.facts import EVIDENCE_RANK, PartFacts
from partsdb.rules.grading import Grade
from partsdb.rules.verdict import VERDICT_RANK, Outcome
from partsdb.store.claims import part_facts
from partsdb.store.machines import position_rows, positions_calling_for
from partsdb.store.offers import live_offers
from partsdb.store.rows import OfferRow, PartRow, PositionRow

NEVER = 10_000


@dataclass(frozen=True, slots=True)
class InsteadAsk:
    """What is asked: the number that is called for, where, how many, and by when (ISO dates)."""

    number: str
    as_of: str
    maker: str | None = None
    machine: str | None = None
    position: str | None = None
    quantity: int = 1
    by: str | None = None


@dataclass(frozen=True, slots=True)
class _Facts:
    """Everything gathered before the rules are asked."""

    asked: PartRow
    positions: tuple[PositionRow, ...]
    leads: tuple[Lead, ...]
    facts: dict[int, PartFacts]
    offers: dict[int, list[OfferRow]]
    grades: dict[int, Grade | None]


def instead(ask: InsteadAsk) -> InsteadAnswer:
    """Return what may be fitted where the number is called for, best first.

    Raises NotFoundError or AmbiguousError for an unknown part, machine or position, UsageError
    for a quantity below one or a date that lies before `as_of`.
    """
    days = _days_left(ask)
    asked = the_part(ask.number, ask.maker)
    positions = _positions(ask, asked)
    leads, notes = leads_from(asked)
    gathered = _gather(asked, positions, leads, ask.as_of)
    candidates = [_candidate(gathered, lead, ask, days) for lead in leads]
    checks = [check for candidate in candidates for check in candidate.checks]
    return InsteadAnswer(
        asked=PartRef(asked.maker, asked.number, asked.description, asked.role),
        positions=tuple(_where(row) for row in positions),
        asked_offers=_offers(gathered, asked, ask, days),
        candidates=tuple(sorted(candidates, key=lambda each: _best_first(each, gathered))),
        notes=(*notes, *_no_candidate(candidates)),
        cautions=cautions_for(situations_of((row.demand for row in positions), checks)),
    )


def _days_left(ask: InsteadAsk) -> int | None:
    import datetime as dt

    if ask.quantity < 1:
        raise UsageError(f"a quantity of {ask.quantity} asks for nothing", hint="give --qty 1 or more")
    if ask.by is None:
        return None
    days = (dt.date.fromisoformat(ask.by) - dt.date.fromisoformat(ask.as_of)).days
    if days < 0:
        raise UsageError(f"--by {ask.by} lies before {ask.as_of}", hint="give a day still to come")
    return days


def _positions(ask: InsteadAsk, asked: PartRow) -> tuple[PositionRow, ...]:
    """Return the positions meant: the one named, else all that call for the part."""
    if ask.position and not ask.machine:
        raise UsageError("--position needs --machine", hint="say on which machine the position is")
    if not ask.machine:
        return tuple(positions_calling_for([asked.id]))
    machine = the_machine(ask.machine)
    if ask.position:
        return (the_position(machine, ask.position),)
    found = positions_calling_for([asked.id], [machine.id])
    if not found:
        raise NotFoundError(
            "position", f"{machine.model}: one that calls for {asked.number}",
            hint="name the position with --position, or leave --machine out",
        )  # fmt: skip
    return tuple(position_rows(row.position_id for row in found))


def _gather(
    asked: PartRow, positions: tuple[PositionRow, ...], leads: Sequence[Lead], as_of: str
) -> _Facts:
    parts = [asked, *(lead.part for lead in leads)]
    offers: dict[int, list[OfferRow]] = {}
    for offer in live_offers([part.id for part in parts], as_of):
        offers.setdefault(offer.part_id, []).append(offer)
    return _Facts(
        asked, positions, tuple(leads), part_facts([part.id for part in parts]), offers,
        grades_of(parts),
    )  # fmt: skip


def _candidate(gathered: _Facts, lead: Lead, ask: InsteadAsk, days: int | None) -> CandidateAnswer:
    part = lead.part
    original = gathered.facts[gathered.asked.id]
    grade = gathered.grades[part.id]
    weighed = weigh(gathered.facts[part.id], gathered.positions,
                    original=original, edges=lead.edges, grade=grade)  # fmt: skip
    offers = _offers(gathered, part, ask, days)
    return CandidateAnswer(
        maker=part.maker, number=part.number, description=part.description,
        verdict=weighed.verdict, checks=weighed.checks, conditions=weighed.conditions,
        missing=weighed.missing, extra=weighed.extra, path=lead.path, offers=offers,
        grade=grade.grade if grade else "", gives_up=_gives_up(weighed, lead, offers),
    )  # fmt: skip


def _gives_up(weighed: Weighed, lead: Lead, offers: Sequence[OfferAnswer]) -> tuple[str, ...]:
    """Return in words what the shop gives up against the part that is called for."""
    given = [f"{check.check}: {check.text}" for check in weighed.checks
             if check.outcome is Outcome.MEETS_WITH_CONDITIONS]  # fmt: skip
    given += [f"without {item}" for item in weighed.missing]
    if any("only up to serial" in c or "only for serial" in c for e in lead.edges for c in e.conditions):
        given.append("not for every serial")
    return tuple(dict.fromkeys(given)) + (() if offers else ("no supplier offers it today",))


def _offers(
    gathered: _Facts, part: PartRow, ask: InsteadAsk, days: int | None
) -> tuple[OfferAnswer, ...]:
    found = offer_answers(part, gathered.offers.get(part.id, []), ask.quantity, ask.as_of)
    return tuple(each for each in found if days is None or _arrives(each, days))


def _arrives(offer: OfferAnswer, days: int) -> bool:
    # An unknown lead time does not show that it comes in time.
    return offer.lead_days is not None and offer.lead_days <= days


def _best_first(
    candidate: CandidateAnswer, gathered: _Facts
) -> tuple[int, int, bool, str, int, int, str, str]:
    """Order: verdict, evidence of the way, grade, days until it is here, landed cost, then name."""
    edges = next(lead.edges for lead in gathered.leads
                 if (lead.part.maker, lead.part.number) == (candidate.maker, candidate.number))  # fmt: skip
    usable = [each for each in candidate.offers if each.landed_minor is not None]
    soonest = min((NEVER if o.lead_days is None else o.lead_days for o in usable), default=NEVER)
    cheapest = min((o.landed_minor or 0 for o in usable), default=0)
    return (
        VERDICT_RANK[candidate.verdict], EVIDENCE_RANK[weakest_evidence(edges)], not usable,
        candidate.grade or "D", soonest, cheapest, candidate.maker, candidate.number,
    )  # fmt: skip


def _no_candidate(candidates: Sequence[CandidateAnswer]) -> tuple[str, ...]:
    if candidates:
        return ()
    return ("nothing here is known to stand in for it: read price lists, or add what the maker's "
            "documents say with partsdb part accept",)  # fmt: skip


def _where(row: PositionRow) -> str:
    pressure = f", {row.demand.pressure.as_written}" if row.demand.pressure else ""
    return f"{row.machine_maker} {row.machine} {row.demand.position}{pressure}"
