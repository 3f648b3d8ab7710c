"""Receiving goods: a lot of its own for each receipt, how to inspect it, and what it leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsdb.errors import UsageError
from partsdb.jobs.balances import balance_of
from partsdb.jobs.kit_lots import (
    OWN_BENCH,
    AssembleAsk,
    HoldsAsk,
    assemble,
    holds,
    inside_told,
    take_apart,
    why_stopped,
)
from partsdb.jobs.named import the_part, the_supplier
from partsdb.jobs.one_lot import the_lot, touching_grades
from partsdb.jobs.switching import plan_for
from partsdb.rules.counting import counted
from partsdb.rules.inspection import (
    Decision,
    InspectionPlan,
    Measure,
    decide,
    measures,
    oc_curve,
)
from partsdb.rules.shelf import USABLE, Balance, gap_of, offered
from partsdb.store import events, lots
from partsdb.store.rows import Stamp
from partsdb.store.rows_bench import ComponentRow, InspectionRow, LotRow, MovementRow, NewLot

_STATE_AFTER = {Decision.ACCEPT: USABLE, Decision.HOLD: "held", Decision.RETURN: "held"}


@dataclass(frozen=True, slots=True)
class ReceiveAsk:
    """What came: so many units of a part from a supplier, with what was written on it."""

    number: str
    supplier: str
    units: int
    day: str
    maker: str | None = None
    label: str = ""
    order_ref: str = ""
    bin: str = ""
    due: str | None = None
    ordered: int | None = None
    document: str = ""
    document_until: str | None = None


@dataclass(frozen=True, slots=True)
class LotCard:
    """A lot with its plan, the OC curve, what to measure, and everything that happened to it."""

    lot: str
    part: str
    role: str
    supplier: str
    supplier_label: str
    received_at: str
    state: str
    bin: str
    order_ref: str
    document: str
    document_until: str
    balance: Balance
    on_hand: int
    may_be_used: int
    plan: InspectionPlan
    said: str
    curve: tuple[tuple[float, float], ...]
    measure: tuple[Measure, ...]
    inside: tuple[ComponentRow, ...] = ()
    inspections: tuple[InspectionRow, ...] = ()
    movements: tuple[MovementRow, ...] = ()
    notes: tuple[str, ...] = ()


def receive(ask: ReceiveAsk, by: Stamp) -> LotCard:
    """Store a receipt as a held lot and say how many to take and what to measure.

    Raises UsageError for no units, NotFoundError or AmbiguousError for an unknown part or supplier.
    """
    if ask.units < 1 or (ask.ordered is not None and ask.ordered < 1):
        raise UsageError(f"a receipt of {ask.units} is none", hint="give 1 or more units")
    part, supplier = the_part(ask.number, ask.maker), the_supplier(ask.supplier)
    lot_id = lots.add_lot(
        NewLot(
            supplier.id, part.id, ask.units, ask.day, " ".join(ask.label.split()), ask.order_ref,
            ask.bin, ask.due, ask.ordered, ask.document, ask.document_until,
        )
    )  # fmt: skip
    events.record("receive", ("lot", lot_id), {"units": ask.units, "part": part.number}, by=by)
    [row] = lots.lot_rows([lot_id])
    return card_of(row)


def put_together(ask: AssembleAsk, by: Stamp) -> LotCard:
    """Store a lot of kits out of component lots, held until it is inspected; see `assemble`."""
    row, told = assemble(ask, by)
    card = card_of(row)
    return replace(card, notes=(*card.notes, *told))


def taken_apart(label: str, reason: str, by: Stamp) -> LotCard:
    """Put the pieces of a lot of kits back into their lots; see `take_apart`."""
    row, told = take_apart(label, reason, by)
    card = card_of(row)
    return replace(card, notes=(*card.notes, *told))


def state_inside(ask: HoldsAsk, by: Stamp) -> LotCard:
    """Record what a lot of kits holds by its papers; see `holds`."""
    return card_of(holds(ask, by))


def lot_card(label: str) -> LotCard:
    """Return all that is known of a lot; raises NotFoundError for an unknown label."""
    return card_of(the_lot(label))


def lot_list(number: str = "", supplier: str = "", *, state: str = "") -> list[dict[str, object]]:
    """Return every lot, or those of a part, a supplier or in a state, oldest first."""
    part_id = the_part(number).id if number else None
    supplier_id = the_supplier(supplier).id if supplier else None
    found = [
        row
        for row in lots.lots_received(supplier_id=supplier_id)
        if (part_id is None or row.part_id == part_id) and (not state or row.state == state)
    ]
    return [
        {
            "lot": row.label,
            "part": f"{row.maker} {row.number}",
            "supplier": row.supplier,
            "received": row.received_at[:10],
            "state": row.state,
            "units": row.units,
            "on_hand": balance_of(row).on_hand,
            "gap": row.missing or "",
            "bin": row.bin,
        }
        for row in found
    ]


def card_of(row: LotRow) -> LotCard:
    """Return the card of a stored lot."""
    plan, grades = plan_of(row), touching_grades(row)
    done = lots.inspections_of([row.id])
    balance, stopped = balance_of(row), why_stopped(row)
    return LotCard(
        lot=row.label, part=f"{row.maker} {row.number}", role=row.role, supplier=row.supplier,
        supplier_label=row.supplier_label, received_at=row.received_at[:10], state=row.state,
        bin=row.bin, order_ref=row.order_ref, document=row.document,
        document_until=row.document_until or "", balance=balance, on_hand=balance.on_hand,
        may_be_used=0 if stopped else offered(row.state, balance, *grades), plan=plan,
        said=str(plan), inside=inside_told(row.id),
        curve=oc_curve(plan), measure=measures(row.role), inspections=tuple(done),
        movements=tuple(lots.movements_of([row.id])), notes=tuple(_notes(row, balance, stopped)),
    )  # fmt: skip


def _notes(row: LotRow, balance: Balance, stopped: str) -> Sequence[str]:
    said = [str(balance)]
    if stopped:
        said.append(f"nothing of it may be used: {stopped}")
    if not balance.balances:
        missing = counted(abs(balance.gap), "unit is", "units are")
        said.append(f"the lot does not balance: {missing} not accounted for")
    if not row.document and row.supplier != OWN_BENCH:
        said.append("no certificate came with it: ask for one")
    for event in reversed(events.history("lot", row.id)):
        if event.action in ("hold", "bar", "release", "take apart"):
            why = event.detail.get("reason", "")
            said.append(f"{event.action}: {why} ({event.who}, {event.at[:10]})")
    return said


def plan_of(row: LotRow) -> InspectionPlan:
    """Return how to inspect a lot."""
    # A source graded D is inspected whole, however good the maker is.
    return plan_for(row, "D" if "D" in touching_grades(row) else "")


@dataclass(frozen=True, slots=True)
class InspectAsk:
    """The result of an inspection; `found` counts the rejects by what was checked."""

    lot: str
    sampled: int
    rejected: int
    found: dict[str, int]
    note: str = ""


def inspect(ask: InspectAsk, by: Stamp) -> LotCard:
    """Record an inspection and put the lot into the state that it decides.

    Raises UsageError for counts that cannot be, or for a lot that is barred or sent back.
    """
    row = the_lot(ask.lot)
    if row.state not in ("held", USABLE):
        raise UsageError(f"lot {row.label} is {row.state}: it is not inspected again",
                         hint=f"partsdb lot release {row.label!r} --reason ... first")  # fmt: skip
    known = {measure.check for measure in measures(row.role)}
    strays = set(ask.found) - known
    if strays:
        raise UsageError(f"{sorted(strays)[0]!r} is not looked at on a {row.role}",
                         hint=f"there are: {', '.join(sorted(known))}")  # fmt: skip
    plan = plan_of(row)
    decision, why = decide(plan, row.role, sampled=ask.sampled, rejected=ask.rejected)
    lots.add_inspection(
        row.id,
        InspectionRow(
            0, row.id, by.at, by.who, ask.sampled, ask.rejected, ask.note, str(plan), plan.n,
            plan.c, str(decision), ask.found,
        ),
    )  # fmt: skip
    lots.set_state(row.id, _STATE_AFTER[decision])
    events.record("inspect", ("lot", row.id), {"decision": str(decision), "why": why}, by=by)
    return lot_card(ask.lot)


def change_state(labels: Sequence[str], action: str, reason: str, by: Stamp) -> list[LotCard]:
    """Hold, bar or release lots; raises UsageError without a reason.

    A release is a person's word: it is refused for a lot that was never inspected.
    """
    if not reason.strip():
        raise UsageError(f"a lot is not put on {action} without a reason", hint="add --reason")
    rows = [the_lot(label) for label in labels]
    for row in rows:
        if action == "release" and not lots.inspections_of([row.id]):
            raise UsageError(f"lot {row.label} was never inspected",
                             hint=f"partsdb lot inspect {row.label!r} first")  # fmt: skip
        state = {"hold": "held", "bar": "barred", "release": USABLE}[action]
        lots.set_state(row.id, state)
        events.record(action, ("lot", row.id), {"was": row.state, "reason": reason}, by=by)
    return [lot_card(row.label) for row in rows]


def take_out(label: str, kind: str, units: int, reason: str, by: Stamp) -> LotCard:
    """Record units "written off" or "returned"; raises UsageError for more than are on hand."""
    row = the_lot(label)
    balance = balance_of(row)
    if not 1 <= units <= balance.on_hand:
        raise UsageError(f"{units} of lot {row.label} cannot go: {balance.on_hand} are on hand",
                         hint="count the bin: partsdb lot count")  # fmt: skip
    lots.move(row.id, kind, units, reason=reason, by=by)
    events.record(kind, ("lot", row.id), {"units": units, "reason": reason}, by=by)
    if kind == "returned" and units == balance.on_hand and row.state == "held":
        lots.set_state(row.id, "returned")
    return lot_card(label)


def count(label: str, units: int, by: Stamp) -> LotCard:
    """Record what a count of the bin found; the gap against the books is kept and reported."""
    if units < 0:
        raise UsageError(f"a count of {units} cannot be", hint="give 0 or more")
    row = the_lot(label)
    gap = gap_of(balance_of(row), units)
    if gap:
        lots.move(row.id, "missing", gap, reason=f"counted {units}", by=by)
    events.record("count", ("lot", row.id), {"counted": units, "gap": gap}, by=by)
    return lot_card(label)
