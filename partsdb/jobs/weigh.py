"""Weighs one part in every position that is meant: the worst position decides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from partsdb.jobs.adapters import adapter_facts, adapter_for
from partsdb.jobs.aged_grades import cutoff, has_aged, why_none
from partsdb.jobs.confirmations import nominal_of
from partsdb.rules.facts import EvidenceLevel, PartFacts, PositionDemand, StandsIn
from partsdb.rules.grading import BARRED, Grade, effective_grade
from partsdb.rules.judge import Judgement, Known, judge
from partsdb.rules.pressure_check import asks_for_nominal
from partsdb.rules.verdict import GRAVITY, Check, Outcome, Verdict, verdict_of, worst_verdict
from partsdb.store.bench_record import open_failures
from partsdb.store.grades import grades_for_parts, grades_for_suppliers
from partsdb.store.rows import GradeRow, PartGrades, PartRow, PositionRow


@dataclass(frozen=True, slots=True)
class Weighed:
    """What all positions together come to. Each check stands once, with its worst outcome.

    `where` holds the verdict for each position by itself, named "Q33 bypass valve".
    """

    verdict: Verdict
    checks: tuple[Check, ...]
    conditions: tuple[str, ...]
    missing: tuple[str, ...]
    extra: tuple[str, ...]
    where: tuple[tuple[str, Verdict], ...] = ()


def weigh(
    part: PartFacts,
    positions: Sequence[PositionRow],
    *,
    original: PartFacts | None = None,
    edges: tuple[StandsIn, ...] = (),
    grade: Grade | None = None,
    day: str = "",
) -> Weighed:
    """Return the verdict on `part` in all of the positions; of none, `ask first` and why.

    The adapter that the way names joins the chain, as its papers show it on `day` (ISO), and what
    a person has confirmed counts.
    """
    adapter = adapter_for(edges)
    known = Known(
        original=as_called_for(original) if original else None,
        path=edges,
        edge=edges[0] if len(edges) == 1 else None,
        grade=grade.grade if grade else "",
        adapter=adapter_facts(adapter, day) if adapter else None,
    )
    demands = [row.demand for row in positions] or [nowhere(part)]
    found = [(demand, _judged(part, demand, known)) for demand in demands]
    checks = _worst_of_each(found)
    if not positions:
        checks = (Check("position", Outcome.NOT_SHOWN, _NOWHERE, code="POSITION_UNKNOWN"), *checks)
    verdicts = [judged.verdict for _, judged in found]
    weighed = Weighed(
        worst_verdict(verdicts if positions else [*verdicts, Verdict.ASK_FIRST]),
        checks,
        _once(condition for _, judged in found for condition in judged.conditions),
        found[0][1].missing,
        found[0][1].extra,
        tuple((f"{d.machine} {d.position}", j.verdict) for d, j in found if positions),
    )
    return with_check(weighed, _barred_or_failed(adapter) if adapter else None)


def _barred_or_failed(adapter: PartRow) -> Check | None:
    """Return why the adapter that the way needs may not be fitted itself, None where it may."""
    grade = grades_of([adapter])[adapter.id]
    name = f"adapter {adapter.maker} {adapter.number}"
    if grade and grade.grade == BARRED:
        text = f"{name} is barred here: {grade.reason}"
        return Check("adapter grade", Outcome.FAILS, text, grade.evidence, "SUPPLIER_BLOCKED")
    failed = failed_here([adapter.id]).get(adapter.id)
    return (
        replace(failed, check="adapter comeback", text=f"{name}: {failed.text}") if failed else None
    )


def _judged(part: PartFacts, demand: PositionDemand, known: Known) -> Judgement:
    """Judge, and judge again with the nominal rating confirmed where a person has done so."""
    judged = judge(part, demand, **known)
    if not any(asks_for_nominal(check) for check in judged.checks):
        return judged
    said = nominal_of(part)
    if said is None:
        return judged
    agreed = known.copy()
    agreed["nominal_confirmed"] = True
    again = judge(part, demand, **agreed)
    checks = tuple(
        replace(check, text=f"{check.text}; {said.words}") if check.check == "pressure" else check
        for check in again.checks
    )
    return replace(again, checks=checks)


_HEARSAY = (EvidenceLevel.SUPPLIERS_WORD, EvidenceLevel.INFERRED)
_NOWHERE = "no position of a machine here calls for it, so what it must hold is not known"


def nowhere(part: PartFacts) -> PositionDemand:
    """Return a demand that asks nothing, for a part that no position calls for."""
    return PositionDemand(machine="", position="", role=part.role)


def _once(texts: object) -> tuple[str, ...]:
    return tuple(dict.fromkeys(texts))  # type: ignore[call-overload]


def _worst_of_each(found: Sequence[tuple[PositionDemand, Judgement]]) -> tuple[Check, ...]:
    """Return every check once, gravest first; with several positions it says where it was worst."""
    worst: dict[str, tuple[Check, PositionDemand]] = {}
    for demand, judged in found:
        for check in judged.checks:
            kept = worst.get(check.check)
            if kept is None or GRAVITY[check.outcome] > GRAVITY[kept[0].outcome]:
                worst[check.check] = (check, demand)
    several = len({(demand.machine, demand.position) for demand, _ in found}) > 1
    told = [
        _where(check, demand) if several and check.outcome != Outcome.MEETS else check
        for check, demand in worst.values()
    ]
    return tuple(sorted(told, key=lambda check: -GRAVITY[check.outcome]))


def _where(check: Check, demand: PositionDemand) -> Check:
    return replace(check, text=f"{check.text} [{demand.machine} {demand.position}]")


def as_called_for(original: PartFacts) -> PartFacts:
    """Return the part called for without what sellers say of it: their word sets no demand."""
    known = tuple(c for c in original.claims if c.evidence not in _HEARSAY)
    return replace(original, claims=known)


def failed_here(part_ids: Iterable[int]) -> dict[int, Check]:
    """Return a check for each part whose pressure boundary failed here and is not explained yet.

    Whatever else speaks for the part, it is asked about first (trade handbook 6.4).
    """
    return {
        part_id: Check(
            "comeback",
            Outcome.NOT_SHOWN,
            f"a pressure boundary of it failed here on {day} ({cause}), not explained yet",
            f"comeback {comeback_id}",
            "FAILED_HERE",
        )
        for part_id, (comeback_id, day, cause) in open_failures(part_ids).items()
    }


def with_check(weighed: Weighed, check: Check | None) -> Weighed:
    """Return what was weighed with one more check, and its conditions."""
    if check is None:
        return weighed
    checks = sorted((check, *weighed.checks), key=lambda each: -GRAVITY[each.outcome])
    verdict = worst_verdict([weighed.verdict, verdict_of([check])])
    conditions = _once((*weighed.conditions, *check.conditions))
    where = tuple(
        (place, worst_verdict([each, verdict_of([check])])) for place, each in weighed.where
    )
    return replace(
        weighed, verdict=verdict, checks=tuple(checks), conditions=conditions, where=where
    )


def grades_of(parts: Sequence[PartRow]) -> dict[int, Grade | None]:
    """Return for each part the grade that counts among its own and its maker's."""
    stored, oldest = grades_for_parts([part.id for part in parts]), cutoff()
    known = {row: to_grade(row, "", oldest) for each in stored.values() for row in each if row}
    return {
        part.id: effective_grade(_grades(part, stored[part.id], known))
        if part.id in stored
        else None
        for part in parts
    }


def _grades(part: PartRow, stored: PartGrades, known: Mapping[GradeRow, Grade]) -> list[Grade]:
    named = ((stored.maker, part.maker), (stored.part, f"{part.maker} {part.number}"))
    return [replace(known[row], subject=name) for row, name in named if row]


def to_grade(row: GradeRow, subject: str, oldest: str) -> Grade:
    """Return a stored grade as the rules know it; `oldest` is the day before which it has aged."""
    if has_aged(row, oldest):
        return Grade(row.subject_kind, subject, "", why_none(row))
    return Grade(row.subject_kind, subject, row.grade, row.reason, row.evidence)


def supplier_grade(supplier_id: int, name: str) -> Grade | None:
    """Return the supplier's own grade."""
    row = grades_for_suppliers([supplier_id]).get(supplier_id)
    return to_grade(row, name, cutoff()) if row else None
