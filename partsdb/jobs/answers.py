"""What `instead` answers, and what the other answers share; field names are the JSON contract's."""

from __future__ import annotations

from dataclasses import dataclass, field

from partsdb.rules.verdict import Check, Verdict


@dataclass(frozen=True, slots=True)
class PartRef:
    """A part by maker and number as printed."""

    maker: str
    number: str
    description: str = ""
    role: str = ""


@dataclass(frozen=True, slots=True)
class OfferAnswer:
    """One supplier's offer, landed for the quantity asked. `landed_minor` None: `note` says why.

    `here_on` is when it would be here, "" when not known; the stock is as `stated_on`; `valid_to`
    is the last day of the price, "" when none is stated (all ISO dates).
    """

    supplier: str
    code: str
    landed_minor: int | None
    currency: str
    lead_days: int | None
    stock: str
    units: int = 1
    grade: str = ""
    note: str = ""
    here_on: str = ""
    stated_on: str = ""
    valid_to: str = ""


@dataclass(frozen=True, slots=True)
class ShelfLot:
    """Units of a lot on our own shelf that may be fitted."""

    lot: str
    units: int
    supplier: str
    received_at: str
    bin: str = ""


@dataclass(frozen=True, slots=True)
class CandidateAnswer:
    """A part that may stand in, with everything that was weighed."""

    maker: str
    number: str
    description: str
    verdict: Verdict
    checks: tuple[Check, ...]
    conditions: tuple[str, ...]
    missing: tuple[str, ...]
    extra: tuple[str, ...]
    path: tuple[str, ...]
    offers: tuple[OfferAnswer, ...]
    grade: str
    gives_up: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    shelf: tuple[ShelfLot, ...] = ()


@dataclass(frozen=True, slots=True)
class CostStep:
    """One line of a cost: the amount in minor units and how it was reached."""

    label: str
    amount_minor: int
    how: str


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy for one option, and the ISO day on which it is here ("" when not known)."""

    maker: str
    number: str
    supplier: str
    packs: int
    units: int
    here_on: str = ""


@dataclass(frozen=True, slots=True)
class ComposedAnswer:
    """A kit put together from loose parts and partial kits; `missing`: why that cannot be done.

    `total_minor` is the sum of the steps; `brings` says which part brings which pieces.
    """

    verdict: Verdict | None = None
    buy: tuple[Purchase, ...] = ()
    brings: tuple[str, ...] = ()
    total_minor: int | None = None
    currency: str = ""
    steps: tuple[CostStep, ...] = ()
    conditions: tuple[str, ...] = ()
    reuse: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    lead_days: int | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class InsteadAnswer:
    """`instead`: what was asked, in which positions, and the candidates, best first.

    `not_shown` counts by verdict the candidates that an answer of only the best leaves out.
    """

    asked: PartRef
    positions: tuple[str, ...]
    asked_offers: tuple[OfferAnswer, ...]
    candidates: tuple[CandidateAnswer, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    bench_notes: tuple[str, ...] = ()
    while_there: tuple[str, ...] = ()
    composed: ComposedAnswer | None = None
    asked_shelf: tuple[ShelfLot, ...] = ()
    not_shown: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WhyNotAnswer:
    """`instead --why-not`: one part with every check; `is_lead` False: no edge leads to it."""

    asked: PartRef
    positions: tuple[str, ...]
    candidate: CandidateAnswer
    is_lead: bool
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
