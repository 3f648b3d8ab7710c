"""What may I fit instead? Candidates in order, each with its verdict and its reasons."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.adapters import Adapters
from partsdb.jobs.answers import (
    CandidateAnswer,
    ComposedAnswer,
    InsteadAnswer,
    OfferAnswer,
    PartRef,
)
from partsdb.jobs.blocks import block_instead
from partsdb.jobs.choices import Choice, choices_for
from partsdb.jobs.landing import offer_answers
from partsdb.jobs.named import part_asked, the_machine, the_position
from partsdb.jobs.while_there import while_there
from partsdb.rules.bench_side import aluminium_notes, bench_notes
from partsdb.rules.cautions import cautions_for
from partsdb.rules.equivalence import weakest_evidence
from partsdb.rules.facts import EVIDENCE_RANK
from partsdb.rules.grading import BARRED
from partsdb.rules.situations import situations_of
from partsdb.rules.surges import highest_demand
from partsdb.rules.verdict import VERDICT_RANK, Verdict
from partsdb.store import catalogue, edges
from partsdb.store.machines import position_rows, positions_calling_for, positions_of
from partsdb.store.rows import MachineRow, PartRow, PositionRow

NEVER = 10_000
UNGRADED = "C~"  # sorts behind C, before D: nothing is known for or against it


@dataclass(frozen=True, slots=True)
class InsteadAsk:
    """What is asked: the number that is called for, where, how many, and by when (ISO dates).

    `serial` is the machine's; `bore_worn`: its block is the wrong shape, so the block is asked for.
    """

    number: str
    as_of: str
    maker: str | None = None
    machine: str | None = None
    position: str | None = None
    quantity: int = 1
    by: str | None = None
    serial: str = ""
    bore_worn: bool = False
    compose: bool = False


def instead(ask: InsteadAsk) -> InsteadAnswer:
    """Return what may be fitted where the number is called for, best first.

    Raises NotFoundError or AmbiguousError for an unknown part, machine or position, UsageError
    for a quantity below one or a date that lies before `as_of`.
    """
    days_left(ask)
    wanted = what_is_asked(ask)
    asked, positions = wanted.part, wanted.positions
    itself, others, notes = choices_for(asked, positions, ask.as_of, ask.serial)
    others.sort(key=key_of_choice)
    adapters = Adapters(ask.as_of)
    candidates = [(candidate_of(choice, ask, positions, adapters), choice) for choice in others]
    candidates.sort(key=lambda pair: _best_first(pair[0], pair[1], ask))
    checks = [check for candidate, _ in candidates for check in candidate.checks]
    return InsteadAnswer(
        asked=PartRef(asked.maker, asked.number, asked.description, asked.role),
        positions=tuple(where_in_words(row) for row in positions),
        asked_offers=_offers(itself, ask),
        candidates=tuple(candidate for candidate, _ in candidates),
        notes=(*wanted.notes, *notes, *_no_candidate(candidates)),
        cautions=cautions_for(situations_of((row.demand for row in positions), checks)),
        asked_shelf=itself.shelf,
        bench_notes=(
            *bench_notes(asked.role),
            *aluminium_notes(row.demand for row in positions),
        ),
        while_there=while_there(asked, positions),
        composed=_composed(ask, wanted, (itself, *others), candidates),
    )


def best_of(answer: InsteadAnswer, top: int) -> InsteadAnswer:
    """Return the answer with its `top` best candidates, and the others counted by verdict."""
    left_out = Counter(each.verdict for each in answer.candidates[top:])
    counts = {str(verdict): left_out[verdict] for verdict in Verdict if left_out[verdict]}
    return replace(answer, candidates=answer.candidates[:top], not_shown=counts)


def _composed(
    ask: InsteadAsk,
    wanted: Wanted,
    choices: Sequence[Choice],
    candidates: Sequence[tuple[CandidateAnswer, Choice]],
) -> ComposedAnswer | None:
    """Return the kit put together, where that is asked for or nothing may be fitted as it is."""
    to_be_had = any(
        VERDICT_RANK[c.verdict] < VERDICT_RANK[Verdict.ASK_FIRST] and (c.offers or c.shelf)
        for c, _ in candidates
    )
    if not choices[0].facts.contents or (to_be_had and not ask.compose):
        return None
    # Few questions put a kit together, and start-up feels what that needs.
    from partsdb.jobs.compose import Wish
    from partsdb.jobs.compose_answer import composed

    kit, days = choices[0].facts, days_left(ask)
    return composed(Wish(kit, wanted.positions, ask.quantity, ask.as_of, days), choices[1:])


@dataclass(frozen=True, slots=True)
class Wanted:
    """The part that is asked for, where it goes, and what must be said of the question itself."""

    part: PartRow
    positions: tuple[PositionRow, ...]
    notes: tuple[str, ...] = ()


def what_is_asked(ask: InsteadAsk) -> Wanted:
    """Return the part and positions that the question means; the block where its bore is worn.

    Raises NotFoundError or AmbiguousError for what is unknown, UsageError for a contradiction.
    """
    named = part_asked(ask.number, ask.maker)
    asked, said = named.part, (named.said,) if named.said else ()
    positions = _positions(ask, asked)
    said = said if positions else (*said, *_in_place_of(asked))
    if not ask.bore_worn:
        return Wanted(asked, positions, said)
    block, places, why = block_instead(asked, positions)
    return Wanted(block, places, (*said, why))


def _in_place_of(asked: PartRow) -> tuple[str, ...]:
    """Return for which numbers a part that no position calls for is to stand in, as one note."""
    rows = [row for row in edges.edges_into(asked.id) if row.state != "rejected"]
    parts = catalogue.part_rows(row.asked_id for row in rows)
    named = ((parts[row.asked_id], row.state) for row in rows)
    meant = sorted(f"{part.maker} {part.number} ({state})" for part, state in named)
    if not meant:
        return ()
    return (
        f"{asked.maker} {asked.number} is to stand in for {', '.join(meant)}:"
        " ask for that number to see what else may",
    )


def days_left(ask: InsteadAsk) -> int | None:
    """Return the days until the part is needed, None where no day is named; refuse nonsense."""
    import datetime as dt

    if ask.quantity < 1:
        raise UsageError(
            f"a quantity of {ask.quantity} asks for nothing", hint="give --qty 1 or more"
        )
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
            "position",
            machine.model,
            said=f"no position of {machine.maker} {machine.model} calls for {asked.maker}"
            f" {asked.number}",
            hint=_where_else(machine, asked),
        )
    return tuple(position_rows(row.position_id for row in found))


def _where_else(machine: MachineRow, asked: PartRow) -> str:
    """Return which machines call for the part, and the positions of the one that does not."""
    rows = positions_calling_for([asked.id])
    calling = ", ".join(f"{row.machine} {row.demand.position}" for row in rows) or "no machine here"
    has = ", ".join(row.demand.position for row in positions_of(machine.id)) or "no position"
    return (
        f"called for by: {calling}; {machine.model} has: {has}; name one of these with --position,"
        " or leave --machine out"
    )


def key_of_choice(choice: Choice) -> tuple[str, str]:
    """Order by maker and number, so that the order of what is stored plays no part."""
    return choice.part.maker, choice.part.number


def candidate_of(
    choice: Choice, ask: InsteadAsk, positions: Sequence[PositionRow], adapters: Adapters
) -> CandidateAnswer:
    """Return a choice as an answer: its offers landed, and what closes its gap."""
    part, weighed = choice.part, choice.weighed
    offers = _offers(choice, ask)
    return CandidateAnswer(
        maker=part.maker,
        number=part.number,
        description=part.description,
        verdict=weighed.verdict,
        checks=weighed.checks,
        conditions=weighed.conditions,
        missing=weighed.missing,
        extra=weighed.extra,
        path=choice.path,
        offers=offers,
        grade=choice.grade.grade if choice.grade else "",
        gives_up=_gives_up(choice, offers),
        shelf=choice.shelf,
        notes=adapters.closing(choice.facts, positions, weighed.checks),
    )


def _gives_up(choice: Choice, offers: Sequence[OfferAnswer]) -> tuple[str, ...]:
    """Return in words what the shop gives up against the part that is called for."""
    given = [f"without {item}" for item in choice.weighed.missing]
    given += [
        condition
        for condition in choice.weighed.conditions
        if not any(item in condition for item in choice.weighed.missing)
    ]
    nowhere = () if offers or choice.shelf else ("no supplier offers it today",)
    return tuple(dict.fromkeys(given)) + nowhere


def _offers(choice: Choice, ask: InsteadAsk) -> tuple[OfferAnswer, ...]:
    days = days_left(ask)
    found = offer_answers(choice.part, choice.offers, ask.quantity, ask.as_of)
    return tuple(each for each in found if days is None or _arrives(each, days))


def _arrives(offer: OfferAnswer, days: int) -> bool:
    # An unknown lead time does not show that it comes in time.
    return offer.lead_days is not None and offer.lead_days <= days


def _best_first(
    candidate: CandidateAnswer, choice: Choice, ask: InsteadAsk
) -> tuple[int, int, bool, str, int, int, str, str]:
    """Order: verdict, evidence of the way, to be had, grade, days until it is here, landed cost."""
    usable = [
        each for each in candidate.offers if each.landed_minor is not None and each.grade != BARRED
    ]
    # What lies on our own shelf is here today and is paid for.
    is_here = sum(lot.units for lot in choice.shelf) >= ask.quantity
    soonest = min((NEVER if o.lead_days is None else o.lead_days for o in usable), default=NEVER)
    cheapest = min((o.landed_minor or 0 for o in usable), default=0)
    return (
        VERDICT_RANK[candidate.verdict],
        EVIDENCE_RANK[weakest_evidence(choice.edges)],
        not (usable or is_here),
        candidate.grade or UNGRADED,
        0 if is_here else soonest,
        0 if is_here else cheapest,
        candidate.maker,
        candidate.number,
    )


def _no_candidate(candidates: Sequence[object]) -> tuple[str, ...]:
    if candidates:
        return ()
    return (
        "nothing here is known to stand in for it: read price lists, or add what the maker's "
        "documents say with partsdb part accept",
    )


def where_in_words(row: PositionRow) -> str:
    """Return a position with its machine and working pressure."""
    highest = highest_demand(row.demand)
    pressure = f", {highest.as_written}" if highest else ""
    return f"{row.machine_maker} {row.machine} {row.demand.position}{pressure}"
