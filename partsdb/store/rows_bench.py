"""What the bench record gives: lots, movements, inspections, jobs, fittings, comebacks."""

from __future__ import annotations

from typing import NamedTuple


class NewLot(NamedTuple):
    """One receipt to be stored. `supplier_label` is "" when the goods carry none."""

    supplier_id: int
    part_id: int
    units: int
    received_at: str
    supplier_label: str = ""
    order_ref: str = ""
    bin: str = ""
    due_at: str | None = None
    ordered: int | None = None
    document: str = ""
    document_until: str | None = None


class LotRow(NamedTuple):
    """A lot with its counts: `fitted`, `returned` … `built_in` (into kits) are units gone."""

    id: int
    label: str
    supplier_label: str
    supplier_id: int
    supplier: str
    part_id: int
    maker_id: int
    maker: str
    number: str
    role: str
    received_at: str
    units: int
    state: str
    order_ref: str
    bin: str
    due_at: str | None
    ordered: int | None
    document: str
    document_until: str | None
    fitted: int = 0
    returned: int = 0
    written_off: int = 0
    missing: int = 0
    built_in: int = 0
    taken_apart: int = 0


class NewComponent(NamedTuple):
    """A lot inside a lot of kits. `lot_id` None: it never came by itself, `label` names it."""

    part_id: int
    units: int
    lot_id: int | None = None
    label: str = ""
    taken: bool = False
    source: str = ""


class ComponentRow(NamedTuple):
    """What is inside a lot of kits: the part, its lot's label, and the state of that lot here.

    `lot_id` is None and `state` "" for a lot that never came to us by itself; `taken` says that
    our own bench took the units out of the bin.
    """

    kit_lot_id: int
    kit_lot: str
    part_id: int
    maker: str
    number: str
    role: str
    lot_id: int | None
    lot: str
    state: str
    supplier_id: int
    units: int
    taken: bool
    source: str
    at: str


class InspectionRow(NamedTuple):
    """An inspection as recorded; `found` counts the rejects by what was checked."""

    id: int
    lot_id: int
    at: str
    by: str
    sampled: int
    rejected: int
    note: str
    plan: str
    required: int
    allowed: int
    decision: str
    found: dict[str, int]


class FirstInspection(NamedTuple):
    """What the first inspection of a lot came to: the rejects found and how many were permitted."""

    id: int
    role: str
    decision: str
    rejected: int
    allowed: int


class MovementRow(NamedTuple):
    """Units that left a lot, not by being fitted."""

    lot_id: int
    at: str
    by: str
    kind: str
    units: int
    reason: str


class JobRow(NamedTuple):
    """A repair job with its machine, "" where none was named."""

    id: int
    opened_at: str
    machine_id: int | None
    machine: str
    serial: str
    customer_ref: str
    note: str


class FittingRow(NamedTuple):
    """A part that was put in: on which job, from which lot, where."""

    id: int
    job_id: int
    part_id: int
    maker: str
    number: str
    lot_id: int | None
    lot: str
    position: str
    units: int
    at: str
    machine: str = ""
    serial: str = ""
    customer_ref: str = ""
    supplier: str = ""


class ComebackRow(NamedTuple):
    """A failure that came back. `explained` is what was found out later, "" while open."""

    id: int
    fitting_id: int
    at: str
    cause: str
    pressure_boundary: bool
    note: str
    explained: str
