"""The bench's own record: jobs, what was fitted on them, and what came back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from partsdb.store import sql
from partsdb.store.rows import Stamp
from partsdb.store.rows_bench import ComebackRow, FittingRow, JobRow

_JOB = (
    "SELECT j.id, j.opened_at, j.machine_id, coalesce(mm.name || ' ' || c.model, ''), j.serial,"
    " j.customer_ref, j.note FROM job j LEFT JOIN machine c ON c.id = j.machine_id"
    " LEFT JOIN maker mm ON mm.id = c.maker_id"
)
_FITTING = (
    "SELECT f.id, f.job_id, f.part_id, m.name, p.number, f.lot_id, coalesce(l.label, ''),"
    " coalesce(o.name, ''), f.units, f.at, coalesce(mm.name || ' ' || c.model, ''), j.serial,"
    " j.customer_ref, coalesce(s.name, '') FROM fitting f JOIN job j ON j.id = f.job_id"
    " JOIN part p ON p.id = f.part_id JOIN maker m ON m.id = p.maker_id"
    " LEFT JOIN lot l ON l.id = f.lot_id LEFT JOIN supplier s ON s.id = l.supplier_id"
    " LEFT JOIN position o ON o.id = f.position_id LEFT JOIN machine c ON c.id = j.machine_id"
    " LEFT JOIN maker mm ON mm.id = c.maker_id"
)
_COMEBACK = "SELECT id, fitting_id, at, cause, pressure_boundary, note, explained FROM comeback"


def open_job(
    opened_at: str, machine_id: int | None, *, serial: str, customer_ref: str, note: str
) -> int:
    """Store a job and return its number."""
    return sql.insert(
        "job",
        "opened_at, machine_id, serial, customer_ref, note",
        (opened_at, machine_id, serial, customer_ref, note),
    )


def jobs(job_ids: Iterable[int]) -> list[JobRow]:
    """Return the jobs of those numbers."""
    found = sql.rows_for(_JOB + " WHERE j.id IN ({marks}) ORDER BY j.id", job_ids)
    return [JobRow(*row) for row in found]


def newest_jobs(limit: int = 50) -> list[JobRow]:
    """Return the newest jobs, newest first."""
    return [JobRow(*row) for row in sql.rows(_JOB + " ORDER BY j.id DESC LIMIT ?", (limit,))]


def add_fitting(
    job_id: int, part_id: int, *, lot_id: int | None, place: int | None, units: int, at: str
) -> int:
    """Store that a part was put in (`place` is the position's id) and return the fitting's id."""
    return sql.insert(
        "fitting",
        "job_id, part_id, lot_id, position_id, units, at",
        (job_id, part_id, lot_id, place, units, at),
    )


def fittings(fitting_ids: Iterable[int]) -> list[FittingRow]:
    """Return the fittings of those ids."""
    return _fittings("f.id", fitting_ids)


def fittings_of_jobs(job_ids: Iterable[int]) -> list[FittingRow]:
    """Return what was fitted on those jobs."""
    return _fittings("f.job_id", job_ids)


def fittings_of_lots(lot_ids: Iterable[int]) -> list[FittingRow]:
    """Return what was fitted out of those lots."""
    return _fittings("f.lot_id", lot_ids)


def fittings_of_parts(part_ids: Iterable[int]) -> list[FittingRow]:
    """Return what was fitted of those parts, out of whichever lot."""
    return _fittings("f.part_id", part_ids)


def fittings_without_lot(part_ids: Iterable[int]) -> list[FittingRow]:
    """Return what was fitted of those parts without the lot being named."""
    return _fittings("f.part_id", part_ids, " AND f.lot_id IS NULL")


def _fittings(column: str, ids: Iterable[int], also: str = "") -> list[FittingRow]:
    found = sql.rows_for(f"{_FITTING} WHERE {column} IN ({{marks}}){also} ORDER BY f.id", ids)
    return [FittingRow(*row) for row in found]


def add_comeback(
    fitting_id: int, cause: str, *, pressure_boundary: bool, note: str, by: Stamp
) -> int:
    """Store that a fitting came back and return the comeback's id."""
    return sql.insert(
        "comeback",
        "fitting_id, at, cause, pressure_boundary, note",
        (fitting_id, by.at, cause, int(pressure_boundary), note),
    )


def comeback(comeback_id: int) -> ComebackRow | None:
    """Return one comeback, or None."""
    row = sql.first(f"{_COMEBACK} WHERE id = ?", (comeback_id,))
    return _comeback(row) if row else None


def comebacks_of(fitting_ids: Iterable[int]) -> list[ComebackRow]:
    """Return what came back of those fittings."""
    found = sql.rows_for(_COMEBACK + " WHERE fitting_id IN ({marks}) ORDER BY id", fitting_ids)
    return [_comeback(row) for row in found]


def open_failures(part_ids: Iterable[int]) -> dict[int, tuple[int, str, str]]:
    """Return (comeback, day, cause) of each part whose pressure boundary failed, not yet explained.

    The oldest of a part's open failures counts.
    """
    found = sql.rows_for(
        "SELECT f.part_id, c.id, c.at, c.cause FROM comeback c JOIN fitting f ON f.id ="
        " c.fitting_id WHERE c.pressure_boundary = 1 AND c.explained = ''"
        " AND f.part_id IN ({marks}) ORDER BY c.id DESC",
        part_ids,
    )
    return {part_id: (comeback_id, at[:10], cause) for part_id, comeback_id, at, cause in found}


def is_fitted_since(kind: str, subject_id: int, day: str) -> bool:
    """Say whether anything of a "supplier", "maker" or "part" was fitted on that day or later."""
    mine = _SUBJECTS[kind][1]
    found = sql.first(f"SELECT 1 FROM fitting f WHERE {mine} AND f.at >= ?", (subject_id, day))
    return found is not None


# Kind of subject -> its id in the query, and which fittings are those of one.
_SUBJECTS = {
    "supplier": ("l.supplier_id", "f.lot_id IN (SELECT id FROM lot WHERE supplier_id = ?)"),
    "maker": ("p.maker_id", "f.part_id IN (SELECT id FROM part WHERE maker_id = ?)"),
    "part": ("put.part_id", "f.part_id = ?"),
}


def lot_records(
    kind: str, blameless: Sequence[str], before: str, subject_id: int | None = None
) -> list[tuple[int, int, int | None, int, int, str, int]]:
    """Return (subject, part, lot, counted, failed, last day, open failures) for each lot.

    `kind` is "supplier", "maker" or "part"; a lot of None gathers the fittings of a part that name
    none (no supplier has them). Counted are fittings up to the day `before` and those that failed;
    causes in `blameless` are no failures. Open are failed pressure boundaries not explained.
    """
    subject, mine = _SUBJECTS[kind]
    where = f" WHERE {mine}" if subject_id is not None else ""
    marks = ",".join("?" * len(blameless))
    # A day's times sort before the day with a sign behind every digit and letter.
    end = f"{before}~"
    found = sql.rows(
        f"WITH put AS MATERIALIZED (SELECT f.part_id, f.lot_id, sum(f.at <= ?) AS due,"
        f" max(f.at) AS last FROM fitting f{where} GROUP BY f.part_id, f.lot_id),"
        f" back AS (SELECT fitting_id, max(cause NOT IN ({marks})) AS failed,"
        " max(pressure_boundary = 1 AND explained = '') AS open FROM comeback GROUP BY fitting_id),"
        " bad AS MATERIALIZED (SELECT f.part_id, coalesce(f.lot_id, 0) AS lot,"
        " sum(b.failed) AS failed, sum(b.failed AND f.at > ?) AS early, sum(b.open) AS open"
        " FROM back b JOIN fitting f ON f.id = b.fitting_id GROUP BY 1, 2)"
        f" SELECT {subject}, put.part_id, put.lot_id, due + coalesce(bad.early, 0),"
        " coalesce(bad.failed, 0), substr(last, 1, 10), coalesce(bad.open, 0) FROM put"
        " JOIN part p ON p.id = put.part_id LEFT JOIN lot l ON l.id = put.lot_id"
        " LEFT JOIN bad ON bad.part_id = put.part_id AND bad.lot = coalesce(put.lot_id, 0)"
        f" WHERE {subject} IS NOT NULL ORDER BY 1, 2, 3",
        (end, *((subject_id,) if where else ()), *blameless, end),
    )
    return [(*row,) for row in found]


def explain(comeback_id: int, text: str, *, by: Stamp) -> None:
    """Store what was found out about a comeback."""
    sql.run(
        "UPDATE comeback SET explained = ?, explained_by = ?, explained_at = ? WHERE id = ?",
        (text, by.who, by.at, comeback_id),
    )


def _comeback(row: Sequence[Any]) -> ComebackRow:
    return ComebackRow(*[*row[:4], bool(row[4]), *row[5:]])
