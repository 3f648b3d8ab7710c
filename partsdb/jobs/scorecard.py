"""How suppliers and makers have done on this bench, and the grades that the record speaks for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from partsdb.errors import UsageError
from partsdb.jobs.delivery_scores import Scores, gates_of, scores_of
from partsdb.jobs.named import the_maker, the_part, the_supplier
from partsdb.jobs.settings import setting, share
from partsdb.rules.evidence_grade import LotRecord
from partsdb.rules.proposal import GradePolicy, Proposal, Score, Standing, propose
from partsdb.rules.recall import causes
from partsdb.store import bench_record, lots, makers
from partsdb.store.catalogue import part_rows
from partsdb.store.grades import current_grades
from partsdb.store.rows import GradeRow
from partsdb.store.rows_bench import LotRow

KINDS = ("supplier", "maker", "part")


@dataclass(frozen=True, slots=True)
class GradeProposal:
    """A proposal for a named subject, beside what its deliveries and inspections came to."""

    subject_kind: str
    subject: str
    proposal: Proposal
    scores: Scores


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """One line of the scorecard; `rank` follows `clean_low`, the lower bound of clean fittings.

    `clean` counts at most so many fittings of one lot, as the grades do.

    Scores are told with their counts and 95 % intervals; `ppm` is rejects per million received.
    """

    rank: int
    subject: str
    grade: str
    clean_low: float
    clean: Score
    accepted: Score
    on_time: Score
    filled: Score
    documents: Score
    ppm: int | None
    open_failures: int


def policy() -> GradePolicy:
    """Return the shop's own figures."""
    limits = tuple((g, float(share(f"grade_{g.lower()}_below"))) for g in ("A", "B", "C"))
    prior = float(share("grade_prior_failed")), float(share("grade_prior_clean"))
    return GradePolicy(
        limits,
        float(share("grade_confidence")),
        prior,
        int(setting("grade_lot_cap")),
        int(setting("grade_months")),
    )


def proposals(kind: str, subject: str, as_of: str) -> list[GradeProposal]:
    """Return what the record speaks for, of one subject or of all that have a record or a grade.

    Nothing is changed. Raises UsageError for another kind, NotFoundError for an unknown subject.
    """
    if kind and kind not in KINDS:
        raise UsageError(f"{kind!r} is not graded", hint="supplier, maker or part")
    found = []
    for each in (kind,) if kind else ("supplier", "maker"):
        only = _subject_id(each, subject) if subject else None
        found += _proposals(each, only, dt.date.fromisoformat(as_of))
    return found


def _subject_id(kind: str, subject: str) -> int:
    if kind == "part":
        maker, mark, number = subject.partition("|")
        return the_part(number, maker).id if mark else the_part(subject).id
    return the_supplier(subject).id if kind == "supplier" else the_maker(subject).id


def _proposals(kind: str, only: int | None, today: dt.date) -> list[GradeProposal]:
    records, rules = records_of(kind, today, only), policy()
    names = names_of(kind, [*records] if only is None else [only], with_graded=only is None)
    grades = current_grades(kind, names)
    mine = _lots_of(kind, names)
    found = []
    for i, name in sorted(names.items(), key=lambda pair: pair[1]):
        received = mine.get(i, [])
        scores = scores_of(received, today.isoformat())
        standing = _standing(grades.get(i), gates_of(kind, received, scores, today))
        proposed = propose(records.get(i, ()), standing, today, rules)
        found.append(GradeProposal(kind, name, proposed, scores))
    return found


def records_of(
    kind: str, today: dt.date, only: int | None = None
) -> dict[int, tuple[LotRecord, ...]]:
    """Return the record of each subject, lot by lot; a fitting counts after its warranty window."""
    before = today - dt.timedelta(days=int(setting("warranty_days")))
    blameless = [code for code, cause in causes().items() if not cause.blames_part]
    found: dict[int, list[LotRecord]] = {}
    for subject, _, _, counted, failed, last, open_ones in bench_record.lot_records(
        kind, blameless, before.isoformat(), only
    ):
        record = LotRecord(counted, failed, dt.date.fromisoformat(last), open_ones)
        found.setdefault(subject, []).append(record)
    return {subject: tuple(each) for subject, each in found.items()}


def names_of(kind: str, ids: Iterable[int], *, with_graded: bool) -> dict[int, str]:
    """Return the names of those subjects, and of all suppliers or makers that have a grade."""
    if kind == "part":
        return {i: f"{row.maker} {row.number}" for i, row in part_rows(ids).items()}
    wanted = set(ids)
    rows = makers.supplier_rows() if kind == "supplier" else makers.maker_rows()
    known = {row.id: row.name for row in rows}
    if with_graded:
        wanted |= set(current_grades(kind, known))
    return {i: name for i, name in known.items() if i in wanted}


def _standing(row: GradeRow | None, gates: Iterable[str]) -> Standing:
    since = dt.date.fromisoformat(row.made_at[:10]) if row else None
    return Standing(row.grade if row else "", since, tuple(gates))


def _lots_of(kind: str, ids: Iterable[int]) -> dict[int, list[LotRow]]:
    wanted, found = set(ids), dict[int, list[LotRow]]()
    rows = lots.lots_of_parts(wanted) if kind == "part" else lots.lots_received()
    for row in rows:
        subject = {"supplier": row.supplier_id, "maker": row.maker_id, "part": row.part_id}[kind]
        if subject in wanted:
            found.setdefault(subject, []).append(row)
    return found


def scorecard(kind: str, as_of: str) -> list[ScoreRow]:
    """Return suppliers or makers, best proven first; of those without a fitting, by name.

    Ranked by the lower bound of the share of clean fittings: three of three is less than forty of
    forty. Raises UsageError for another kind.
    """
    if kind not in ("supplier", "maker"):
        raise UsageError(f"there is no scorecard of a {kind!r}", hint="supplier or maker")
    today = dt.date.fromisoformat(as_of)
    records = records_of(kind, today)
    known = makers.supplier_rows() if kind == "supplier" else makers.maker_rows()
    received = _lots_of(kind, (row.id for row in known))
    names = {row.id: row.name for row in known if row.id in records or row.id in received}
    grades = current_grades(kind, names)
    rows = [
        _row(name, grades.get(i), records.get(i, ()), received.get(i, []), as_of)
        for i, name in names.items()
    ]
    rows.sort(key=lambda row: (-row.clean_low, -row.clean.due, row.subject))
    return [_ranked(place, row) for place, row in enumerate(rows, start=1)]


def _ranked(place: int, row: ScoreRow) -> ScoreRow:
    return replace(row, rank=place)


def _row(
    name: str, grade: GradeRow | None, record: Sequence[LotRecord], received: Sequence[LotRow],
    as_of: str,
) -> ScoreRow:  # fmt: skip
    cap = int(setting("grade_lot_cap"))
    failed = sum(lot.failed for lot in record)
    counted = sum(max(min(lot.fitted, cap), lot.failed) for lot in record)
    clean = Score(counted - failed, counted)
    shown = scores_of(received, as_of)
    return ScoreRow(
        rank=0, subject=name, grade=grade.grade if grade else "", clean_low=round(clean.low, 4),
        clean=clean, accepted=shown.accepted, on_time=shown.on_time, filled=shown.filled,
        documents=shown.documents, ppm=shown.ppm,
        open_failures=sum(lot.boundary_failures for lot in record),
    )  # fmt: skip
