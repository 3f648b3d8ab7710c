"""A line of a supplier's list as it was judged, before it is told."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.weigh import Weighed
from partsdb.rules.facts import PartFacts
from partsdb.rules.ratings import working_rating
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import VERDICT_RANK, Check, Outcome, Verdict, worst_verdict

_FITS = (Verdict.FIT, Verdict.FIT_WITH_CONDITIONS)


@dataclass(frozen=True, slots=True)
class Judged:
    """A line with its part and verdict; `verdict` None where no position of ours is concerned.

    `fits` and `not_for` name positions ("Q33 bypass valve"); what is in neither is to be asked
    about. `may_be` are the parts that a line to review may mean. `unrated` says that neither the
    record nor the list states what pressure the very part holds. `compared` counts the other
    prices that the line's was held against; `newer` names what the maker has replaced it by.
    """

    line: ReadLine
    maker: str = ""
    number: str = ""
    verdict: Verdict | None = None
    checks: tuple[Check, ...] = ()
    role: str = ""
    group: int | None = None
    notes: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()
    not_for: tuple[str, ...] = ()
    may_be: tuple[int, ...] = ()
    unrated: bool = False
    compared: int = 0
    newer: str = ""


def fitting(lines: Iterable[Judged]) -> tuple[list[Judged], list[Judged]]:
    """Return what fits and may be bought, and what fits but names no price to buy it at."""
    fit = [line for line in lines if line.verdict in _FITS]
    priced = [line for line in fit if line.line.has_price]
    return priced, [line for line in fit if not line.line.has_price]


def is_unrated(known: PartFacts, line: ReadLine) -> bool:
    """Say whether it holds pressure, and neither the record nor the list states how much."""
    role = role_named(known.role)
    if not role.holds_pressure:
        return False
    shown = working_rating((*known.claims, *line.claims), role.component_class)
    return shown.pressure is None and not any(c.basis == "burst" for c in line.claims)


def by_place(weighed: Sequence[Weighed]) -> list[tuple[str, Verdict]]:
    """Return each position once, with the worst of what was found there."""
    found: dict[str, Verdict] = {}
    for place, verdict in (pair for each in weighed for pair in each.where):
        found[place] = worst_verdict([verdict, found.get(place, Verdict.FIT)])
    return list(found.items())


def judged_in(judged: Judged, weighed: Sequence[Weighed], checks: Sequence[Check]) -> Judged:
    """Return the judged line with the worst of its places and of the list's own checks."""
    verdicts = [each.verdict for each in weighed]
    is_open = any(check.outcome is Outcome.NOT_SHOWN for check in checks)
    if is_open:
        verdicts.append(Verdict.ASK_FIRST)
    worst = max(weighed, key=lambda each: VERDICT_RANK[each.verdict], default=None)
    places = by_place(weighed)
    return replace(
        judged,
        verdict=worst_verdict(verdicts),
        checks=(*checks, *(worst.checks if worst else ())),
        fits=tuple(place for place, verdict in places if verdict in _FITS and not is_open),
        not_for=tuple(place for place, verdict in places if verdict is Verdict.DO_NOT_FIT),
    )
