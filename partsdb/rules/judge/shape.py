"""Is the part the right kind of piece, with the right threads and sizes?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from partsdb.rules import sizes, threads
from partsdb.rules.facts import Claim, ClaimKind, KitItem
from partsdb.rules.judge.case import Case, claims_of, is_hearsay, to_confirm, weakest
from partsdb.rules.memo import once_per_object
from partsdb.rules.verdict import GRAVITY, Check, Outcome


def role_check(case: Case) -> Check:
    """Return whether the part is the kind of piece that the position takes."""
    wanted, offered = case.demand.role, case.part.role
    if case.is_very_part:
        return Check("role", Outcome.MEETS, f"the very part called for, a {wanted}")
    if not offered:
        text = f"what kind of piece it is is not stated, and a {wanted} is needed"
        return Check("role", Outcome.NOT_SHOWN, text)
    if offered == wanted:
        return Check("role", Outcome.MEETS, f"a {offered}, as needed")
    if wanted in {item.role for item in case.part.contents or ()}:
        return Check("role", Outcome.MEETS, f"a {offered} that brings the {wanted} needed")
    if {offered, wanted} == {"hose", "whip hose"}:
        condition = f"check length and stiffness: a {offered} where a {wanted} is called for"
        text = f"a {offered} where a {wanted} is needed"
        outcome = Outcome.MEETS_WITH_CONDITIONS
        return Check("role", outcome, text, conditions=(condition,))
    return Check("role", Outcome.FAILS, f"a {offered} where a {wanted} is needed")


def thread_checks(case: Case) -> list[Check]:
    """Return how the part's ports meet the machine's, none where no thread is at stake."""
    claims = claims_of(case.part, ClaimKind.PORT)
    if case.is_very_part and not (claims and case.demand.ports):
        return []
    by_facts = case.role.has_ports and case.role.judged_by == "facts"
    if not case.demand.ports and not by_facts:
        return []
    documented = [claim for claim in claims if not is_hearsay(claim.evidence)]
    found = _thread_check(case, tuple(documented))
    if len(documented) == len(claims):
        return [found]
    what = f"gauge the thread on arrival ({', '.join(claim.value for claim in claims)})"
    told = to_confirm(_thread_check(case, claims), weakest(claims), what)
    # Hearsay counts where the documents leave something open: a look-alike is told even so.
    return [told if found.outcome is Outcome.NOT_SHOWN else found]


def _thread_check(case: Case, claims: Sequence[Claim]) -> Check:
    ports = tuple(claim.value for claim in claims)
    return (
        _through_adapter(case, ports) if case.adapter_needed else _joints(case.demand.ports, ports)
    )


@lru_cache(maxsize=4096)
def _joints(machine_ports: tuple[str, ...], part_ports: tuple[str, ...]) -> Check:
    return threads.check_ports(machine_ports, part_ports)


def _through_adapter(case: Case, ports: tuple[str, ...]) -> Check:
    """Return how the joints through the needed adapter seal; without its facts nothing is shown."""
    ends = claims_of(case.adapter, ClaimKind.PORT) if case.adapter else []
    if len(ends) != 2 or len(case.demand.ports) != 1 or not ports:
        text = f"it needs the adapter {case.adapter_needed}, whose two threads are not known here"
        return Check("thread", Outcome.NOT_SHOWN, text, code="NEEDS_ADAPTER")
    both = (ends[0].value, ends[1].value)
    found = [threads.check_adapter(case.demand.ports[0], both, port) for port in ports]
    best = min(found, key=lambda check: (GRAVITY[check.outcome], check.text))
    condition = f"fit the adapter {case.adapter_needed}"
    return replace(
        best, code=best.code or "NEEDS_ADAPTER", conditions=(condition, *best.conditions)
    )


def size_checks(case: Case) -> list[Check]:
    """Return how the part's sizes meet the position's and those of the part called for."""
    stated = {claim.about: claim for claim in claims_of(case.part, ClaimKind.DIMENSION)}
    found = []
    for name, called_for in case.demand.sizes:
        claim = stated.get(name)
        if claim is None and case.is_very_part:
            continue
        check = sizes.check_size(name, called_for, claim.value if claim else "")
        if claim:
            check = to_confirm(check, claim.evidence, f"measure {name} on arrival ({claim.value})")
        found.append(check)
    return found + _against_original(case)


def _against_original(case: Case) -> list[Check]:
    """Return how the sizes of a kit's pieces compare with the pieces of the part called for."""
    if case.original is None or case.is_very_part:
        return []
    ours, theirs = _sized(case.original.contents), _sized(case.part.contents)
    found = []
    for role in sorted(set(ours) & set(theirs)):
        if ours[role] == theirs[role]:
            continue
        pairs = zip(sorted(ours[role]), sorted(theirs[role]), strict=False)
        found += [sizes.check_size(role, wanted, offered) for wanted, offered in pairs]
    return found


@once_per_object
def _sized(contents: tuple[KitItem, ...] | None) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for item in contents or ():
        if item.size:
            found.setdefault(item.role, set()).add(item.size)
    return found
