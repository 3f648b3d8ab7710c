"""How a received lot is inspected: how many, what to look at, and what the result decides.

Pressure parts, single lots and first lots of a source: no defect permitted (c = 0). Others: ISO
2859-1 single sampling with its switching. Sources: trade handbook 6.1 to 6.3; what to measure per
role: partsdb/tables/inspections.csv. No sample proves a burst strength.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from partsdb.errors import UsageError
from partsdb.rules.roles import role_named
from partsdb.rules.sampling import (
    acceptance,
    clean_sample_of_lot,
    lot_acceptance,
    plan_for_lot,
)
from partsdb.rules.switching import REDUCED_FROM, LotResult, Severity, Switching, switching
from partsdb.tables import by_key, rows

# Handbook 6.3: of ten kits inspect all ten.
EVERY_PIECE_UP_TO = 10
ZERO, ISO, EVERY = "zero acceptance", "ISO 2859-1", "every piece"
_WHOLE_CURVE_UP_TO = 24  # pieces: so few have a point for each number of bad ones
_CURVE_RATES = (0, 1, 2, 3, 5, 8, 10, 15, 20, 30, 40, 50)


class Decision(StrEnum):
    """What becomes of a lot after its inspection."""

    ACCEPT = "accept"
    HOLD = "hold"
    RETURN = "return"


@dataclass(frozen=True, slots=True)
class SeriesPlan:
    """How lots of a series are inspected: the scheme, and for ISO 2859-1 its level and AQL."""

    scheme: str
    level: str = ""
    aql: str = ""


@dataclass(frozen=True, slots=True)
class InspectionPolicy:
    """The shop's own figures.

    A lot of which the share `rate` or more is bad passes with the risk `risk` at most; `plans`
    holds (kind of part, level, AQL) where they are not those of the table; `reduces` lets a good
    record reduce the inspection of what holds no pressure.
    """

    rate: Fraction = Fraction(1, 10)
    risk: Fraction = Fraction(1, 10)
    plans: tuple[tuple[str, str, str], ...] = ()
    reduces: bool = False

    def series_plan(self, kind: str) -> SeriesPlan:
        """Return the plan for a kind of part; what no row names is inspected as strictly as any."""
        row = by_key("inspection_plans", "kind").get(kind) or {"scheme": ZERO}
        found = SeriesPlan(row["scheme"], row.get("level", ""), row.get("aql", ""))
        own = {name: (level, aql) for name, level, aql in self.plans}
        return SeriesPlan(ISO, *own[kind]) if found.scheme == ISO and kind in own else found


@dataclass(frozen=True, slots=True)
class InspectionPlan:
    """Take `n` of the lot; accept it with up to `c` rejects. `why` says where n is from."""

    scheme: str
    lot: int
    n: int
    c: int
    why: str
    severity: Severity = Severity.NORMAL

    @property
    def is_every_piece(self) -> bool:
        """Say whether the sample is the lot."""
        return self.n >= self.lot

    def __str__(self) -> str:
        count = f"all {self.lot}" if self.is_every_piece else f"{self.n} of {self.lot}"
        permitted = "none may fail" if self.c == 0 else f"at most {self.c} may fail"
        return f"inspect {count}, {permitted} ({self.scheme})"


@dataclass(frozen=True, slots=True)
class Measure:
    """One thing to look at or measure, and how."""

    check: str
    how: str


def measures(role: str) -> tuple[Measure, ...]:
    """Return what to look at on a part of that role; what holds for any part comes first."""
    wanted = ("any", role.strip().lower())
    return tuple(
        Measure(row["check"], row["how"])
        for each in wanted
        for row in rows("inspections")
        if row["role"] == each
    )


def inspection_plan(
    lot: int,
    role: str,
    past: Sequence[LotResult],
    *,
    grade: str = "",
    policy: InspectionPolicy | None = None,
    start: Severity = Severity.NORMAL,
) -> InspectionPlan:
    """Return how to inspect a lot of `lot` pieces of a role.

    `past` tells of each earlier lot of this source and class of parts what its first inspection
    came to, oldest first; `grade` is the shop's; `start` is where that record begins. Raises
    UsageError for a lot below one.
    """
    if lot < 1:
        raise UsageError(f"a lot of {lot} has nothing to inspect", hint="give 1 or more units")
    if grade == "D":
        return InspectionPlan(EVERY, lot, lot, 0, "graded D here: every piece is inspected")
    rules = policy or InspectionPolicy()
    series = rules.series_plan(role_named(role).kind)
    if series.scheme == ZERO:
        return _zero(lot, rules, "a part that holds pressure")
    if not past and start is Severity.NORMAL:
        return _zero(lot, rules, "the first lot of this source and kind of part")
    return _iso(lot, series, switching(past, reduces=rules.reduces, start=start))


def zero_plan(lot: int, policy: InspectionPolicy) -> InspectionPlan:
    """Return the plan that permits no reject, for a lot of any part."""
    return _zero(lot, policy, "zero acceptance")


def _zero(lot: int, policy: InspectionPolicy, why: str) -> InspectionPlan:
    if lot <= EVERY_PIECE_UP_TO:
        return InspectionPlan(ZERO, lot, lot, 0, f"{why}: of so few, every piece")
    # Rounded down: one bad piece of eleven is looked for, though it is less than one in ten.
    defective = max(1, int(lot * policy.rate))
    n = clean_sample_of_lot(lot, defective, policy.risk)
    risk = f"{float(policy.risk):.0%}"
    said = f"{why}: a lot with {defective} bad of {lot} passes with a chance of {risk} at most"
    return InspectionPlan(ZERO, lot, n, 0, said)


def _iso(lot: int, series: SeriesPlan, now: Switching) -> InspectionPlan:
    if now.severity is Severity.DISCONTINUED:
        said = "five lots were rejected on tightened inspection: stop buying from this source"
        return InspectionPlan(EVERY, lot, lot, 0, said, now.severity)
    found = plan_of_series(lot, series, now.severity)
    if now.severity is Severity.NORMAL and found.scheme == ISO:
        return replace(found, why=f"{found.why}; switching score {now.score} of {REDUCED_FROM}")
    return found


def plan_of_series(lot: int, series: SeriesPlan, severity: Severity) -> InspectionPlan:
    """Return the plan of ISO 2859-1 for a lot of a series; of one piece there is no sample."""
    if lot < 2:
        return InspectionPlan(EVERY, lot, lot, 0, "one piece has no sample", severity)
    found = plan_for_lot(lot, aql=series.aql, level=series.level, severity=severity)
    said = (
        f"level {series.level}, AQL {series.aql}, {severity} inspection: letter "
        f"{found.plan.letter}, n {found.plan.n}, Ac {found.plan.ac}, Re {found.plan.re}"
    )
    # More pieces than the lot has cannot be inspected; then no reject is let pass either.
    c = 0 if found.plan.n > lot else found.plan.ac
    return InspectionPlan(ISO, lot, found.n, c, said, severity)


def decide(plan: InspectionPlan, role: str, *, sampled: int, rejected: int) -> tuple[Decision, str]:
    """Return what the result decides, with the reason.

    Raises UsageError for counts that cannot be.
    """
    if not (1 <= sampled <= plan.lot and 0 <= rejected <= sampled):
        raise UsageError(
            f"{rejected} rejected of {sampled} inspected of {plan.lot} cannot be",
            hint="count the pieces again",
        )
    if rejected > plan.c:
        return _refused(plan, role, sampled, rejected)
    if plan.severity is Severity.DISCONTINUED:
        return Decision.HOLD, f"{plan.why}; a person decides"
    if sampled < plan.n:
        return Decision.HOLD, f"{sampled} inspected of the {plan.n} that the plan asks for"
    return Decision.ACCEPT, f"{rejected} rejected of {sampled}, {plan.c} permitted"


def _refused(plan: InspectionPlan, role: str, sampled: int, rejected: int) -> tuple[Decision, str]:
    said = f"{rejected} rejected of {sampled}, {plan.c} permitted"
    if sampled == plan.lot and not role_named(role).holds_pressure and rejected < plan.lot:
        # ISO 2859-1, 7.4 (from memory): a lot not accepted may be sorted where that is safe.
        return Decision.HOLD, f"{said}: every piece was seen, so write off the rejects and release"
    return Decision.RETURN, f"{said}: send the lot back"


def oc_curve(plan: InspectionPlan) -> tuple[tuple[float, float], ...]:
    """Return (share of bad pieces, chance that the plan accepts the lot), the OC curve.

    Exact for a plan of the lot itself, binomial for a plan of the ISO series (handbook 6.3).
    """
    if plan.scheme == ISO and not plan.is_every_piece:
        return tuple((p / 100, acceptance(plan.n, plan.c, p / 100)) for p in _CURVE_RATES)
    few = range(plan.lot // 2 + 1) if plan.lot <= _WHOLE_CURVE_UP_TO else ()
    bad = {round(plan.lot * p / 100) for p in _CURVE_RATES} | {0, 1, *few}
    return tuple(
        (d / plan.lot, float(lot_acceptance(plan.lot, d, n=plan.n, c=plan.c))) for d in sorted(bad)
    )
