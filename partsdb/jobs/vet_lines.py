"""Judges the lines of a read list, each in the positions in which its part would stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from partsdb.jobs.barred_lots import barred_lots
from partsdb.jobs.list_ratings import contradicting, list_against_catalogue
from partsdb.jobs.places import Place, Places
from partsdb.jobs.reading_list import ReadLine, ReadList
from partsdb.jobs.vet_demands import alike, own_first, weighed_in_all
from partsdb.jobs.vet_judged import Judged, by_place, is_unrated, judged_in
from partsdb.jobs.vet_review import failing, holds_against_all, newer_note, newer_numbers
from partsdb.jobs.weigh import (
    Weighed,
    failed_here,
    grades_of,
    supplier_grade,
    weigh,
    with_check,
)
from partsdb.matching.readings import ReadingKind
from partsdb.rules.certificates import Aged, check_papers, edge_on_day, on_day
from partsdb.rules.descriptions import parse
from partsdb.rules.facts import EvidenceLevel, PartFacts, StandsIn
from partsdb.rules.grading import Grade, effective_grade
from partsdb.rules.verdict import VERDICT_RANK, Check, Outcome, Verdict
from partsdb.store import catalogue, claims, edges, machines, makers
from partsdb.store.rows import PartRow, PositionRow

_CANDIDATES_TOLD = 3
_WORD = EvidenceLevel.SUPPLIERS_WORD


class LineJudge:
    """Judges lines one by one; what it looks up of a part, role or position it looks up once.

    What a paper shows that had run out by the day `as_of` is not shown any more.
    """

    def __init__(self, read: ReadList, machine_ids: Sequence[int] | None, as_of: str) -> None:
        self._read = read
        self._as_of = as_of
        self._machine_ids = machine_ids
        self._places = Places(machine_ids, as_of)
        self._roles: dict[str, tuple[tuple[PositionRow, ...], ...]] = {}
        ids = {line.reading.part_id for line in read.lines if line.reading.part_id is not None}
        ids |= {
            candidate.part_id
            for line in read.lines
            for candidate in line.reading.candidates[:_CANDIDATES_TOLD]
        }
        self._parts = catalogue.part_rows(ids)
        self._facts = {i: on_day(each, as_of) for i, each in claims.part_facts(self._parts).items()}
        self._places.look_up(self._parts)
        self._grades = grades_of(list(self._parts.values()))
        self._open = failed_here(self._parts)
        self._barred = barred_lots(self._parts)
        self._newer = newer_numbers(self._parts, as_of)

    @cached_property
    def _seller(self) -> Grade | None:
        supplier = self._read.supplier
        return supplier_grade(supplier.id, supplier.name) if supplier else None

    @property
    def seller_grade(self) -> str:
        """The shop's grade of who sent the list, "" where there is none."""
        return self._seller.grade if self._seller else ""

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
        if kind is ReadingKind.TO_REVIEW:
            return self._to_review(line, role)
        return Judged(line, role=role)

    def _to_review(self, line: ReadLine, role: str) -> Judged:
        """Return a line that nobody has identified, with what it says wrong whatever it is."""
        parts = self._told(line)
        fails = [failing(found) for part in parts if (found := self._as_if(line, part))]
        return Judged(
            line,
            role=role or (parts[0].role if parts else ""),
            checks=(*holds_against_all(fails), *self._contradicted(line, role)),
            notes=self._may_be(line),
            may_be=tuple(part.id for part in parts),
        )

    def _told(self, line: ReadLine) -> list[PartRow]:
        """Return the parts that a line without a part of its own may mean, likeliest first."""
        return [self._parts[each.part_id] for each in line.reading.candidates[:_CANDIDATES_TOLD]]

    def _contradicted(self, line: ReadLine, role: str) -> Sequence[Check]:
        """Return what is wrong with the line's own ratings, whatever part of ours it may be."""
        against = [
            list_against_catalogue(line, self.facts(part.id), of="each part that it may be")
            for part in self._told(line)
        ]
        if against:
            return holds_against_all(against)
        return list_against_catalogue(line, PartFacts("", "", "", role), of="the article")

    def _as_if(self, line: ReadLine, part: PartRow) -> tuple[Check, ...]:
        """Return the checks on what the line says, as if it were the part, where it is used."""
        text = line.listed.text
        said = PartFacts(
            part.maker, part.number, text.description, part.role, line.claims, line.contents, _WORD
        )
        positions = self._places.calling_for(part.id)
        return self._weigh(said, Place(positions, part.id), None).checks if positions else ()

    def _may_be(self, line: ReadLine) -> tuple[str, ...]:
        """Return in words which parts a line to review may mean, and what speaks against each."""
        said = []
        for candidate in line.reading.candidates[:_CANDIDATES_TOLD]:
            part = self._parts[candidate.part_id]
            against = "; ".join(e.text for e in candidate.evidence if e.weighs != "for")
            said.append(f"may be {part.maker} {part.number}" + (f": {against}" if against else ""))
        return tuple(said)

    def facts(self, part_id: int) -> PartFacts:
        """Return what is known about a part of the catalogue."""
        return self._aged(part_id).part

    def _aged(self, part_id: int) -> Aged:
        if part_id not in self._facts:
            known = claims.part_facts([part_id])
            self._facts |= {i: on_day(each, self._as_of) for i, each in known.items()}
        return self._facts[part_id]

    def _offer(self, line: ReadLine, part: PartRow) -> Judged:
        """Judge the very part: the catalogue's facts, and what the list says against them."""
        known = self.facts(part.id)
        checks = [*self._failed(part.id), *list_against_catalogue(line, known)]
        said = contradicting(line.claims, known)
        facts = replace(known, claims=(*known.claims, *said))
        grade = self._grade(self._grades.get(part.id))
        places = self._places.of(part.id)
        newer = self._newer.get(part.id, "")
        judged = Judged(
            line, part.maker, part.number, None, tuple(checks), part.role, part.id,
            notes=newer_note(newer), unrated=is_unrated(facts, line), newer=newer,
        )  # fmt: skip
        if not places and not checks:
            told = ("no serviced machine of ours calls for it", *judged.notes)
            return replace(judged, notes=told)
        found = [
            with_check(self._weigh(facts, place, grade, part.id), self._barred.get(part.id))
            for place in own_first(places)
        ]
        return judged_in(judged, found, checks)

    def _replacement(self, line: ReadLine, asked: PartRow) -> Judged:
        """Judge the supplier's own part by what the list and the shop know of it."""
        known = self._stored(line)
        own, edge = self._own_part(line, asked, known)
        place = Place(self._places.calling_for(asked.id), asked.id, edge)
        checks = list_against_catalogue(line, self.facts(asked.id), of="the part it replaces")
        judged = Judged(line, asked.maker, asked.number, None, (), asked.role, asked.id)
        known_id = known.id if known else None
        found = [self._weigh(own, place, self._grade(None), known_id)]
        if known and known.contents_stated == claims.BY_THE_SHOP and line.contents is not None:
            # The list's word for what a kit holds never outweighs what the shop itself states.
            stated = self.facts(known.id)
            ours = replace(
                own, contents=stated.contents, contents_evidence=stated.contents_evidence
            )
            found.append(self._weigh(ours, place, self._grade(None), known_id))
        failed = self._failed(known.id) if known else []
        return judged_in(judged, found, [*failed, *checks])

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
        found = (
            catalogue.parts_numbered(number, maker) if makers.find_maker(maker) and number else []
        )
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
            edge = edge_on_day(edge, self._as_of)
        edge = replace(edge, fitted=(known.maker, known.number))
        if line.contents is not None:
            known = replace(known, contents=line.contents, contents_evidence=_WORD)
        both = dict.fromkeys((*known.claims, *line.claims))
        return replace(known, claims=tuple(both), role=known.role or stated.role), edge

    def _new_part(self, line: ReadLine) -> Judged:
        """Judge an unknown part against every position of its role: where it fails is told."""
        text = line.listed.text
        role = parse(text.description).role or parse(text.section).role
        said = tuple(self._contradicted(line, role))
        judged = Judged(line, text.maker, text.maker_number or text.code, checks=said, role=role)
        demands = self._demands_of(role) if role else ()
        if not demands:
            told = ("no serviced machine of ours has a position for it", *self._may_be(line))
            return replace(judged, notes=told)
        facts = PartFacts(
            text.maker, judged.number, text.description, role, line.claims, line.contents, _WORD
        )
        grade = self._grade(None)
        found = [weighed_in_all(facts, rows, grade, self._as_of) for rows in demands]
        worst = max(found, key=lambda weighed: VERDICT_RANK[weighed.verdict])
        open_ones = [w for w in found if w.verdict is not Verdict.DO_NOT_FIT]
        not_for = tuple(
            place for place, verdict in by_place(found) if verdict is Verdict.DO_NOT_FIT
        )
        if not open_ones:
            return replace(
                judged, verdict=Verdict.DO_NOT_FIT, checks=(*said, *worst.checks), not_for=not_for
            )
        return replace(
            judged,
            verdict=Verdict.ASK_FIRST,
            notes=(*(f"not for {place}" for place in not_for), *self._may_be(line)),
            checks=(_UNKNOWN_PART, *said, *open_ones[0].checks),
            not_for=not_for,
        )

    def _demands_of(self, role: str) -> tuple[tuple[PositionRow, ...], ...]:
        if role not in self._roles:
            self._roles[role] = alike(machines.positions_by_role([role], self._machine_ids))
        return self._roles[role]

    def _weigh(
        self, facts: PartFacts, place: Place, grade: Grade | None, stored: int | None = None
    ) -> Weighed:
        """Weigh the part in a place; `stored` is the id under which papers of it are on file."""
        edges_to_it = (place.edge,) if place.edge else ()
        original = self.facts(place.called_for_id)
        found = weigh(
            facts,
            place.positions,
            original=original,
            edges=edges_to_it,
            grade=grade,
            day=self._as_of,
        )
        expired = self._aged(stored).expired if stored is not None else ()
        return with_check(found, check_papers(expired, found.checks))

    def _grade(self, of_part: Grade | None) -> Grade | None:
        return effective_grade([grade for grade in (self._seller, of_part) if grade])


_UNKNOWN_PART = Check(
    "equivalence",
    Outcome.NOT_SHOWN,
    "a part that nobody here knows yet: it names no number of ours",
    code="EVIDENCE_WEAK",
)
