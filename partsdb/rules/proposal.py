"""Which grade the bench's record speaks for, with the numbers; a person alone sets it.

Beta-binomial posterior of the comeback rate, thresholds, cap per lot and expiry of the trade
handbook 6.4 (common practice there). A grade rises slowly: the rate must be shown to be low. It
falls at once: one failure is enough when the rate is then more likely above the limit than below;
to D only where the rate is shown to be above the limit of C.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from partsdb.rules.evidence_grade import (
    GRADE_CONFIDENCE,
    GRADE_LIMITS,
    MAX_PER_LOT,
    Interval,
    LotRecord,
    Posterior,
    posterior,
    wilson_interval,
)
from partsdb.rules.grading import BARRED, oldest_day

# Common practice, no source: where the rate is more likely above the limit, the grade is not kept.
_EVEN = 0.5
_ORDER = ("A", "B", "C", "D", BARRED)


@dataclass(frozen=True, slots=True)
class GradePolicy:
    """The shop's figures; `prior` is the Beta(a, b) of the comeback rate before any record."""

    limits: tuple[tuple[str, float], ...] = GRADE_LIMITS
    confidence: float = GRADE_CONFIDENCE
    prior: tuple[float, float] = (1.0, 1.0)
    lot_cap: int = MAX_PER_LOT
    months: int = 24


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands today: the grade ("" for none), since when, and what stops a rise (in words)."""

    grade: str = ""
    since: dt.date | None = None
    gates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the record speaks for. `proposed` is the grade as it stands where nothing changes.

    `wilson_low` is the lower bound of the share of clean fittings, two-sided 95 %; `clean_needed`
    is how many more clean fittings a rise to `next_grade` takes, None where none can rise.
    """

    grade: str
    proposed: str
    counted: int
    fitted: int
    failures: int
    lots: int
    mean: float
    upper_95: float
    wilson_low: float
    chances: tuple[tuple[str, float], ...]
    next_grade: str
    clean_needed: int | None
    is_aged: bool
    reasons: tuple[str, ...]


def propose(
    lots: Sequence[LotRecord], standing: Standing, today: dt.date, policy: GradePolicy | None = None
) -> Proposal:
    """Return what the record of fittings past their warranty window speaks for."""
    rules = policy or GradePolicy()
    record, counted, failures = _counted(lots, rules)
    failing = wilson_interval(failures, counted).low if counted else 0.0
    chances = tuple((grade, record.chance_below(limit)) for grade, limit in rules.limits)
    is_aged = _is_aged(lots, standing, today, rules)
    proposed, reasons = _proposed(lots, standing, dict(chances), (failures, failing), rules)
    next_grade = _above(proposed)
    return Proposal(
        grade=standing.grade, proposed=proposed, counted=counted,
        fitted=sum(lot.fitted for lot in lots), failures=failures, lots=len(lots),
        mean=record.mean, upper_95=record.upper(), chances=chances,
        wilson_low=wilson_interval(counted - failures, counted).low if counted else 0.0,
        next_grade=next_grade, clean_needed=_needed(record, next_grade, rules), is_aged=is_aged,
        reasons=(*reasons, *_more(standing, rules, is_aged)),
    )  # fmt: skip


def _counted(lots: Sequence[LotRecord], rules: GradePolicy) -> tuple[Posterior, int, int]:
    """Return the posterior, the fittings that count, and the failures among them.

    One good lot is one piece of evidence, so only so many of a lot count; every failure does.
    """
    failures = sum(lot.failed for lot in lots)
    counted = sum(max(min(lot.fitted, rules.lot_cap), lot.failed) for lot in lots)
    a, b = rules.prior
    return posterior(failures, counted, a=a, b=b), counted, failures


