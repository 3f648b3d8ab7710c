"""The shop's grades of suppliers, makers, parts and lots; the newest of a subject counts."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.store import sql
from partsdb.store.rows import GradeRow, PartGrades, Stamp

_GRADE = "subject_kind, subject_id, grade, reason, evidence, made_by, made_at"


def set_grade(
    subject: tuple[str, int], grade: str, *, reason: str, evidence: str, by: Stamp
) -> int:
    """Store a grade of ("supplier" | "maker" | "part" | "lot", id); older ones stay as history."""
    return sql.insert("grade", _GRADE, (*subject, grade, reason, evidence, by.who, by.at))


def current_grades(kind: str, ids: Iterable[int]) -> dict[int, GradeRow]:
    """Return the newest grade of each subject of that kind that has one."""
    found = sql.rows_for(
        f"SELECT {_GRADE}, max(id) FROM grade WHERE subject_kind = ?"
        " AND subject_id IN ({marks}) GROUP BY subject_id",
        ids,
        (kind,),
    )
    return {row[1]: GradeRow(*row[:7]) for row in found}


def grades_for_parts(part_ids: Iterable[int]) -> dict[int, PartGrades]:
    """Return, for each part, its own grade and its maker's."""
    makers = dict(sql.rows_for("SELECT id, maker_id FROM part WHERE id IN ({marks})", part_ids))
    own = current_grades("part", makers)
    of_maker = current_grades("maker", makers.values())
    return {i: PartGrades(own.get(i), of_maker.get(maker)) for i, maker in makers.items()}


def grades_for_suppliers(supplier_ids: Iterable[int]) -> dict[int, GradeRow]:
    """Return the grade of each supplier that has one."""
    return current_grades("supplier", supplier_ids)


def grade_history(subject: tuple[str, int]) -> list[GradeRow]:
    """Return every grade that a subject was ever given, newest first."""
    found = sql.rows(
        f"SELECT {_GRADE} FROM grade WHERE subject_kind = ? AND subject_id = ? ORDER BY id DESC",
        subject,
    )
    return [GradeRow(*row) for row in found]


def grade_rows() -> list[tuple[str, GradeRow]]:
    """Return (name of the subject, its newest grade) for all graded suppliers, makers and parts."""
    found = sql.rows(
        "SELECT coalesce(s.name, m.name, pm.name || ' ' || p.number, 'lot ' || l.label, '?'),"
        " g.subject_kind, g.subject_id, g.grade, g.reason, g.evidence, g.made_by, g.made_at"
        " FROM grade g"
        " LEFT JOIN supplier s ON g.subject_kind = 'supplier' AND s.id = g.subject_id"
        " LEFT JOIN maker m ON g.subject_kind = 'maker' AND m.id = g.subject_id"
        " LEFT JOIN part p ON g.subject_kind = 'part' AND p.id = g.subject_id"
        " LEFT JOIN maker pm ON pm.id = p.maker_id"
        " LEFT JOIN lot l ON g.subject_kind = 'lot' AND l.id = g.subject_id"
        " WHERE g.id IN (SELECT max(id) FROM grade GROUP BY subject_kind, subject_id)"
        " ORDER BY g.subject_kind, 1"
    )
    return [(row[0], GradeRow(*row[1:])) for row in found]
