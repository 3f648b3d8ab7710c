"""Conditions that the place itself breaks: "below 2000 psi only" on a machine of 3300 psi."""

from __future__ import annotations

import re
from functools import lru_cache

from partsdb.rules.judge.case import Case
from partsdb.rules.pressure import Pressure, find_pressures, shown_demand
from partsdb.rules.verdict import Check, Outcome

_LIMIT = re.compile(
    r"\b(?:below|under|up to|at most|no more than|not (?:above|over|beyond)|max(?:imum)?\b\.?|only"
    r"|less than|bis(?: zu)?|unter|h[öo]e?chstens|nur)\b",
    re.IGNORECASE,
)
_FLOOR = re.compile(r"(?<!not )\b(?:above|over|at least|from|min(?:imum)?|ab|mindestens)\b", re.I)
_CELSIUS = re.compile(r"(?<![^\W_])(-?\d+)\s*°?\s*C(?![^\W_])")


def limit_checks(case: Case) -> list[Check]:
    """Return what of the edges' conditions the place breaks by its pressure or heat, none else.

    What a figure in a condition does not clearly limit stays a condition that a person confirms.
    """
    texts = dict.fromkeys(text for edge in case.edges for text in edge.conditions)
    return [found for text in texts if (found := _broken(text, case))]


def _broken(condition: str, case: Case) -> Check | None:
    allowed = _pressure_allowed(condition)
    if allowed and case.demanded and allowed.gauge < case.demanded.gauge:
        text = f"{condition!r} is broken here: {shown_demand(case.demanded)}"
        return Check("condition", Outcome.FAILS, text, code="PRESSURE_LOW")
    hottest, temp_c = _heat_allowed(condition), case.demand.temp_c_max
    if hottest is not None and temp_c is not None and hottest < temp_c:
        text = f"{condition!r} is broken here: {temp_c} °C"
        return Check("condition", Outcome.FAILS, text, code="TEMP_LOW")
    return None


@lru_cache(maxsize=4096)
def _pressure_allowed(condition: str) -> Pressure | None:
    if not _is_limit(condition):
        return None
    stated = [each.pressure for each in find_pressures(condition) if each.pressure is not None]
    return min(stated, key=lambda each: each.gauge, default=None)


@lru_cache(maxsize=4096)
def _heat_allowed(condition: str) -> int | None:
    if not _is_limit(condition):
        return None
    return min(map(int, _CELSIUS.findall(condition)), default=None)


def _is_limit(condition: str) -> bool:
    return bool(_LIMIT.search(condition)) and not _FLOOR.search(condition)
