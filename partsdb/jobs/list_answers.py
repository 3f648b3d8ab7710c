"""What is answered about a supplier's list; field names are the JSON contract's."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.rules.verdict import Check, Verdict


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
