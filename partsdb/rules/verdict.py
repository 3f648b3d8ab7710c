"""The lattice of outcomes: one check gives an outcome, the worst check decides the verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """What one check found. Order of gravity: see `GRAVITY`."""

    MEETS = "meets"
    MEETS_WITH_CONDITIONS = "meets with conditions"
    NOT_SHOWN = "not shown"
    FAILS = "fails"


class Verdict(StrEnum):
    """What all checks of a part in a position come to."""

    FIT = "fit"
    FIT_WITH_CONDITIONS = "fit with conditions"
    ASK_FIRST = "ask first"
    DO_NOT_FIT = "do not fit"


GRAVITY = {outcome: rank for rank, outcome in enumerate(Outcome)}
VERDICT_RANK = {verdict: rank for rank, verdict in enumerate(Verdict)}
_VERDICT_OF = dict(zip(Outcome, Verdict, strict=True))


@dataclass(frozen=True, slots=True)
class Check:
    """One check with its outcome, its reason in words, and what it rests on.

    `check` names the check ("pressure", "thread", "material ball", "contents", "equivalence" …);
    `code` is a reason code of the trade handbook ("PRESSURE_LOW", "BURST_ONLY", …) or "";
    `evidence` says where the deciding fact comes from; `conditions` must be confirmed by a person.
    """

    check: str
    outcome: Outcome
    text: str
    evidence: str = ""
    code: str = ""
    conditions: tuple[str, ...] = ()


def worst_outcome(checks: Iterable[Check]) -> Outcome:
    """Return the gravest outcome; no check at all shows nothing, so it is `not shown`."""
    return max((check.outcome for check in checks), key=GRAVITY.__getitem__,
               default=Outcome.NOT_SHOWN)  # fmt: skip


def verdict_of(checks: Iterable[Check]) -> Verdict:
    """Return the verdict that the worst of the checks allows."""
    return _VERDICT_OF[worst_outcome(checks)]


def worst_verdict(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the gravest verdict; of none, `ask first`."""
    return max(verdicts, key=VERDICT_RANK.__getitem__, default=Verdict.ASK_FIRST)
