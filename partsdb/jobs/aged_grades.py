"""Grades that have aged: without a fitting for so long they count as none until confirmed."""

from __future__ import annotations

import datetime as dt

from partsdb.jobs.settings import setting
from partsdb.jobs.who import today
from partsdb.rules.grading import AGES, oldest_day
from partsdb.store.bench_record import is_fitted_since
from partsdb.store.known import known_on
from partsdb.store.rows import GradeRow


def cutoff() -> str:
    """Return the day (ISO) before which a grade without a fitting since has aged."""
    return oldest_day(day_of_answer(), int(setting("grade_months"))).isoformat()


def day_of_answer() -> dt.date:
    """Return today, or the day as of which the open database is shown."""
    day = known_on()
    return dt.date.fromisoformat(day) if day else today()


def has_aged(row: GradeRow, oldest: str) -> bool:
    """Say whether neither the grade nor any fitting of its subject is as young as `oldest`.

    D and barred never age: what was found wrong stays until a person says otherwise.
    """
    if row.grade not in AGES or row.made_at[:10] >= oldest:
        return False
    return not is_fitted_since(row.subject_kind, row.subject_id, oldest)


def why_none(row: GradeRow) -> str:
    """Return in words that an aged grade counts as none."""
    given = dt.date.fromisoformat(row.made_at[:10])
    return f"the {row.grade} of {given} has aged, nothing of it was fitted since: confirm it"
