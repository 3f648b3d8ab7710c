"""A check-up of the database: what is broken, and what is missing before an answer can be given."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from partsdb.jobs.shop_links import refusal
from partsdb.rules.certificates import on_day
from partsdb.rules.facts import EvidenceLevel, PartFacts, StandsIn
from partsdb.rules.fx import MAX_AGE_DAYS
from partsdb.rules.roles import known_roles, role_named
from partsdb.rules.unknowns import NOTHING_KNOWN, rating_gap
from partsdb.store import integrity, terms
from partsdb.store.claims import part_facts

SHOWN = 5


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found. `level` is "fault" (the data is wrong) or "gap" (something is missing)."""

    level: str
    check: str
    count: int
    message: str
    hint: str
    examples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DoctorAnswer:
    """Everything found, faults first, and the size of the database."""

    is_sound: bool
    findings: tuple[Finding, ...]
    rows: dict[str, int]


def doctor(as_of: str) -> DoctorAnswer:
    """Return what a check-up finds on the ISO date."""
    found = [finding for finding in (*_faults(), *_gaps(as_of), *_prices(as_of)) if finding]
    found.sort(key=lambda finding: finding.level != "fault")
    is_sound = not any(finding.level == "fault" for finding in found)
    return DoctorAnswer(is_sound, tuple(found), integrity.sizes())


def _finding(check: str, names: Sequence[str], message: str, hint: str) -> Finding | None:
    """Return a finding about so many things, a gap unless its check's name begins with "!"."""
    if not names:
        return None
    level = "fault" if check.startswith("!") else "gap"
    shown = tuple(names[:SHOWN])
    return Finding(level, check.lstrip("!"), len(names), message, hint, shown)


def _names(found: Iterable[tuple[int, str]]) -> list[str]:
    return [name for _, name in found]


def _faults() -> list[Finding | None]:
    weak = [
        " -> ".join(names)
        for names, roles, evidence, source in integrity.accepted_edges()
        if refusal(_edge(names, evidence), roles, EvidenceLevel(evidence), source)
    ]
    return [
        _finding("!file", integrity.engine_findings(), "the database file is damaged",
                 "bring back a backup: partsdb restore BACKUP"),
        _finding("!keys", _names(integrity.wrong_keys()),
                 "stored keys differ from the computed ones: these will not be found",
                 "add the part again under its number, or restore a backup"),
        _finding("!approvals", weak, "approvals without the evidence that they need",
                 "partsdb part accept … --state proposed, until there is a document"),
        _finding("!cycles", cycles(integrity.supersession_pairs()),
                 "numbers that supersede each other in a circle: no end is known",
                 "ask the maker which number is current"),
    ]  # fmt: skip


def _edge(names: tuple[str, str], evidence: str) -> StandsIn:
    asked, fitted = (("", name) for name in names)
    return StandsIn(asked, fitted, "accepted", EvidenceLevel(evidence))


def _gaps(as_of: str) -> list[Finding | None]:
    unknown = [
        f"{role or 'no role'} ({count})"
        for role, count in integrity.roles_in_use().items()
        if role not in known_roles()
    ]
    unstated = [
        name
        for _, name, role in integrity.positions_without_pressure()
        if role_named(role).holds_pressure
    ]
    return [
        _finding("roles", unknown, "roles that are not in the table: judged as pressure parts",
                 "give the parts a role of the table"),
        _finding("demands", unstated, "positions that hold pressure and state no demand",
                 "ask the machine's maker and add the pressure to machines.csv"),
        _finding("ratings", _unrated(as_of), "parts called for under pressure that nothing rates",
                 "partsdb part claim NUMBER rating … --source …"),
        _finding("readings", _names(integrity.unreadable_ratings()),
                 "ratings in which no pressure can be read: they show nothing",
                 "ask the source for figure, unit and basis"),
        _finding("contents", _names(integrity.kits_without_contents()),
                 "kits whose contents are not stated", "partsdb kit contents set --from FILE"),
    ]  # fmt: skip


def _unrated(as_of: str) -> list[str]:
    """Return what is called for under pressure and not shown to hold any; where something is said
    of its pressure all the same, with the reason.
    """
    named = integrity.called_for_under_pressure()
    known = part_facts(i for i, _ in named)
    facts = {i: on_day(part, as_of).part for i, part in known.items()}
    gaps = ((name, rating_gap(facts[i])) for i, name in named if _is_pressed(facts[i]))
    return [name if gap == NOTHING_KNOWN else f"{name}: {gap}" for name, gap in gaps if gap]


def _is_pressed(part: PartFacts) -> bool:
    return role_named(part.role).kind in ("pressure boundary", "wear item")


def _prices(as_of: str) -> list[Finding | None]:
    stale = []
    for currency in integrity.currencies_of_offers():
        rate = terms.fx_rates(currency, as_of)
        if rate is None:
            stale.append(f"{currency}: none")
        elif (date.fromisoformat(as_of) - date.fromisoformat(rate.date)).days > MAX_AGE_DAYS:
            stale.append(f"{currency}: last of {rate.date}")
    return [
        _finding("terms", _names(integrity.suppliers_without_terms(as_of)),
                 "suppliers with offers but without terms: no landed price",
                 "partsdb supplier terms --from FILE"),
        _finding("rates", stale, f"currencies without a rate of the last {MAX_AGE_DAYS} days",
                 "partsdb fx import FILE"),
        _finding("lists", _names(integrity.expired_lists(as_of)),
                 "price lists that have run out", "ask the supplier for the present one"),
    ]  # fmt: skip


def cycles(pairs: Iterable[tuple[str, str]]) -> list[str]:
    """Return the circles of successors, from the first number in order: "A -> B -> A".

    Of each step that lies on a circle a shortest one through it is named, each circle once.
    """
    after: dict[str, list[str]] = {}
    for old, new in sorted(pairs):
        after.setdefault(old, []).append(new)
    found: set[tuple[str, ...]] = set()
    named: set[tuple[str, str]] = set()
    for step in _on_circles(after):
        circle = _way_back(*step, after) if step not in named else []
        if circle:
            named |= set(zip(circle, [*circle[1:], circle[0]], strict=True))
            first = circle.index(min(circle))
            found.add(tuple(circle[first:] + circle[:first]))
    return [" -> ".join((*circle, circle[0])) for circle in sorted(found)]


def _on_circles(after: dict[str, list[str]]) -> list[tuple[str, str]]:
    """Return the steps that may lie on a circle: those of chains with a beginning do not."""
    coming = Counter(new for news in after.values() for new in news)
    beginnings = deque(old for old in after if not coming[old])
    loose = set(beginnings)
    while beginnings:
        for new in after.get(beginnings.popleft(), ()):
            coming[new] -= 1
            if not coming[new]:
                loose.add(new)
                beginnings.append(new)
    return [(old, new) for old in sorted(after) if old not in loose for new in after[old]]


def _way_back(old: str, new: str, after: dict[str, list[str]]) -> list[str]:
    """Return a shortest circle that begins with the step old -> new, or nothing."""
    came_from = {new: ""}
    queue = deque([new])
    while queue:
        number = queue.popleft()
        if number == old:
            return _walked(number, came_from)
        for following in after.get(number, ()):
            if following not in came_from:
                came_from[following] = number
                queue.append(following)
    return []


def _walked(end: str, came_from: dict[str, str]) -> list[str]:
    walked = [end]
    while came_from[walked[-1]]:
        walked.append(came_from[walked[-1]])
    return [end, *walked[:0:-1]]
