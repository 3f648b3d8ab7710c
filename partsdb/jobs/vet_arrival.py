"""How many pieces of what is bought of a list to inspect when it comes, and what to look at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from partsdb.jobs.switching import inspection_policy
from partsdb.jobs.vet_judged import Judged
from partsdb.rules.counting import counted
from partsdb.rules.inspection import EVERY_PIECE_UP_TO, inspection_plan
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import Verdict

_LOTS = (20, 50)
_BUYABLE = (Verdict.FIT, Verdict.FIT_WITH_CONDITIONS)
_LOOK = "gauge the thread, look at ball and seat, read the markings; no sample proves burst"


def on_arrival(judged: Sequence[Judged], grade: str = "") -> tuple[str, ...]:
    """Return how to inspect the lines that may be bought; `grade` is the seller's here."""
    bought = [line for line in judged if line.verdict in _BUYABLE]
    if grade == "D" and bought:
        return ("the supplier is graded D here: inspect every piece of every lot", _LOOK)
    pressed = [line for line in bought if role_named(line.role).holds_pressure]
    others = Counter(
        role_named(line.role).kind for line in bought if not role_named(line.role).holds_pressure
    )
    return (*_pressed(pressed), *_others(others))


def _pressed(lines: Sequence[Judged]) -> tuple[str, ...]:
    if not lines:
        return ()
    policy = inspection_policy()
    plans = [
        f"{inspection_plan(lot, lines[0].role, (), policy=policy).n} of a lot of {lot}"
        for lot in _LOTS
    ]
    bad, chance = (f"{float(each) * 100:g} %" for each in (policy.rate, policy.risk))
    return (
        f"{counted(len(lines), 'line is a part that holds', 'lines are parts that hold')} "
        f"pressure: inspect every piece of a lot up to {EVERY_PIECE_UP_TO}, "
        f"{', '.join(plans)}; none may fail (zero acceptance: a lot with {bad} bad "
        f"pieces passes with a chance of {chance} at most)",
        _LOOK,
    )


def _others(kinds: Counter[str]) -> tuple[str, ...]:
    """Return how the rest is inspected: the source's first lot as strictly, then by ISO 2859-1."""
    if not kinds:
        return ()
    series = [(kind, inspection_policy().series_plan(kind)) for kind in sorted(kinds)]
    plans = [f"{kind} level {plan.level}, AQL {plan.aql}" for kind, plan in series if plan.aql]
    return (
        f"{counted(sum(kinds.values()), 'line holds', 'lines hold')} no pressure: the first lot "
        f"of the source as strictly, later ones by ISO 2859-1 ({'; '.join(plans)})",
    )
