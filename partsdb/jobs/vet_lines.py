"""Judges the lines of a read list, each in the positions in which its part would stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from partsdb.jobs.list_ratings import contradicting, list_against_catalogue
from partsdb.jobs.places import Place, Places
from partsdb.jobs.reading_list import ReadLine, ReadList
from partsdb.jobs.weigh import Weighed, failed_here, grades_of, supplier_grade, weigh
from partsdb.matching.readings import ReadingKind
from partsdb.rules.descriptions import parse
from partsdb.rules.facts import EvidenceLevel, PartFacts, StandsIn
from partsdb.rules.grading import Grade, effective_grade
from partsdb.rules.verdict import VERDICT_RANK, Check, Outcome, Verdict, worst_verdict
from partsdb.store import catalogue, claims, edges, machines, makers
from partsdb.store.rows import PartRow, PositionRow

_CANDIDATES_TOLD = 3
_WORD = EvidenceLevel.SUPPLIERS_WORD


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
        self._open = failed_here(self._parts)

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
        checks = [*self._failed(part.id), *list_against_catalogue(line, known)]
        said = contradicting(line.claims, known)
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
        known = self._stored(line)
        own, edge = self._own_part(line, asked, known)
        place = Place(self._places.calling_for(asked.id), asked.id, edge)
        checks = list_against_catalogue(line, self.facts(asked.id), of="the part it replaces")
        judged = Judged(line, asked.maker, asked.number, None, (), asked.role, asked.id)
        found = [self._weigh(own, place, self._grade(None))]
        if known and known.contents_stated == claims.BY_THE_SHOP and line.contents is not None:
            # The list's word for what a kit holds never outweighs what the shop itself states.
            stated = self.facts(known.id)
            ours = replace(
                own, contents=stated.contents, contents_evidence=stated.contents_evidence
            )
            found.append(self._weigh(ours, place, self._grade(None)))
        failed = self._failed(known.id) if known else []
        return _with(judged, found, [*failed, *checks])

    def _failed(self, part_id: int) -> list[Check]:
        """Return the check on a part whose pressure boundary failed here, unexplained as yet."""
        found = self._open if part_id in self._parts else failed_here([part_id])
        return [found[part_id]] if part_id in found else []

    def _maker(self, line: ReadLine) -> str:
        text, supplier = line.listed.text, self._read.supplier
        return text.maker or (supplier.own_brand or supplier.name if supplier else "") or "unnamed"

    def _stored(self, line: ReadLine) -> PartRow | None:
        """Return the supplier's own part as it is stored, None where it is not or not clear."""
        maker, number = self._maker(line), line.listed.text.code or line.listed.text.maker_number
        found = catalogue.find_parts(number, maker) if makers.find_maker(maker) and number else []
        return found[0] if len(found) == 1 else None

    def _own_part(
        self, line: ReadLine, asked: PartRow, known_as: PartRow | None
    ) -> tuple[PartFacts, StandsIn]:
        """Return the supplier's part with what is stored of it, and the edge that counts."""
        text, maker = line.listed.text, self._maker(line)
        number = text.code or text.maker_number
        # What it calls itself counts: a hose that claims to replace a valve kit is still a hose.
        role = parse(text.description).role or asked.role
        stated = PartFacts(maker, number, text.description, role, line.claims, line.contents, _WORD)
        edge = StandsIn(
            (asked.maker, asked.number),
            (maker, number),
            "proposed",
            _WORD,
            source=text.place,
        )
        if known_as is None:
            return stated, edge
        known = self.facts(known_as.id)
        row = edges.edge_of(asked.id, known_as.id)
        if row:
            edge = replace(
                edge,
                state=row.state,
                evidence=EvidenceLevel(row.evidence),
                conditions=row.conditions,
                source=row.source,
            )
        edge = replace(edge, fitted=(known.maker, known.number))
        if line.contents is not None:
            known = replace(known, contents=line.contents, contents_evidence=_WORD)
        both = dict.fromkeys((*known.claims, *line.claims))
        return replace(known, claims=tuple(both), role=known.role or stated.role), edge

    def _new_part(self, line: ReadLine) -> Judged:
        """Judge an unknown part against every position of its role: where it fails is told."""
        text = line.listed.text
        role = parse(text.description).role or parse(text.section).role
        judged = Judged(line, text.maker, text.maker_number or text.code, role=role)
        positions = self._positions_of(role) if role else ()
        if not positions:
            return replace(judged, notes=("no serviced machine of ours has a position for it",))
        facts = PartFacts(
            text.maker, judged.number, text.description, role, line.claims, line.contents, _WORD
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
