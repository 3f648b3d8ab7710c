"""How strictly a source is inspected next, after the lots before: the switching of ISO 2859-1.

9.3.1 to tightened, 9.3.2 back, 9.4 discontinued: trade handbook 6.2. 9.3.3 to reduced by the
switching score and 9.3.4 back: from memory. Reduced inspection is left to the shop: the handbook
calls it unsuitable here, so it is used only where the shop's setting says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

# 9.3.3.2 b): at this score a source may go over to reduced inspection.
REDUCED_FROM = 30
# Acceptance number -> the one of the plan one step tighter with the same sample (table II-A).
_ONE_STEP_TIGHTER = {2: 1, 3: 2, 5: 3, 7: 5, 10: 7, 14: 10, 21: 14}
_CLEAN_POINTS, _POINTS = 3, 2


class Severity(StrEnum):
    """How strictly a source is inspected."""

    REDUCED = "reduced"
    NORMAL = "normal"
    TIGHTENED = "tightened"
    DISCONTINUED = "discontinued"


@dataclass(frozen=True, slots=True)
class LotResult:
    """What became of a lot at its first inspection: so many rejects found, so many permitted."""

    is_accepted: bool
    rejected: int = 0
    allowed: int = 0


@dataclass(slots=True)
class Switching:
    """Where a source stands: `score` counts toward reduced inspection while on normal."""

    severity: Severity = Severity.NORMAL
    score: int = 0
    recent: list[bool] = field(default_factory=list)
    rejected: int = 0


def switching(
    results: Iterable[LotResult], *, reduces: bool = False, start: Severity = Severity.NORMAL
) -> Switching:
    """Return where a source stands after its lots, oldest first.

    `reduces` says whether the shop lets a good record reduce the inspection; `start` is tightened
    for a source from which buying was taken up again (9.4).
    """
    now = Switching(start)
    for result in results:
        now.recent = [*now.recent, result.is_accepted][-5:]
        if now.severity is Severity.NORMAL:
            _on_normal(now, result, reduces=reduces)
        elif now.severity is Severity.TIGHTENED:
            _on_tightened(now, result)
        elif not result.is_accepted:  # on reduced: 9.3.4 a)
            _switch(now, Severity.NORMAL)
        if now.severity is Severity.DISCONTINUED:
            break
    return now


def _switch(now: Switching, severity: Severity) -> None:
    now.severity, now.score, now.recent, now.rejected = severity, 0, [], 0


def _on_normal(now: Switching, result: LotResult, *, reduces: bool) -> None:
    now.score = now.score + _points(result) if _points(result) else 0
    if now.recent.count(False) >= 2:
        _switch(now, Severity.TIGHTENED)
    elif reduces and now.score >= REDUCED_FROM:
        _switch(now, Severity.REDUCED)


def _points(result: LotResult) -> int:
    """Return what a lot adds to the switching score; 0 sets it back to nothing (9.3.3.2)."""
    tighter = _ONE_STEP_TIGHTER.get(result.allowed)
    if not result.is_accepted:
        return 0
    if tighter is None:
        return _POINTS
    return _CLEAN_POINTS if result.rejected <= tighter else 0


def _on_tightened(now: Switching, result: LotResult) -> None:
    now.rejected += not result.is_accepted
    if now.rejected >= 5:
        now.severity = Severity.DISCONTINUED
    elif len(now.recent) == 5 and all(now.recent):
        _switch(now, Severity.NORMAL)
