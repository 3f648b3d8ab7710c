"""The answers of the three questions, as plain data; field names are the JSON contract's."""

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
    """One supplier's offer, landed for the quantity asked. `landed_minor` None: `note` says why."""

    supplier: str
    code: str
    landed_minor: int | None
    currency: str
    lead_days: int | None
    stock: str
    units: int = 1
    grade: str = ""
    note: str = ""


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
    """What to buy for one option."""

    maker: str
    number: str
    supplier: str
    packs: int
    units: int


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
    """`instead`: what was asked, in which positions, and the candidates, best first."""

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


@dataclass(frozen=True, slots=True)
class WhyNotAnswer:
    """`instead --why-not`: one part with every check; `is_lead` False: no edge leads to it."""

    asked: PartRef
    positions: tuple[str, ...]
    candidate: CandidateAnswer
    is_lead: bool
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class VetLine:
    """One line of a supplier's list, read and judged. `verdict` is None where nothing is judged.

    `fits` and `not_for` name the positions ("Q33 bypass valve") for which it holds or fails.
    """

    line: int
    place: str
    code: str
    description: str
    reading: str
    maker: str
    number: str
    confidence: float
    verdict: Verdict | None
    checks: tuple[Check, ...] = ()
    notes: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()
    not_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of a bad list, how often, and why it matters."""

    sign: str
    count: int
    text: str
    examples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AskedLine:
    """One question about one line. `maker` and `number` name the article that it is about."""

    line: int
    place: str
    code: str
    description: str
    maker: str
    number: str
    role: str
    replaces: str
    about: str
    question: str
    why: str


@dataclass(frozen=True, slots=True)
class VetAnswer:
    """`vet`: counts by reading and verdict, signs, questions to send back, lines.

    `prices` says how many of the list's prices could be compared, and how they lie.
    """

    file: str
    supplier: str
    machines: tuple[str, ...]
    summary: dict[str, int]
    signs: tuple[Sign, ...]
    questions: tuple[str, ...]
    lines: tuple[VetLine, ...]
    assumptions: tuple[str, ...] = ()
    inspect: tuple[str, ...] = ()
    recommendation: str = ""
    cautions: tuple[str, ...] = ()
    asked: tuple[AskedLine, ...] = ()
    if_answered: str = ""
    prices: str = ""


@dataclass(frozen=True, slots=True)
class RebuildOption:
    """One way to do the rebuild; `total_minor` is always the sum of the steps."""

    name: str
    suppliers: tuple[str, ...]
    total_minor: int
    currency: str
    steps: tuple[CostStep, ...]
    buy: tuple[Purchase, ...]
    verdict: Verdict
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RebuildAnswer:
    """`rebuild cost`: the options, cheapest allowed first, and what was ruled out and why.

    `beyond` costs what a worn block asks for: kit and block, or a new unit; `break_even` says at
    which comeback rate the cheapest way costs what the parts called for do.
    """

    recipe: str
    quantity: int
    options: tuple[RebuildOption, ...]
    ruled_out: tuple[str, ...] = ()
    cautions: tuple[str, ...] = field(default=())
    shelf: tuple[str, ...] = ()
    beyond: tuple[RebuildOption, ...] = ()
    break_even: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One offer that comes or goes, or a row refused: `what`, its place, both prices, and why."""

    what: str
    place: str
    code: str
    was: str
    now: str
    note: str


@dataclass(frozen=True, slots=True)
class BatchAnswer:
    """`pricelist read`: what the file holds, what storing it does or did, and what was assumed.

    `batch` is None after a dry run. `summary` counts readings; `changes` counts offers that are
    new, changed, same or gone against what this supplier offers now; `problems` name rows of
    which no offer was taken, and why. `plan` holds every line that is not the same as before.
    """

    batch: int | None
    file: str
    supplier: str
    is_repeat: bool
    summary: dict[str, int]
    changes: dict[str, int]
    offers: int
    own_parts: int
    problems: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    plan: tuple[PlanLine, ...] = ()
