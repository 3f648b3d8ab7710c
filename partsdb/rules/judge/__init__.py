"""Judges one part in one position: every check, the worst of which is the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Unpack

from partsdb.rules.facts import PartFacts, PositionDemand
from partsdb.rules.judge.case import Case, Known
from partsdb.rules.judge.far_end import far_end_checks
from partsdb.rules.judge.hold import (
    Held,
    adapter_checks,
    gauge_checks,
    held,
    pressure_checks,
    temperature_checks,
)
from partsdb.rules.judge.limits import limit_checks
from partsdb.rules.judge.make import fluid_checks, material_checks
from partsdb.rules.judge.shape import role_check, size_checks, thread_checks
from partsdb.rules.judge.spark import spark_checks
from partsdb.rules.judge.standing import contents_checks, equivalence_check, gaps, grade_checks
from partsdb.rules.seals import HAZARD_SOURCE
from partsdb.rules.verdict import Check, Outcome, Verdict, verdict_of

__all__ = ["Held", "Judgement", "Known", "judge", "pressure_held"]


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the checks of one part in one position come to.

    `conditions` must all be confirmed by a person; `missing` and `extra` are a kit's gaps and
    surplus against the part called for, as "gland ring x1".
    """

    verdict: Verdict
    checks: tuple[Check, ...]
    conditions: tuple[str, ...]
    missing: tuple[str, ...]
    extra: tuple[str, ...]


def judge(part: PartFacts, demand: PositionDemand, **known: Unpack[Known]) -> Judgement:
    """Return whether `part` may be fitted in the position, with every reason.

    `known` may give `original` (the part called for), `edge` or `path` (how this one came to stand
    in; a maker's supersession is an accepted edge on the maker's document), `grade`,
    `nominal_confirmed`, and the `adapter` that the edge's conditions name. What is unknown leaves
    its check `not shown`, which is never a pass.
    """
    case = _case(part, demand, known)
    standing = equivalence_check(case)
    checks = (
        role_check(case),
        *pressure_checks(case, standing),
        *adapter_checks(case),
        *gauge_checks(case),
        *temperature_checks(case),
        *(_as_called_for(case, check) for check in _of_its_make(case)),
        *contents_checks(case),
        standing,
        *limit_checks(case),
        *grade_checks(case),
    )
    missing, extra = gaps(case)
    conditions = tuple(dict.fromkeys(text for check in checks for text in check.conditions))
    return Judgement(verdict_of(checks), checks, conditions, missing, extra)


def pressure_held(part: PartFacts, demand: PositionDemand, **known: Unpack[Known]) -> Held | None:
    """Return how the part holds the pressure of the position, as `judge` sees it, and no more.

    None for a part that holds no pressure. `known` as for `judge`.
    """
    case = _case(part, demand, known)
    return held(case, equivalence_check(case))


def _of_its_make(case: Case) -> list[Check]:
    return [
        *thread_checks(case),
        *far_end_checks(case),
        *size_checks(case),
        *material_checks(case),
        *fluid_checks(case),
        *spark_checks(case),
    ]


def _as_called_for(case: Case, check: Check) -> Check:
    """Let the parts list speak for the very part that it calls for, where nothing else does.

    It never speaks for a rating, nor for a fluid that may be a solvent which explodes with what
    it wets, nor against anything that fails.
    """
    is_hazard = check.code == "HHC_ALUMINIUM" or check.evidence == HAZARD_SOURCE
    if not case.is_very_part or check.outcome != Outcome.NOT_SHOWN or is_hazard:
        return check
    text = f"the very part called for in {case.place}"
    return Check(check.check, Outcome.MEETS, f"{text} ({check.text})", "parts list of the machine")


def _case(part: PartFacts, demand: PositionDemand, known: Known) -> Case:
    edge, path = known.get("edge"), known.get("path", ())
    edges = path if len(path) > 1 or edge is None else (edge,)
    return Case(
        part, demand, known.get("original"), tuple(edges), known.get("grade", ""),
        known.get("nominal_confirmed", False), known.get("adapter"),
    )  # fmt: skip
