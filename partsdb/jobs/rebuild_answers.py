"""What `rebuild cost` answers; field names are the JSON contract's."""

from __future__ import annotations

from dataclasses import dataclass, field

from partsdb.jobs.answers import CostStep, Purchase
from partsdb.rules.verdict import Verdict


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
