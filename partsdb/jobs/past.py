"""What was read and decided before, as the matcher wants it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from partsdb.matching.confidence import (
    SETTLED,
    Precision,
    evidence_kind,
    precisions,
    was_right,
)
from partsdb.matching.context import PastDecision
from partsdb.matching.readings import (
    MATCHER_VERSION,
    Candidate,
    Evidence,
    Reading,
    ReadingKind,
)
from partsdb.matching.second_look import is_decided
from partsdb.rules.numbers import number_identity
from partsdb.store import line_history, lists
from partsdb.store.rows_lists import WRONG_MATCH, DecisionRow, ReadingRow

Key = tuple[str, str]
# The reason of a decision about a settled line that was picked to be checked.
CHECKED = "checked"
_NAMED = 5


def reading_of(row: ReadingRow) -> Reading:
    """Return a stored reading as the matcher made it."""
    told = row.evidence[0] if row.evidence else {"evidence": [], "candidates": []}
    return Reading(
        ReadingKind(row.kind),
        row.part_id,
        row.confidence,
        tuple(Evidence(**each) for each in told["evidence"]),
        tuple(_candidate(each) for each in told["candidates"]),
        row.damage,
    )


def _candidate(data: Mapping[str, Any]) -> Candidate:
    return Candidate(
        data["part_id"], data["score"], tuple(Evidence(**each) for each in data["evidence"])
    )


def past_decisions(supplier_id: int) -> dict[Key, PastDecision]:
    """Return what people decided about a supplier's lines; the newest of a line counts."""
    return {
        (number_identity(row.code), row.said): PastDecision(ReadingKind(row.kind), row.part_id)
        for row in lists.decisions(supplier_id)
        if row.kind != WRONG_MATCH
    }


def wrong_matches(supplier_id: int) -> dict[str, frozenset[int]]:
    """Return by code (or by what a line without one says) which parts it is not."""
    found: dict[str, set[int]] = {}
    for row in lists.decisions(supplier_id):
        if row.kind == WRONG_MATCH and row.part_id is not None:
            found.setdefault(number_identity(row.code) or row.said, set()).add(row.part_id)
    return {key: frozenset(parts) for key, parts in found.items()}


def matcher_record() -> dict[str, Precision]:
    """Return how often the matcher was right here, by kind of evidence."""
    judged: dict[int, tuple[str, bool]] = {}
    for row, decision in line_history.judged_readings():
        reading = reading_of(row)
        is_sample = reading.kind not in SETTLED or decision.reason.startswith(CHECKED)
        if is_sample and not is_decided(reading) and _tells(reading, decision):
            judged[row.id] = (evidence_kind(reading), _is_right(reading, decision))
    return precisions(judged.values())


def _tells(reading: Reading, decision: DecisionRow) -> bool:
    """Say whether the decision is about what the reading took the line for, or proposed first."""
    if decision.kind != WRONG_MATCH:
        return True
    first = reading.candidates[0].part_id if reading.candidates else None
    return decision.part_id in (reading.part_id, first)


def _is_right(reading: Reading, decision: DecisionRow) -> bool:
    if decision.kind == WRONG_MATCH:
        return False
    return was_right(reading, ReadingKind(decision.kind), decision.part_id)


def other_versions() -> tuple[str, ...]:
    """Return a caution when live lists were read by another version of the matcher."""
    batches = line_history.lists_of_other_versions(MATCHER_VERSION)
    if not batches:
        return ()
    named = ", ".join(map(str, batches[:_NAMED])) + (" …" if len(batches) > _NAMED else "")
    which = f"batch {named} was" if len(batches) == 1 else f"batches {named} were"
    return (
        f"{which} read by another version of the matcher:"
        " partsdb pricelist recheck tells what would be read otherwise",
    )
