"""The answer to a recall, as plain data."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.rules.shelf import Balance


@dataclass(frozen=True, slots=True)
class TracedLot:
    """A lot with where it came from, where it lies and how it balances.

    `holds` names the recalled lots inside a lot of kits, "" for a lot that is recalled itself.
    """

    lot: str
    part: str
    supplier: str
    supplier_label: str
    order_ref: str
    document: str
    received_at: str
    bin: str
    state: str
    on_hand: int
    balance: str
    gap: int
    forgotten: bool
    holds: str = ""


@dataclass(frozen=True, slots=True)
class TracedMachine:
    """One fitting: the machine, its serial, whose it is, and what was put in where.

    `inside` says what of the recall is inside the kit that was fitted.
    """

    customer_ref: str
    machine: str
    serial: str
    job: int
    fitted_at: str
    position: str
    part: str
    units: int
    lot: str
    came_back: str = ""
    inside: str = ""


@dataclass(frozen=True, slots=True)
class SameEvidence:
    """Something else that rests on the same document, with how much of it is in use."""

    document: str
    part: str
    what: str
    fitted: int


@dataclass(frozen=True, slots=True)
class RecalledPart:
    """A part that is recalled, and the lot labels by which its goods are recognised."""

    part: str
    description: str
    labels: str


@dataclass(frozen=True, slots=True)
class TraceAnswer:
    """The recall: lots, machines that carry them, machines that may, stock, what shares evidence.

    `total` is the balance of the lots recalled, without the kits that hold them, and `on_hand` what
    it leaves. `now` is what whoever has one must do at once; `remedy` and `contact` are as given.
    """

    about: str
    reason: str
    as_of: str
    lots: tuple[TracedLot, ...]
    machines: tuple[TracedMachine, ...]
    may_carry: tuple[TracedMachine, ...]
    customers: tuple[str, ...]
    total: Balance
    on_hand: int
    same_evidence: tuple[SameEvidence, ...]
    to_do: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    parts: tuple[RecalledPart, ...] = ()
    now: tuple[str, ...] = ()
    remedy: str = ""
    contact: str = ""
