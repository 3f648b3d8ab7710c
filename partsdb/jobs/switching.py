"""How strictly each supplier's lots are inspected, per class of parts: kept, told, taken up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from partsdb.errors import UsageError
from partsdb.jobs.named import the_part, the_supplier
from partsdb.jobs.settings import setting, share
from partsdb.rules.inspection import Decision, InspectionPlan, InspectionPolicy, inspection_plan
from partsdb.rules.roles import role_named
from partsdb.rules.switching import LotResult, Severity, switching
from partsdb.store import events, lots
from partsdb.store.rows import PartRow, Stamp, SupplierRow
from partsdb.store.rows_bench import FirstInspection, LotRow

_SET = ("wear item", "hardware", "consumable")
_RESUME = "resume"
_EVERY_EVENT = 1_000_000


@dataclass(frozen=True, slots=True)
class SourceRow:
    """Where one supplier stands with one class of parts; `lots` counts first inspections."""

    supplier: str
    part_class: str
    lots: int
    accepted: int
    inspection: str
    score: str


@dataclass(frozen=True, slots=True)
class Source:
    """The record that counts for the next lot: results, oldest first, and where it begins."""

    results: tuple[LotResult, ...]
    start: Severity


def inspection_policy() -> InspectionPolicy:
    """Return how the shop inspects what comes in."""
    plans = [(kind, *setting(f"inspect_{kind.replace(' ', '_')}").split(" ", 1)) for kind in _SET]
    return InspectionPolicy(
        share("inspect_rate"),
        share("inspect_risk"),
        tuple((kind, level, aql) for kind, level, aql in plans),
        setting("inspect_reduced") == "yes",
    )


def plan_for(row: LotRow, grade: str) -> InspectionPlan:
    """Return how to inspect a lot; switching follows from this source's stored inspections."""
    own = lots.inspections_of([row.id])
    source = _source(
        row.supplier_id,
        role_named(row.role).component_class,
        lots.first_inspections(row.supplier_id, before=row.id),
        own[0].id if own else None,
    )
    return _planned(row.units, row.role, source, grade)


def _planned(units: int, role: str, source: Source, grade: str) -> InspectionPlan:
    return inspection_plan(
        units,
        role,
        source.results,
        grade=grade,
        policy=inspection_policy(),
        start=source.start,
    )


def _source(
    supplier_id: int, part_class: str, found: Sequence[FirstInspection], own: int | None = None
) -> Source:
    """Return what counts of a supplier's first inspections for one class of parts.

    `own` is the first inspection of the lot that is meant; what was decided after it counts not.
    """
    mine = [each for each in found if role_named(each.role).component_class == part_class]
    resumed = _resumed_after(supplier_id, part_class, own)
    # What was inspected before buying was taken up again is history (ISO 2859-1, 9.4).
    after = [each for each in mine if each.id > resumed]
    again = resumed >= 0 and len(after) < len(mine)
    return Source(
        tuple(
            LotResult(each.decision == Decision.ACCEPT, each.rejected, each.allowed)
            for each in after
        ),
        Severity.TIGHTENED if again else Severity.NORMAL,
    )


def _resumed_after(supplier_id: int, part_class: str, own: int | None) -> int:
    """Return the last inspection before buying was taken up again, -1 where it never was."""
    for event in events.history("supplier", supplier_id, limit=_EVERY_EVENT):
        if event.action == _RESUME and event.detail.get("part_class") == part_class:
            after = int(event.detail["after"])
            if own is None or after < own:
                return after
    return -1


def expected_plan(units: int, part: PartRow, seller: SupplierRow, grade: str) -> InspectionPlan:
    """Return how a lot of so many would be inspected if this supplier sent it next."""
    part_class = role_named(part.role).component_class
    source = _source(seller.id, part_class, lots.first_inspections(seller.id))
    return _planned(units, part.role, source, grade)


def sources(supplier: str = "") -> list[SourceRow]:
    """Return where every supplier, or one, stands with each class of parts that it sent."""
    wanted = the_supplier(supplier).id if supplier else None
    policy = inspection_policy()
    rows = []
    for supplier_id, name in lots.suppliers_inspected():
        if wanted is not None and supplier_id != wanted:
            continue
        found = lots.first_inspections(supplier_id)
        for part_class in sorted({role_named(each.role).component_class for each in found}):
            rows.append(_row(name, part_class, _source(supplier_id, part_class, found), policy))
    return rows


def _row(name: str, part_class: str, source: Source, policy: InspectionPolicy) -> SourceRow:
    now = switching(source.results, reduces=policy.reduces, start=source.start)
    score = str(now.score) if now.severity is Severity.NORMAL else ""
    good = sum(each.is_accepted for each in source.results)
    return SourceRow(name, part_class, len(source.results), good, str(now.severity), score)


def resume(supplier: str, number: str, reason: str, by: Stamp) -> list[SourceRow]:
    """Take up buying again from a source that was given up: its next lots are tightened.

    A person's word, with the reason (what the supplier has done about it). Raises UsageError
    without one, or for a source that is not given up.
    """
    seller, part = the_supplier(supplier), the_part(number)
    part_class = role_named(part.role).component_class
    if not reason.strip():
        raise UsageError("buying is not taken up again without a reason", hint="add --reason")
    found = lots.first_inspections(seller.id)
    source = _source(seller.id, part_class, found)
    if switching(source.results, start=source.start).severity is not Severity.DISCONTINUED:
        raise UsageError(
            f"{seller.name} is not given up for {part_class}s",
            hint="partsdb lot switching shows where each source stands",
        )
    what = {"part_class": part_class, "after": max(e.id for e in found), "reason": reason.strip()}
    events.record(_RESUME, ("supplier", seller.id), what, by=by)
    return sources(supplier)
