"""The pressure chain of a machine as it is set up: every piece under pressure, weakest first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsdb.errors import UsageError
from partsdb.jobs.confirmations import nominal_of
from partsdb.jobs.named import part_written, the_machine
from partsdb.rules.chain import ChainPiece, judge_chain, piece_of, scale_check
from partsdb.rules.facts import PartFacts
from partsdb.rules.pressure import Pressure, shown_demand, shown_rating
from partsdb.rules.verdict import Check, Outcome, Verdict, verdict_of, worst_verdict
from partsdb.store.claims import part_facts
from partsdb.store.machines import positions_of
from partsdb.store.rows import PartRow, PositionRow


@dataclass(frozen=True, slots=True)
class PieceAnswer:
    """One piece of the chain (position and part) and its check against the machine's pressure."""

    piece: str
    check: Check


@dataclass(frozen=True, slots=True)
class ChainAnswer:
    """A machine's chain: `rating` is the weakest piece's, "" while any piece is unknown.

    `find_out` says of each piece that is not shown what to find out.
    """

    maker: str
    machine: str
    demand: str
    rating: str
    weakest: str
    verdict: Verdict
    text: str
    pieces: tuple[PieceAnswer, ...]
    unknown: tuple[str, ...]
    find_out: tuple[str, ...] = ()


def machine_chain(model: str, maker: str | None, fitted: Sequence[str] = ()) -> ChainAnswer:
    """Return the chain of the machine's positions under pressure, weakest piece first.

    Each number in `fitted` ("Maker|Number" where the number is not clear) takes the place of what
    the positions of its role call for. Raises NotFoundError or AmbiguousError for what is unknown,
    UsageError when no position states a pressure or a fitted part has no place.
    """
    machine = the_machine(model, maker)
    places = [p for p in positions_of(machine.id) if p.demand.pressure]
    if not places:
        raise UsageError(f"no position of {machine.model} states a pressure",
                         hint="add the pressures to machines.csv")  # fmt: skip
    parts = _set_up(places, [part_written(each) for each in fitted])
    facts = part_facts(i for ids in parts.values() for i in ids)
    pieces = {
        f"{place.demand.position}: {_name(facts.get(i))}": facts.get(i, _nothing(place))
        for place in places
        for i in parts[place.position_id] or (0,)
    }
    demanded = max((p.demand.pressure for p in places if p.demand.pressure), key=_gauge)
    judged = judge_chain([_piece(name, part) for name, part in pieces.items()], demanded)
    scales = [
        PieceAnswer(name, check)
        for name, part in pieces.items()
        if (check := scale_check(part, demanded))
    ]
    return ChainAnswer(
        maker=machine.maker,
        machine=machine.model,
        demand=shown_demand(demanded),
        rating=shown_rating(judged.rating) if judged.rating else "",
        weakest=judged.weakest,
        verdict=worst_verdict([judged.verdict, *(verdict_of([each.check]) for each in scales)]),
        text=judged.text,
        pieces=(*(PieceAnswer(name, check) for name, check in judged.checks), *scales),
        unknown=judged.unknown,
        find_out=tuple(
            f"{name}: get its working pressure from the maker, on paper ({check.text})"
            for name, check in judged.checks
            if check.outcome is Outcome.NOT_SHOWN
        ),
    )


def _piece(name: str, part: PartFacts) -> ChainPiece:
    """Return a piece of the chain with what a person has confirmed of its rating."""
    confirmed = bool(part.number) and nominal_of(part) is not None
    return replace(piece_of(name, part), nominal_confirmed=confirmed)


def _gauge(pressure: Pressure) -> int:
    return pressure.pascals


def _set_up(places: Sequence[PositionRow], fitted: Sequence[PartRow]) -> dict[int, tuple[int, ...]]:
    """Return the parts in each position: what is fitted by role, else what is called for."""
    roles = {place.demand.role for place in places}
    for part in fitted:
        if part.role not in roles:
            raise UsageError(
                f"{part.maker} {part.number} is a {part.role or 'part without role'},"
                " and no position under pressure takes one"
            )
    chosen = {part.role: part.id for part in fitted}
    return {
        p.position_id: (chosen[p.demand.role],) if p.demand.role in chosen else p.part_ids
        for p in places
    }


def _name(facts: PartFacts | None) -> str:
    return f"{facts.maker} {facts.number}" if facts else "no part named"


def _nothing(place: PositionRow) -> PartFacts:
    return PartFacts("", "", "", place.demand.role)
