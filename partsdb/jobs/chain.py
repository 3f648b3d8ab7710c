"""The pressure chain of a machine as it is set up: every piece under pressure, weakest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.errors import UsageError
from partsdb.jobs.adapters import adapter_facts, adapter_for
from partsdb.jobs.confirmations import nominal_of
from partsdb.jobs.leads import as_stands_in
from partsdb.jobs.named import Asked, asked_written, the_machine
from partsdb.jobs.weigh import failed_here, grades_of
from partsdb.rules.cautions import cautions_for
from partsdb.rules.certificates import on_day
from partsdb.rules.chain import ChainPiece, judge_chain, piece_of, scale_check
from partsdb.rules.facts import PartFacts
from partsdb.rules.grading import BARRED, check_grade
from partsdb.rules.judge import Known, judge, pressure_held
from partsdb.rules.pressure import Pressure, shown_demand, shown_rating
from partsdb.rules.pressure_check import asks_for_nominal
from partsdb.rules.ratings import working_rating
from partsdb.rules.situations import situations_of
from partsdb.rules.surges import highest_demand
from partsdb.rules.verdict import Check, Outcome, Verdict, verdict_of
from partsdb.store import catalogue, edges
from partsdb.store.claims import part_facts
from partsdb.store.machines import positions_of
from partsdb.store.rows import EdgeRow, PartRow, PositionRow


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
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def machine_chain(
    model: str, maker: str | None, fitted: Sequence[str] = (), *, as_of: str = ""
) -> ChainAnswer:
    """Return the chain of the machine's positions under pressure, weakest piece first.

    Each number in `fitted` ("Maker|Number" where the number is not clear, "position=number" where
    the position is not) takes the place of what is called for there. Papers that have run out by
    `as_of` (ISO) show nothing. Raises NotFoundError or AmbiguousError for what is unknown,
    UsageError when no position states a pressure or a fitted part has no place.
    """
    machine = the_machine(model, maker)
    places = [p for p in positions_of(machine.id) if highest_demand(p.demand)]
    if not places:
        raise UsageError(f"no position of {machine.model} states a pressure",
                         hint="add the pressures to machines.csv")  # fmt: skip
    demanded = max((h for p in places if (h := highest_demand(p.demand))), key=_gauge)
    named = [_place_named(written, places) for written in fitted]
    links = _set_up(places, named, as_of)
    facts = _facts({i for link in links for i in (link.part_id, *link.place.part_ids)}, as_of)
    judged = judge_chain(
        [piece for link in links for piece in _pieces(link, facts, demanded)], demanded
    )
    more = [answer for link in links for answer in _beside(link, facts, demanded)]
    checks = [*(check for _, check in judged.checks), *(each.check for each in more)]
    return ChainAnswer(
        maker=machine.maker,
        machine=machine.model,
        demand=_reached(demanded),
        rating=shown_rating(judged.rating) if judged.rating else "",
        weakest=judged.weakest,
        verdict=verdict_of(checks),
        text=judged.text,
        pieces=(*(PieceAnswer(name, check) for name, check in judged.checks), *more),
        unknown=judged.unknown,
        find_out=tuple(
            f"{name}: get its working pressure from the maker, on paper ({check.text})"
            for name, check in judged.checks
            if check.outcome is Outcome.NOT_SHOWN
        ),
        cautions=cautions_for(situations_of([p.demand for p in places], checks)),
        notes=tuple(asked.said for _, asked in named if asked.said),
    )


# What the chain says of a piece itself.
_SAID = ("pressure", "pressure adapter", "gauge range")


@dataclass(frozen=True, slots=True)
class _Link:
    """A part in a position of the set-up on a day; `part_id` is 0 where the position names none."""

    place: PositionRow
    part_id: int
    as_of: str

    @property
    def edge(self) -> EdgeRow | None:
        """Return the decision by which the part stands in for what the position calls for."""
        if not self.part_id or self.part_id in self.place.part_ids:
            return None
        found = [edges.edge_of(asked, self.part_id) for asked in self.place.part_ids]
        return min((e for e in found if e), key=lambda e: e.state != "accepted", default=None)


def _facts(ids: Iterable[int], as_of: str) -> dict[int, PartFacts]:
    found = part_facts(i for i in ids if i)
    return {i: on_day(part, as_of).part if as_of else part for i, part in found.items()}


def _pieces(
    link: _Link, facts: Mapping[int, PartFacts], demanded: Pressure
) -> Iterator[ChainPiece]:
    """Yield the part as a piece, judged as it would be for the position, and its adapter."""
    part = facts.get(link.part_id, _nothing(link.place))
    name = _named(link, facts)
    asked = replace(link.place.demand, pressure=demanded, stall=None, overshoot_percent="")
    known = _known(link, facts)
    found = pressure_held(part, asked, **known)
    if found and asks_for_nominal(found.check) and nominal_of(part):
        known["nominal_confirmed"] = True
        found = pressure_held(part, asked, **known)
    if found:
        yield ChainPiece(name, working_rating((), ""), settled=found.check, left=found.rating)
    way = (known["edge"],) if known.get("edge") else ()
    adapter = adapter_for([edge for edge in way if edge])
    if adapter:
        yield piece_of(
            f"{name}, adapter {adapter.maker} {adapter.number}",
            adapter_facts(adapter, link.as_of),
        )


def _known(link: _Link, facts: Mapping[int, PartFacts]) -> Known:
    row = link.edge
    if row is None:
        is_called_for = link.part_id in link.place.part_ids
        return Known(original=facts[link.part_id]) if is_called_for else Known()
    parts = catalogue.part_rows((row.asked_id, row.fitted_id))
    return Known(original=facts[row.asked_id], edge=as_stands_in(row, parts, link.as_of))


def _beside(
    link: _Link, facts: Mapping[int, PartFacts], demanded: Pressure
) -> Iterator[PieceAnswer]:
    """Yield what else speaks against a piece: its scale, a bar, a failure here, and, where it is
    not the part called for, all that `judge` does not find good about it.
    """
    part = facts.get(link.part_id)
    if part is None:
        return
    name, [row] = _named(link, facts), catalogue.part_rows([link.part_id]).values()
    grade = grades_of([row])[row.id]
    found = [scale_check(part, demanded), failed_here([row.id]).get(row.id)]
    found += [check_grade(grade.grade, grade.reason)] if grade and grade.grade == BARRED else []
    if link.part_id not in link.place.part_ids:
        judged = judge(part, link.place.demand, **_known(link, facts))
        found += [
            check for check in judged.checks
            if check.outcome is not Outcome.MEETS and check.check not in _SAID
        ]  # fmt: skip
    yield from (PieceAnswer(name, check) for check in found if check)


def _named(link: _Link, facts: Mapping[int, PartFacts]) -> str:
    part = facts.get(link.part_id)
    said = f"{part.maker} {part.number}" if part else "no part named"
    return f"{link.place.demand.position}: {said}"


def _reached(demanded: Pressure) -> str:
    """Return the highest pressure of the machine, and how it comes to be more than it works at."""
    shown = shown_demand(demanded)
    return f"{shown}, {demanded.as_written}" if "overshoot" in demanded.as_written else shown


def _gauge(pressure: Pressure) -> Fraction:
    return pressure.gauge


def _set_up(
    places: Sequence[PositionRow],
    fitted: Iterable[tuple[PositionRow | None, Asked]],
    as_of: str,
) -> list[_Link]:
    """Return the parts in each position: what is fitted there, else what is called for."""
    chosen: dict[int, tuple[int, ...]] = {}
    for name, asked in fitted:
        for place in [name] if name else _places_for(asked.part, places):
            chosen[place.position_id] = (asked.part.id,)
    return [
        _Link(place, part_id, as_of)
        for place in places
        for part_id in chosen.get(place.position_id, place.part_ids) or (0,)
    ]


def _place_named(written: str, places: Sequence[PositionRow]) -> tuple[PositionRow | None, Asked]:
    """Return the position that "hose=27-2" names, None where it names the part alone, and that."""
    before, mark, number = written.partition("=")
    said = before.strip().casefold()
    found = next((p for p in places if mark and p.demand.position.casefold() == said), None)
    return found, asked_written(number if found else written)


def _places_for(part: PartRow, places: Sequence[PositionRow]) -> list[PositionRow]:
    """Return the positions that the part takes: those that lead to it, else the one of its role.

    A part in a place of which nobody has said that it goes there would hide what is weaker there.
    """
    same_role = [place for place in places if place.demand.role == part.role]
    if not same_role:
        raise UsageError(
            f"{part.maker} {part.number} is a {part.role or 'part without role'},"
            " and no position under pressure takes one"
        )
    meant = [
        place for place in same_role
        if part.id in place.part_ids or _Link(place, part.id, "").edge is not None
    ]  # fmt: skip
    if not meant and len(same_role) > 1:
        names = ", ".join(place.demand.position for place in same_role)
        raise UsageError(
            f"{part.maker} {part.number} may go into several positions: {names}",
            hint=f'say which: --fit "{same_role[0].demand.position}={part.number}"',
        )
    return meant or same_role


def _nothing(place: PositionRow) -> PartFacts:
    return PartFacts("", "", "", place.demand.role)
