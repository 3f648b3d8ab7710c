"""How deliveries and inspections went: on time, filled, accepted, documented; what stops a rise."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.jobs.settings import share
from partsdb.rules.evidence_grade import parts_per_million
from partsdb.rules.proposal import Score
from partsdb.store import lots
from partsdb.store.rows_bench import InspectionRow, LotRow


@dataclass(frozen=True, slots=True)
class Scores:
    """Shares with their counts and 95 % intervals; `ppm` is rejects per million received."""

    accepted: Score
    on_time: Score
    filled: Score
    documents: Score
    ppm: int | None


def scores_of(received: Sequence[LotRow], as_of: str) -> Scores:
    """Return what the lots received came to."""
    done = lots.inspections_of(row.id for row in received)
    due = [row for row in received if row.due_at]
    ordered = [row for row in received if row.ordered]
    return Scores(
        accepted=_accepted(done),
        on_time=Score(sum(r.received_at[:10] <= (r.due_at or "") for r in due), len(due)),
        filled=Score(sum(min(r.units, r.ordered or 0) for r in ordered),
                     sum(r.ordered or 0 for r in ordered)),
        documents=Score(sum(_is_documented(r, as_of) for r in received), len(received)),
        ppm=_ppm(done, received),
    )  # fmt: skip


def gates_of(
    kind: str, received: Sequence[LotRow], scores: Scores, today: dt.date
) -> Iterable[str]:
    """Yield what stops a rise whatever the count.

    An expired certificate, a lot refused last; and of a supplier, deliveries that the record shows
    (95 %) to be late or short more often than the shop allows.
    """
    live = [row for row in received if row.state in ("held", "accepted") and row.fitted < row.units]
    expired = [row.label for row in live if (row.document_until or "9999") < today.isoformat()]
    if expired:
        yield f"the certificate of lot {', '.join(expired)} has expired"
    done = lots.inspections_of(row.id for row in received)
    if done and done[-1].decision == "return":
        label = next(row.label for row in received if row.id == done[-1].lot_id)
        yield f"the lot inspected last ({label}) was refused"
    if kind == "supplier":
        yield from _too_few("deliveries on time", scores.on_time, share("grade_on_time"))
        yield from _too_few("ordered units sent", scores.filled, share("grade_filled"))


def _too_few(what: str, score: Score, least: Fraction) -> Iterable[str]:
    interval = score.interval
    if interval is not None and interval.high < least:
        yield f"{score} {what}, which shows less than {float(least):.0%}"


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
