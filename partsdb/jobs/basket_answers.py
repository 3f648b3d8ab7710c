"""The answer to "what do I buy for all of this?", as plain data; field names are the contract's."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.jobs.answers import CostStep
from partsdb.rules.verdict import Verdict


@dataclass(frozen=True, slots=True)
class BasketUse:
    """Units of one part that serve a need; `more_minor`: what the next best would cost more.

    `next_best` is "" where nothing else may serve the need; `here_on` is the ISO day on which it is
    here, "" when that is not known.
    """

    need: str
    jobs: tuple[str, ...]
    maker: str
    number: str
    supplier: str
    units: int
    lead_days: int | None
    verdict: Verdict
    next_best: str = ""
    more_minor: int | None = None
    here_on: str = ""


@dataclass(frozen=True, slots=True)
class BasketPurchase:
    """What to order from whom; `left_over` units go to stock."""

    supplier: str
    code: str
    maker: str
    number: str
    packs: int
    units: int
    left_over: int
    goods_minor: int
    goods_currency: str


@dataclass(frozen=True, slots=True)
class RuleCost:
    """What a rule costs: the basket without it would be so much cheaper."""

    rule: str
    costs_minor: int


@dataclass(frozen=True, slots=True)
class OtherBasket:
    """A simpler way to buy the same, with its total."""

    name: str
    total_minor: int


@dataclass(frozen=True, slots=True)
class BasketAnswer:
    """`basket`: what to buy from whom for all the jobs; `total_minor` is the sum of the steps.

    `proven`: no basket costs less, but for rounding to the coin; else none costs less than
    `bound_minor`. `unserved` are needs for which nobody offers what may be fitted.
    """

    jobs: tuple[str, ...]
    total_minor: int
    currency: str
    proven: bool
    bound_minor: int
    steps: tuple[CostStep, ...]
    buy: tuple[BasketPurchase, ...]
    uses: tuple[BasketUse, ...]
    rules: tuple[RuleCost, ...]
    others: tuple[OtherBasket, ...]
    unserved: tuple[str, ...] = ()
    shelf: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
