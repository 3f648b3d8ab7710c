"""The shop's own grades: the most specific one counts, and `barred` anywhere counts most."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.rules.verdict import Check, Outcome

# From the broadest to the most specific subject.
_SPECIFICITY = {"supplier": 0, "maker": 1, "part": 2, "lot": 3}
BARRED = "barred"
# Grades that a record has earned, and that no record any more takes away (handbook 6.4).
AGES = ("A", "B", "C")
_DAYS_A_MONTH = 30.44


@dataclass(frozen=True, slots=True)
class Grade:
    """A grade A, B, C, D or "barred" on a supplier, maker, part or lot, with its reason.

    "" is a grade that has aged: the reason says so, and it counts as none.
    """

    subject_kind: str
    subject: str
    grade: str
    reason: str = ""
    evidence: str = ""


def effective_grade(grades: Iterable[Grade]) -> Grade | None:
    """Return the grade that counts among `grades`, given oldest first; None when there is none.

    Of one subject the latest counts; then `barred` on any subject; then the most specific one that
    has not aged.
    """
    latest = {(grade.subject_kind, grade.subject): grade for grade in grades}
    barred = [grade for grade in latest.values() if grade.grade == BARRED]
    pool = barred or [grade for grade in latest.values() if grade.grade] or list(latest.values())
    return max(pool, key=_rank, default=None)


def _rank(grade: Grade) -> tuple[int, str, str]:
    # Ties (two lots, two suppliers) go to the worse grade: "D" sorts above "A".
    return _SPECIFICITY.get(grade.subject_kind, -1), grade.grade, grade.subject


def check_grade(grade: str, reason: str = "") -> Check:
    """Return what the grade that counts allows: barred fails, D asks for inspection."""
    why = f": {reason}" if reason else ""
    if grade == BARRED:
        return Check("grade", Outcome.FAILS, f"barred here{why}", code="SUPPLIER_BLOCKED")
    if grade == "D":
        condition = "inspect every piece on arrival: graded D here"
        text = f"graded D here{why}"
        return Check("grade", Outcome.MEETS_WITH_CONDITIONS, text, conditions=(condition,))
    text = f"graded {grade} here{why}" if grade else f"not graded here{why}"
    return Check("grade", Outcome.MEETS, text)


def oldest_day(today: dt.date, months: int) -> dt.date:
    """Return the day so many months before `today`; what lies before it has aged."""
    return today - dt.timedelta(days=round(months * _DAYS_A_MONTH))
