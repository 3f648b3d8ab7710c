"""How suppliers and makers have done on this bench, and the grades that the record speaks for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.errors import UsageError
from partsdb.jobs.named import the_maker, the_part, the_supplier
from partsdb.jobs.settings import setting, share
from partsdb.rules.evidence_grade import LotRecord, parts_per_million
from partsdb.rules.proposal import GradePolicy, Proposal, Score, Standing, propose
from partsdb.rules.recall import causes
from partsdb.store import bench_record, lots, makers
from partsdb.store.catalogue import part_rows
from partsdb.store.grades import current_grades
from partsdb.store.rows import GradeRow
from partsdb.store.rows_bench import InspectionRow, LotRow

KINDS = ("supplier", "maker", "part")


@dataclass(frozen=True, slots=True)
class GradeProposal:
    """A proposal for a named subject."""

    subject_kind: str
    subject: str
    proposal: Proposal


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
    mine = _lots_of(kind, names) if kind != "part" else {}
    return [
        GradeProposal(
            kind,
            name,
            propose(
                records.get(i, ()), _standing(grades.get(i), mine.get(i, ()), today), today, rules
            ),
        )
        for i, name in sorted(names.items(), key=lambda pair: pair[1])
    ]


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


def _standing(row: GradeRow | None, received: Sequence[LotRow], today: dt.date) -> Standing:
    since = dt.date.fromisoformat(row.made_at[:10]) if row else None
    return Standing(row.grade if row else "", since, tuple(_gates(received, today)))


def _gates(received: Sequence[LotRow], today: dt.date) -> Iterable[str]:
    """Yield what stops a rise whatever the count: an expired certificate, a lot refused last."""
    live = [row for row in received if row.state in ("held", "accepted") and row.fitted < row.units]
    expired = [row.label for row in live if (row.document_until or "9999") < today.isoformat()]
    if expired:
        yield f"the certificate of lot {', '.join(expired)} has expired"
    done = lots.inspections_of(row.id for row in received)
    if done and done[-1].decision == "return":
        label = next(row.label for row in received if row.id == done[-1].lot_id)
        yield f"the lot inspected last ({label}) was refused"


def _lots_of(kind: str, ids: Iterable[int]) -> dict[int, list[LotRow]]:
    wanted, found = set(ids), dict[int, list[LotRow]]()
    for row in lots.lots_received():
        subject = row.supplier_id if kind == "supplier" else row.maker_id
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
    done = lots.inspections_of(row.id for row in received)
    due = [row for row in received if row.due_at]
    ordered = [row for row in received if row.ordered]
    return ScoreRow(
        rank=0, subject=name, grade=grade.grade if grade else "", clean_low=round(clean.low, 4),
        clean=clean, accepted=_accepted(done),
        on_time=Score(sum(r.received_at[:10] <= (r.due_at or "") for r in due), len(due)),
        filled=Score(sum(min(r.units, r.ordered or 0) for r in ordered),
                     sum(r.ordered or 0 for r in ordered)),
        documents=Score(sum(_is_documented(r, as_of) for r in received), len(received)),
        ppm=_ppm(done, received), open_failures=sum(lot.boundary_failures for lot in record),
    )  # fmt: skip


def _accepted(done: Sequence[InspectionRow]) -> Score:
    """Return how many lots were accepted at their first inspection."""
    first: Mapping[int, InspectionRow] = {row.lot_id: row for row in reversed(done)}
    return Score(sum(row.decision == "accept" for row in first.values()), len(first))


def _is_documented(row: LotRow, as_of: str) -> bool:
    return bool(row.document) and (row.document_until or "9999") >= as_of


def _ppm(done: Sequence[InspectionRow], received: Sequence[LotRow]) -> int | None:
    """Return rejects per million of the units in the lots that were inspected, rounded up."""
    seen = {row.lot_id for row in done}
    units = sum(row.units for row in received if row.id in seen)
    rejects: dict[int, int] = {}
    for row in done:  # a lot inspected twice counts its worst result
        rejects[row.lot_id] = max(row.rejected, rejects.get(row.lot_id, 0))
    if not units:
        return None
    exact: Fraction = parts_per_million(sum(rejects.values()), units)
    return -(-exact.numerator // exact.denominator)
