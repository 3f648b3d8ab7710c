"""Looks again at what was settled: at the list as a whole, and at the shop's record of the matcher.

Two lines of one list that settle on one part under different codes, and that contradict each
other, cannot both be right: each is a question. A kind of evidence that was too often wrong here
settles nothing. What a person decided stands.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from partsdb.matching.confidence import SETTLED, calibrated, evidence_kind
from partsdb.matching.context import ListContext, said
from partsdb.matching.facts import LineFacts
from partsdb.matching.readings import Candidate, Evidence, Reading, ReadingKind
from partsdb.matching.traits import contradiction
from partsdb.matching.weighing import NOT_THAT_PART, WRONG
from partsdb.rules.numbers import number_identity

_REVIEW = 0.3
# Of very many lines on one part each is compared with so many others, the first by what they say.
_COMPARED = 60


def held_back(
    facts: Sequence[LineFacts], readings: Sequence[Reading], context: ListContext
) -> list[Reading]:
    """Return the readings, those that cannot stand turned into questions."""
    found = [_by_record(reading, context) for reading in readings]
    for at, why in _contradicted(facts, found).items():
        found[at] = _questioned(found[at], why)
    return found


def is_decided(reading: Reading) -> bool:
    """Say whether a person's word made the reading."""
    return bool(reading.evidence) and reading.evidence[0].name == "decision"


def without(reading: Reading, wrong: Collection[int]) -> Reading:
    """Return a reading after a person said which parts the code is not: they go last."""
    named = [each.part_id for each in reading.candidates if each.part_id in wrong]
    if not named and reading.part_id not in wrong:
        return reading
    told = Evidence(WRONG, "against", NOT_THAT_PART)
    vetoed = (_vetoed(each, wrong) for each in reading.candidates)
    shown = sorted(vetoed, key=lambda each: each.part_id in wrong)
    if reading.part_id in wrong:
        reading = _questioned(reading, NOT_THAT_PART)
    return replace(reading, evidence=(told, *reading.evidence), candidates=tuple(shown))


def _vetoed(candidate: Candidate, wrong: Collection[int]) -> Candidate:
    if candidate.part_id not in wrong or any(e.name == WRONG for e in candidate.evidence):
        return candidate
    number, rest = candidate.evidence[:1], candidate.evidence[1:]
    told = Evidence(WRONG, "veto", NOT_THAT_PART)
    return replace(candidate, evidence=(*number, told, *rest))


def _by_record(reading: Reading, context: ListContext) -> Reading:
    """Return the reading with the record's confidence, or held back when the record doubts it."""
    if not context.record or is_decided(reading):
        return reading
    known = context.record.get(evidence_kind(reading))
    if known and known.is_doubted and reading.kind in SETTLED:
        return _questioned(reading, f"the shop's record doubts such lines: {known.text}")
    return replace(reading, confidence=calibrated(reading, context.record))


def _contradicted(facts: Sequence[LineFacts], readings: Sequence[Reading]) -> dict[int, str]:
    """Return why each offer cannot stand beside another offer of the same part, by its place."""
    by_part: dict[int, list[int]] = defaultdict(list)
    for at, reading in enumerate(readings):
        is_offer = reading.kind is ReadingKind.OFFER and not is_decided(reading)
        if is_offer and reading.part_id is not None:
            by_part[reading.part_id].append(at)
    doubts = {}
    for places in by_part.values():
        if len({number_identity(facts[at].line.code) for at in places}) > 1:
            doubts.update(_doubts_of(facts, places))
    return doubts


def _doubts_of(facts: Sequence[LineFacts], places: Iterable[int]) -> dict[int, str]:
    # In order of what they say, so that the order of the list changes no answer.
    ranked = sorted(places, key=lambda at: (facts[at].line.code, said(facts[at].line)))
    doubts = {}
    for at in ranked:
        for other in ranked[:_COMPARED]:
            if number_identity(facts[at].line.code) == number_identity(facts[other].line.code):
                continue
            if why := contradiction(facts[at], facts[other]):
                code = facts[other].line.code or facts[other].line.description
                doubts[at] = f"{code} of this list settles on the same part: {why}"
                break
    return doubts


def _questioned(reading: Reading, why: str) -> Reading:
    told = (Evidence("doubt", "against", why),)
    return replace(
        reading, kind=ReadingKind.TO_REVIEW, part_id=None, confidence=_REVIEW, evidence=told
    )
