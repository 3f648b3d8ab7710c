"""One question about a line, what is at stake with it, and what makes questions alike."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from partsdb.jobs.listed import ListedLine
from partsdb.matching.confidence import evidence_kind
from partsdb.matching.readings import Evidence, Reading
from partsdb.rules.money import Money
from partsdb.rules.numbers import number_identity

_SPECIFIC = re.compile(r"\S*\d\S*")


@dataclass(frozen=True, slots=True)
class Proposal:
    """One part that the line may mean, as it was proposed: evidence as stored."""

    part_id: int
    maker: str
    number: str
    description: str
    evidence: tuple[Evidence, ...]
    is_vetoed: bool


@dataclass(frozen=True, slots=True)
class Question:
    """One line to be decided, with what a wrong answer may do.

    `fields` is what the line says, empty columns left out; `written` the number that it goes by;
    `exposure` the unit price in the shop's own currency times the machines that it may go into.
    """

    line_id: int
    reading_id: int
    place: str
    fields: dict[str, str]
    written: str
    reading: str
    doubts: tuple[str, ...]
    proposals: tuple[Proposal, ...]
    price: str
    holds_pressure: bool
    machines: tuple[str, ...]
    exposure: Money
    pattern: str


@dataclass(frozen=True, slots=True)
class Risk:
    """What is still open: questions, those of pressure parts, machines, and the sum exposed."""

    questions: int
    pressure: int
    machines: int
    exposure: str


def pattern_of(reading: Reading, proposals: Sequence[Proposal], listed: ListedLine) -> str:
    """Return what makes questions alike: the same damage or affix, and the same contradictions."""
    doubt = next((each.text for each in reading.evidence if each.name == "doubt"), "")
    told = [_SPECIFIC.sub("…", doubt), reading.damage or evidence_kind(reading)]
    if proposals:
        first = proposals[0]
        if not reading.damage:
            told.append(_affix(listed.text.maker_number or listed.text.code, first.number))
        told += [each.text for each in first.evidence if each.weighs == "veto"]
    return "; ".join(part for part in told if part)


def _affix(written: str, number: str) -> str:
    """Return the signs that the code has before or behind the number, if that is all it has."""
    code, key = number_identity(written), number_identity(number)
    if not key or code == key:
        return ""
    if code.endswith(key):
        return f"prefix {code.removesuffix(key)}"
    return f"suffix {code.removeprefix(key)}" if code.startswith(key) else ""


def risk_of(questions: Iterable[Question]) -> Risk:
    """Return what the questions still leave at risk."""
    left = list(questions)
    total = sum((q.exposure for q in left[1:]), left[0].exposure) if left else None
    return Risk(
        len(left),
        sum(question.holds_pressure for question in left),
        len({name for question in left for name in question.machines}),
        str(total or ""),
    )
