"""Signs that the prices of the whole list show: safety parts too low, or everything."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from partsdb.jobs.vet_judged import Judged
from partsdb.rules.outliers import CHEAP_RATIO
from partsdb.rules.roles import role_named

# Common practice, no source: how far the price level of safety parts may lie under the rest.
ENOUGH_PRICES = 5
LEVEL_FROM = 20
_OUT_OF_LINE = 0.7


@dataclass(frozen=True, slots=True)
class ListSign:
    """One sign with the lines that show it; `question` is "" where nothing can be asked."""

    sign: str
    why: str
    question: str
    lines: tuple[Judged, ...]


def price_signs(lines: Sequence[Judged], ratios: Sequence[float | None]) -> Iterable[ListSign]:
    """Yield the signs; `ratios` are the lines' prices against the median of what others ask."""
    yield from _safety(lines, ratios)
    yield from _cheap_as_a_whole(lines, ratios)


def _safety(lines: Sequence[Judged], ratios: Sequence[float | None]) -> Iterable[ListSign]:
    """Yield the sign that parts which hold pressure lie lower than the rest, against others."""
    told = [(line, ratio) for line, ratio in zip(lines, ratios, strict=False) if ratio]
    safety = [(line, ratio) for line, ratio in told if role_named(line.role).holds_pressure]
    rest = [ratio for line, ratio in told if not role_named(line.role).holds_pressure]
    if len(safety) < ENOUGH_PRICES or len(rest) < ENOUGH_PRICES:
        return
    theirs, others = median(ratio for _, ratio in safety), median(rest)
    if theirs < _OUT_OF_LINE * others:
        why = (
            f"parts that hold pressure cost {theirs:.2f} times what others ask, the rest of the "
            f"list {others:.2f} times: something is saved where it must not be"
        )
        ask = "Who makes it, and which certificate shows its rating?"
        low = tuple(line for line, ratio in safety if ratio <= theirs)
        yield ListSign("safety parts out of line", why, ask, low)


def _cheap_as_a_whole(
    lines: Sequence[Judged], ratios: Sequence[float | None]
) -> Iterable[ListSign]:
    """Yield the sign that the whole list lies far under what others ask for the same parts."""
    told = [(line, ratio) for line, ratio in zip(lines, ratios, strict=False) if ratio]
    if len(told) < LEVEL_FROM or median(ratio for _, ratio in told) >= CHEAP_RATIO:
        return
    why = (
        f"its prices are {median(ratio for _, ratio in told):.2f} times what others ask for the "
        f"same parts ({len(told)} compared): genuine goods are not to be had at half the price"
    )
    ask = "From whom does he buy them, and with which certificates?"
    yield ListSign("whole list far below the others", why, ask, tuple(line for line, _ in told))
