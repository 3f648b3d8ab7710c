"""Judges the lines of a read list, each in the positions in which its part would stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from partsdb.jobs.places import Place, Places
from partsdb.jobs.reading_list import ReadLine, ReadList
from partsdb.jobs.weigh import Weighed, grades_of, supplier_grade, weigh
from partsdb.matching.readings import ReadingKind
from partsdb.rules.descriptions import parse
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts, StandsIn
from partsdb.rules.grading import Grade, effective_grade
from partsdb.rules.pressure import Pressure, shown_rating
from partsdb.rules.ratings import working_rating
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import VERDICT_RANK, Check, Outcome, Verdict, worst_verdict
from partsdb.store import catalogue, claims, edges, machines, makers
from partsdb.store.rows import PartRow, PositionRow

# Unit rounding between psi and bar is below this; what differs more is another figure.
_SAME_FIGURE = Fraction(1, 100)
_CANDIDATES_TOLD = 3
_PSI_PER_BAR = Fraction("14.5037738")


@dataclass(frozen=True, slots=True)
class Judged:
    """A line with its part and verdict; `verdict` None where no position of ours is concerned."""

    line: ReadLine
    maker: str = ""
    number: str = ""
    verdict: Verdict | None = None
    checks: tuple[Check, ...] = ()
    role: str = ""
    group: int | None = None
    notes: tuple[str, ...] = ()


class LineJudge:
    """Judges lines one by one; what it looks up of a part, role or position it looks up once."""

    def __init__(self, read: ReadList, machine_ids: Sequence[int] | None) -> None:
        self._read = read
        self._machine_ids = machine_ids
        self._places = Places(machine_ids)
        self._facts: dict[int, PartFacts] = {}
        self._roles: dict[str, tuple[PositionRow, ...]] = {}
        ids = {line.reading.part_id for line in read.lines if line.reading.part_id is not None}
        ids |= {candidate.part_id for line in read.lines for candidate in line.reading.candidates}
        self._parts = catalogue.part_rows(ids)
        self._grades = grades_of(list(self._parts.values()))

    @cached_property
    def _seller(self) -> Grade | None:
        supplier = self._read.supplier
        return supplier_grade(supplier.id, supplier.name) if supplier else None

    def judge(self, line: ReadLine) -> Judged:
        """Return the line with its verdict and every reason."""
        kind = line.reading.kind
        part = self._parts.get(line.reading.part_id or 0)
        if kind is ReadingKind.OFFER and part:
            return self._offer(line, part)
        if kind is ReadingKind.REPLACEMENT and part:
            return self._replacement(line, part)
        if kind is ReadingKind.NEW_PART:
            return self._new_part(line)
        role = parse(line.listed.text.description).role
        return Judged(line, role=role, notes=self._may_be(line))

    def _may_be(self, line: ReadLine) -> tuple[str, ...]:
        """Return in words which parts a line to review may mean, and what speaks against each."""
        if line.reading.kind is not ReadingKind.TO_REVIEW:
            return ()
        said = []
        for candidate in line.reading.candidates[:_CANDIDATES_TOLD]:
            part = self._parts[candidate.part_id]
            against = "; ".join(e.text for e in candidate.evidence if e.weighs != "for")
            said.append(f"may be {part.maker} {part.number}" + (f": {against}" if against else ""))
        return tuple(said)

    def facts(self, part_id: int) -> PartFacts:
        """Return what is known about a part of the catalogue."""
        if part_id not in self._facts:
            self._facts |= claims.part_facts([part_id])
        return self._facts[part_id]

    def _offer(self, line: ReadLine, part: PartRow) -> Judged:
        """Judge the very part: the catalogue's facts, and what the list says against them."""
        known = self.facts(part.id)
        checks = list_against_catalogue(line, known)
        said = _contradicting(line.claims, known)
        facts = replace(known, claims=(*known.claims, *said))
        grade = self._grade(self._grades.get(part.id))
        places = self._places.of(part.id)
        judged = Judged(line, part.maker, part.number, None, tuple(checks), part.role, part.id)
        if not places and not checks:
            return replace(judged, notes=("no serviced machine of ours calls for it",))
        return _with(
            judged, [self._weigh(facts, place, grade) for place in _own_first(places)], checks
        )

    def _replacement(self, line: ReadLine, asked: PartRow) -> Judged:
        """Judge the supplier's own part by what the list and the shop know of it."""
        own, edge = self._own_part(line, asked)
        place = Place(self._places.calling_for(asked.id), asked.id, edge)
        checks = list_against_catalogue(line, self.facts(asked.id), of="the part it replaces")
        judged = Judged(line, asked.maker, asked.number, None, (), asked.role, asked.id)
        return _with(judged, [self._weigh(own, place, self._grade(None))], checks)

    def _own_part(self, line: ReadLine, asked: PartRow) -> tuple[PartFacts, StandsIn]:
        """Return the supplier's part with what is stored of it, and the edge that counts."""
        text, supplier = line.listed.text, self._read.supplier
        maker = text.maker or (supplier.own_brand or supplier.name if supplier else "") or "unnamed"
        number = text.code or text.maker_number
        # What it calls itself counts: a hose that claims to replace a valve kit is still a hose.
        role = parse(text.description).role or asked.role
        stated = PartFacts(maker, number, text.description, role, line.claims, line.contents)
        edge = StandsIn(
            (asked.maker, asked.number),
            (maker, number),
            "proposed",
            EvidenceLevel.SUPPLIERS_WORD,
            source=text.place,
        )
        stored = catalogue.find_parts(number, maker) if makers.find_maker(maker) and number else []
        if len(stored) != 1:
            return stated, edge
        known = self.facts(stored[0].id)
        row = edges.edge_of(asked.id, stored[0].id)
        if row:
            edge = replace(
                edge,
                state=row.state,
                evidence=EvidenceLevel(row.evidence),
                conditions=row.conditions,
                source=row.source,
            )
        edge = replace(edge, fitted=(known.maker, known.number))
        contents = known.contents if line.contents is None else line.contents
        both = dict.fromkeys((*known.claims, *line.claims))
        role = known.role or stated.role
        return replace(known, claims=tuple(both), contents=contents, role=role), edge

    def _new_part(self, line: ReadLine) -> Judged:
        """Judge an unknown part against every position of its role: where it fails is told."""
        text = line.listed.text
        role = parse(text.description).role or parse(text.section).role
        judged = Judged(line, text.maker, text.maker_number or text.code, role=role)
        positions = self._positions_of(role) if role else ()
        if not positions:
            return replace(judged, notes=("no serviced machine of ours has a position for it",))
        facts = PartFacts(
            text.maker, judged.number, text.description, role, line.claims, line.contents
        )
        found = [weigh(facts, [row], grade=self._grade(None)) for row in positions]
        failing = [w for w in found if w.verdict is Verdict.DO_NOT_FIT]
        worst = max(found, key=lambda weighed: VERDICT_RANK[weighed.verdict])
        if len(failing) == len(found):
            return replace(judged, verdict=Verdict.DO_NOT_FIT, checks=worst.checks)
        open_ones = [w for w in found if w.verdict is not Verdict.DO_NOT_FIT]
        where = tuple(
            f"not for {row.machine} {row.demand.position}"
            for row, w in zip(positions, found, strict=True)
            if w in failing
        )
        return replace(
            judged,
            verdict=Verdict.ASK_FIRST,
            notes=where,
            checks=(_UNKNOWN_PART, *open_ones[0].checks),
        )

    def _positions_of(self, role: str) -> tuple[PositionRow, ...]:
        if role not in self._roles:
            self._roles[role] = tuple(machines.positions_by_role([role], self._machine_ids))
        return self._roles[role]

    def _weigh(self, facts: PartFacts, place: Place, grade: Grade | None) -> Weighed:
        edges_to_it = (place.edge,) if place.edge else ()
        original = self.facts(place.called_for_id)
        return weigh(facts, place.positions, original=original, edges=edges_to_it, grade=grade)

    def _grade(self, of_part: Grade | None) -> Grade | None:
        return effective_grade([grade for grade in (self._seller, of_part) if grade])


