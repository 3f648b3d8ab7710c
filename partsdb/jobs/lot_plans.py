"""How many of a lot to inspect, asked before it comes: for a part and its supplier, or any plan."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.errors import UsageError
from partsdb.jobs.named import the_part, the_supplier
from partsdb.jobs.one_lot import grades_touching
from partsdb.jobs.switching import expected_plan, inspection_policy
from partsdb.rules.inspection import (
    ISO,
    InspectionPlan,
    Measure,
    SeriesPlan,
    measures,
    oc_curve,
    plan_of_series,
    zero_plan,
)
from partsdb.rules.sampling import rate_at_acceptance
from partsdb.rules.switching import Severity

# The points by which plans are compared: what is nearly always, as often as not, seldom accepted.
_POINTS = (0.95, 0.50, 0.10)


@dataclass(frozen=True, slots=True)
class PlanAsk:
    """A lot of `units`: of a part from a supplier, or by a level, AQL and severity, or c = 0."""

    units: int
    part: str = ""
    supplier: str = ""
    level: str = ""
    aql: str = ""
    severity: str = "normal"


@dataclass(frozen=True, slots=True)
class PlanCard:
    """A plan with its OC curve; `points` says at which share of bad pieces it accepts how often."""

    said: str
    why: str
    plan: InspectionPlan
    curve: tuple[tuple[float, float], ...]
    points: tuple[tuple[float, float], ...]
    measure: tuple[Measure, ...] = ()


def plan_card(ask: PlanAsk) -> PlanCard:
    """Return the plan; raises UsageError for a lot below one or words that are no plan's."""
    if ask.units < 1:
        raise UsageError(f"a lot of {ask.units} has nothing to inspect", hint="give 1 or more")
    if ask.part or ask.supplier:
        return _of_part(ask)
    if ask.level or ask.aql:
        return _card(_by_standard(ask), "")
    return _card(zero_plan(ask.units, inspection_policy()), "")


def _of_part(ask: PlanAsk) -> PlanCard:
    if not (ask.part and ask.supplier):
        raise UsageError("a plan follows from the part and who sends it",
                         hint="give both --part and --supplier")  # fmt: skip
    part, seller = the_part(ask.part), the_supplier(ask.supplier)
    grade = "D" if "D" in grades_touching(part, seller.id, seller.name) else ""
    return _card(expected_plan(ask.units, part, seller, grade), part.role)


def _by_standard(ask: PlanAsk) -> InspectionPlan:
    known = [each.value for each in Severity if each is not Severity.DISCONTINUED]
    if ask.severity not in known:
        raise UsageError(f"{ask.severity!r} is no inspection", hint=f"use {', '.join(known)}")
    series = SeriesPlan(ISO, ask.level or "II", ask.aql or "1.0")
    return plan_of_series(ask.units, series, Severity(ask.severity))


def _card(plan: InspectionPlan, role: str) -> PlanCard:
    # Of a plan for the very lot its own curve is exact; these points are those of a series.
    points = (
        tuple((rate_at_acceptance(plan.n, plan.c, chance), chance) for chance in _POINTS)
        if plan.scheme == ISO and not plan.is_every_piece
        else ()
    )
    return PlanCard(
        str(plan), plan.why, plan, oc_curve(plan), points, measures(role) if role else ()
    )