def _proposed(
    lots: Sequence[LotRecord], standing: Standing, chances: dict[str, float],
    failing: tuple[int, float], rules: GradePolicy,
) -> tuple[str, list[str]]:  # fmt: skip
    """Return the grade and why; `failing` is the count of failures and the least rate they show."""
    open_failures = sum(lot.boundary_failures for lot in lots)
    if open_failures:
        said = (
            f"{open_failures} failed pressure boundaries are not explained: blocked until they are"
        )
        return BARRED, [said.replace("1 failed pressure boundaries are", "1 failed boundary is")]
    if standing.grade == BARRED:
        return BARRED, ["barred here: only a person lifts that"]
    limits = dict(rules.limits)
    now = standing.grade
    failures, least = failing
    if now in limits and failures and chances[now] < _EVEN:
        worst = "D" if least > limits["C"] else "C"
        lower = next((g for g in limits if chances[g] >= _EVEN and _rank(g) > _rank(now)), worst)
        said = f"{failures} failures make a rate below {limits[now]:.0%} unlikely"
        return max(lower, now, key=_rank), [f"{said} ({chances[now]:.0%})"]
    shown = next((g for g in limits if chances[g] >= rules.confidence), "")
    if shown and (not now or _rank(shown) < _rank(now)):
        if standing.gates:
            return now, [f"{shown} is shown, and not proposed: {'; '.join(standing.gates)}"]
        return shown, [f"a rate below {limits[shown]:.0%} is shown ({chances[shown]:.0%} sure)"]
    return now, ["the record speaks for no change"]


def _rank(grade: str) -> int:
    return _ORDER.index(grade) if grade in _ORDER else len(_ORDER)


def _above(grade: str) -> str:
    """Return the next better grade; without one, the first that a record can give."""
    if grade in (BARRED, "A"):
        return ""
    return {"B": "A", "C": "B"}.get(grade, "C")


def _needed(record: Posterior, grade: str, rules: GradePolicy) -> int | None:
    limit = dict(rules.limits).get(grade)
    return None if limit is None else clean_needed(record, limit, rules.confidence)


def clean_needed(record: Posterior, limit: float, confidence: float = GRADE_CONFIDENCE) -> int:
    """Return how many more clean fittings show a rate below `limit`."""

    def is_shown(clean: int) -> bool:
        return Posterior(record.a, record.b + clean).chance_below(limit) >= confidence

    if is_shown(0):
        return 0
    low, high = 0, 1
    while not is_shown(high):
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_shown(middle) else (middle, high)
    return high


def _is_aged(
    lots: Sequence[LotRecord], standing: Standing, today: dt.date, rules: GradePolicy
) -> bool:
    """Say whether neither the grade nor any fitting is younger than so many months."""
    if not standing.grade or standing.grade in ("D", BARRED) or standing.since is None:
        return False
    return is_aged(max([standing.since, *(lot.last for lot in lots)]), today, rules.months)


def is_aged(last: dt.date, today: dt.date, months: int) -> bool:
    """Say whether `last` lies more than so many months before `today`."""
    return last < oldest_day(today, months)


def _more(standing: Standing, rules: GradePolicy, is_aged: bool) -> list[str]:
    said = []
    if is_aged:
        said.append(
            f"graded {standing.grade} on {standing.since}, no fitting within {rules.months} months:"
            " the grade has aged, confirm it or take it back"
        )
    return said + [f"to look at: {gate}" for gate in standing.gates]


@dataclass(frozen=True, slots=True)
class Score:
    """A share with its interval: so many good of so many due (Wilson, two-sided 95 %)."""

    good: int
    due: int

    @property
    def interval(self) -> Interval | None:
        """The 95 % interval, None where nothing was due."""
        return wilson_interval(self.good, self.due) if self.due else None

    @property
    def low(self) -> float:
        """The lower bound by which is ranked, so that few good ones do not outrank many."""
        return wilson_interval(self.good, self.due).low if self.due else 0.0

    def __str__(self) -> str:
        if not self.due:
            return "none recorded"
        return f"{self.good}/{self.due} ({self.interval})"