_UNKNOWN_PART = Check(
    "equivalence",
    Outcome.NOT_SHOWN,
    "a part that nobody here knows yet: it names no number of ours",
    code="EVIDENCE_WEAK",
)


def _own_first(places: Sequence[Place]) -> Sequence[Place]:
    """Return only the positions that call for the very part, where there are any."""
    own = [place for place in places if place.edge is None]
    return own or places


def _with(judged: Judged, weighed: Sequence[Weighed], checks: Sequence[Check]) -> Judged:
    """Return the judged line with the worst of its places and of the list's own checks."""
    verdicts = [each.verdict for each in weighed]
    if any(check.outcome is Outcome.NOT_SHOWN for check in checks):
        verdicts.append(Verdict.ASK_FIRST)
    worst = max(weighed, key=lambda each: VERDICT_RANK[each.verdict], default=None)
    return replace(
        judged, verdict=worst_verdict(verdicts), checks=(*checks, *(worst.checks if worst else ()))
    )


def list_against_catalogue(
    line: ReadLine, known: PartFacts, *, of: str = "the part"
) -> list[Check]:
    """Return checks where the list contradicts what is known: a raised rating, a muddled unit."""
    ours = working_rating(known.claims, role_named(known.role).component_class)
    theirs = working_rating(line.claims, role_named(known.role).component_class)
    checks = [_burst(claim, of) for claim in line.claims if _is_burst(claim)]
    if ours.pressure and theirs.pressure and not theirs.is_derived:
        checks += _ratings_compared(theirs.pressure, ours.pressure, of, ours.evidence)
    if line.twin:
        text = f"the list gives this code twice, with another price at {line.twin}"
        checks.append(Check("line", Outcome.NOT_SHOWN, text, code="DUPLICATE_CODE"))
    return checks


