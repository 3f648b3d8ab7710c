"""The shop's grades: set one with its reason, show what stands and what stood before."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.errors import UsageError
from partsdb.jobs.aged_grades import day_of_answer
from partsdb.jobs.named import the_maker, the_part, the_supplier
from partsdb.jobs.scorecard import records_of
from partsdb.jobs.settings import setting
from partsdb.rules.proposal import is_aged
from partsdb.store import grades
from partsdb.store.rows import GradeRow

if TYPE_CHECKING:
    from partsdb.jobs.catalogue import LoadAnswer


@dataclass(frozen=True, slots=True)
class GradeShown:
    """A grade of a named subject; `note` says when it has aged."""

    subject_kind: str
    subject: str
    grade: str
    reason: str
    evidence: str
    made_by: str
    made_at: str
    note: str = ""


def set_grade(kind: str, subject: str, grade: str, *, reason: str, evidence: str) -> LoadAnswer:
    """Store a grade; raises UsageError without a reason or for an unknown subject or letter.

    `subject` of a part is "Maker|Number", or its number alone where that is clear.
    """
    from partsdb.jobs.catalogue import take

    name = subject
    if kind == "part" and "|" not in subject:
        part = the_part(subject)
        name = f"{part.maker}|{part.number}"
    cells = {"subject_kind": kind, "subject": name, "grade": grade, "reason": reason}
    options = {"reason": "--reason", "evidence": "--evidence"}
    return take("grades", {**cells, "evidence": evidence}, options)


def grades_shown(kind: str = "", subject: str = "") -> list[GradeShown]:
    """Return every subject's grade, or all grades that one subject was ever given."""
    if not kind:
        return [_shown(name, row) for name, row in grades.grade_rows()]
    if kind not in ("supplier", "maker", "part"):
        raise UsageError(f"{kind!r} is not graded", hint="supplier, maker or part")
    if not subject:
        found = grades.grade_rows()
        return [_shown(name, row) for name, row in found if row.subject_kind == kind]
    name, subject_id = _subject(kind, subject)
    return [_shown(name, row) for row in grades.grade_history((kind, subject_id))]


def _subject(kind: str, subject: str) -> tuple[str, int]:
    if kind == "part":
        maker, mark, number = subject.partition("|")
        part = the_part(number, maker) if mark else the_part(subject)
        return f"{part.maker} {part.number}", part.id
    found = the_supplier(subject) if kind == "supplier" else the_maker(subject)
    return found.name, found.id


def _shown(name: str, row: GradeRow) -> GradeShown:
    return GradeShown(row.subject_kind, name, row.grade, row.reason, row.evidence, row.made_by,
                      row.made_at, _aged(row))  # fmt: skip


def _aged(row: GradeRow) -> str:
    """Return in words that neither the grade nor a fitting is young enough for it to count on."""
    months, day = int(setting("grade_months")), day_of_answer()
    given = dt.date.fromisoformat(row.made_at[:10])
    if row.grade in ("D", "barred") or not is_aged(given, day, months):
        return ""
    record = records_of(row.subject_kind, day, row.subject_id).get(row.subject_id, ())
    last = max([given, *(lot.last for lot in record)])
    if not is_aged(last, day, months):
        return ""
    return f"aged: neither graded nor fitted since {last}, confirm it or take it back"