def _is_burst(claim: Claim) -> bool:
    return claim.kind is ClaimKind.RATING and claim.basis == "burst"


def _burst(claim: Claim, of: str) -> Check:
    text = f"the list quotes the burst pressure of {of} ({claim.value}), which is no rating"
    return Check("list rating", Outcome.NOT_SHOWN, text, claim.source, "BURST_ONLY")


def _ratings_compared(theirs: Pressure, ours: Pressure, of: str, evidence: object) -> list[Check]:
    if theirs.gauge <= ours.gauge * (1 + _SAME_FIGURE):
        return _muddled(theirs, ours, of)
    if found := _muddled(theirs, ours, of):
        return found
    text = (
        f"the list says {shown_rating(theirs)}, {evidence} of {of} says {shown_rating(ours)}: "
        "a raised rating needs a document"
    )
    return [Check("list rating", Outcome.NOT_SHOWN, text, code="RAISED_RATING")]


def _muddled(theirs: Pressure, ours: Pressure, of: str) -> list[Check]:
    """Return a check when the figures differ by just the factor between bar and psi."""
    ratio = Fraction(theirs.gauge) / Fraction(ours.gauge)
    near = any(
        abs(ratio / factor - 1) < Fraction(5, 100) for factor in (_PSI_PER_BAR, 1 / _PSI_PER_BAR)
    )
    if not near:
        return []
    text = (
        f"the list says {theirs.as_written}, {of} has {ours.as_written}: bar and psi look muddled"
    )
    return [Check("list rating", Outcome.NOT_SHOWN, text, code="UNIT_MUDDLE")]


def _contradicting(said: Sequence[Claim], known: PartFacts) -> tuple[Claim, ...]:
    """Return the list's claims that say less than is known: the lower figure counts until settled.

    A figure that only repeats the known one in another unit adds nothing.
    """
    component_class = role_named(known.role).component_class
    ours = working_rating(known.claims, component_class)
    if not ours.pressure:
        return tuple(claim for claim in said if claim.kind is ClaimKind.RATING)
    kept = []
    for claim in said:
        theirs = (
            working_rating([claim], component_class) if claim.kind is ClaimKind.RATING else None
        )
        if (
            theirs
            and theirs.pressure
            and theirs.pressure.gauge < ours.pressure.gauge * (1 - _SAME_FIGURE)
        ):
            kept.append(claim)
    return tuple(kept)
