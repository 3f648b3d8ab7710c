"""Is the part the right kind of piece, with the right threads and sizes?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache

from partsdb.rules import sizes, threads
from partsdb.rules.facts import EVIDENCE_RANK, Claim, ClaimKind, KitItem
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
        return _against_called_for(case, claims)
    documented = [claim for claim in claims if not is_hearsay(claim.evidence)]
    found = _of_documents(case, documented)
    if len(documented) == len(claims):
        return [found]
    what = f"gauge the thread on arrival ({', '.join(claim.value for claim in claims)})"
    told = to_confirm(_thread_check(case, claims), weakest(claims), what)
    # Hearsay counts where the documents leave something open: a look-alike is told even so. It
    # never speaks for a document that nobody here can read, nor settles two that disagree.
    if found.outcome is Outcome.NOT_SHOWN:
        is_open = all(threads_of(claim.value) for claim in documented) and not _at_odds(documented)
        return [told if is_open or told.outcome is Outcome.FAILS else found]
    if found.outcome is not Outcome.FAILS and (other := _another_thread(case, documented)):
        text = (
            f"{found.text}; but its seller says {other}, which does not go in: ask which is right"
        )
        return [replace(found, outcome=Outcome.NOT_SHOWN, text=text, code="EVIDENCE_WEAK")]
    return [found]


def _of_documents(case: Case, documented: Sequence[Claim]) -> Check:
    """Return what the documents show; where two name another thread for one port, the worst."""
    found = _thread_check(case, documented)
    for about in _at_odds(documented):
        rest = [claim for claim in documented if claim.about != about]
        each = [_thread_check(case, [*rest, c]) for c in documented if c.about == about]
        worst = max(each, key=lambda check: GRAVITY[check.outcome])
        if worst.outcome is not Outcome.FAILS:
            said = " and ".join(c.value for c in documented if c.about == about)
            text = f"its documents disagree about its {about}: {said}; ask which is right"
            worst = replace(worst, outcome=Outcome.NOT_SHOWN, text=text, code="EVIDENCE_WEAK")
        found = max(found, worst, key=lambda check: GRAVITY[check.outcome])
    return found


def _at_odds(documented: Sequence[Claim]) -> list[str]:
    """Return the ports for which documents name different threads."""
    named: dict[str, set[tuple[tuple[str, str], ...]]] = {}
    genders: dict[str, set[str]] = {}
    for claim in documented:
        if claim.about and (threads_in := threads_of(claim.value)):
            named.setdefault(claim.about, set()).add(tuple(map(thread_name, threads_in)))
            genders.setdefault(claim.about, set()).update(
                each.gender for each in threads_in if each.gender and len(threads_in) == 1
            )
    return sorted(
        about for about, said in named.items() if len(said) > 1 or len(genders[about]) > 1
    )


def _against_called_for(case: Case, claims: Sequence[Claim]) -> list[Check]:
    """Return where a part's threads differ from those of the part called for.

    The position's own ports are not recorded, so what the old part screwed into is all there is.
    """
    if case.original is None or case.is_very_part or case.adapter_needed:
        return []
    wanted = [each for each in claims_of(case.original, ClaimKind.PORT) if each.value]
    ours = {thread_name(thread) for claim in claims for thread in threads_of(claim.value)}
    theirs = {thread_name(thread) for claim in wanted for thread in threads_of(claim.value)}
    if not ours or not theirs or theirs <= ours:
        return []
    text = (
        f"its threads are {', '.join(claim.value for claim in claims)}, those of the part called "
        f"for {', '.join(claim.value for claim in wanted)}, and the machine's own are not recorded"
    )
    return [Check("thread", Outcome.NOT_SHOWN, text, code="THREAD_NO_SEAL")]


def _another_thread(case: Case, documented: Sequence[Claim]) -> str:
    """Return the thread that hearsay states, no document does, and that fails in the machine."""
    known = {thread_name(thread) for claim in documented for thread in threads_of(claim.value)}
    for claim in claims_of(case.part, ClaimKind.PORT):
        others = [each for each in threads_of(claim.value) if thread_name(each) not in known]
        if others and is_hearsay(claim.evidence):
            alone = _thread_check(case, [replace(claim, value=each.designation) for each in others])
            if alone.outcome is Outcome.FAILS:
                return claim.value
    return ""


@lru_cache(maxsize=4096)
def threads_of(port: str) -> tuple[threads.Thread, ...]:
    return threads.find_threads(port, bare=True)


def thread_name(thread: threads.Thread) -> tuple[str, str]:
    return thread.form, thread.size


def _thread_check(case: Case, claims: Sequence[Claim]) -> Check:
    ports = tuple(map(port_in_words, claims))
    return (
        _through_adapter(case, ports)
        if case.adapter_needed
        else joints_of(case.demand.ports, ports)
    )


def port_in_words(claim: Claim) -> str:
    """Return a port as stated, with how it seals where that stands beside it."""
    return f"{claim.value}, {claim.basis}" if claim.basis else claim.value


@lru_cache(maxsize=4096)
def joints_of(machine_ports: tuple[str, ...], part_ports: tuple[str, ...]) -> Check:
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
    stated: dict[str, list[Claim]] = {}
    for claim in claims_of(case.part, ClaimKind.DIMENSION):
        stated.setdefault(claim.about, []).append(claim)
    found = []
    for name, called_for in case.demand.sizes:
        said = stated.get(name, [])
        if said or not case.is_very_part:
            found.append(_stated_size(name, called_for, said))
    return found + _against_original(case)


def _stated_size(name: str, called_for: str, said: Sequence[Claim]) -> Check:
    """Return the worst of what is stated of one size: claims that contradict prove nothing."""
    if not said:
        return sizes.check_size(name, called_for, "")
    found = [
        to_confirm(
            sizes.check_size(name, called_for, claim.value),
            claim.evidence,
            f"measure {name} on arrival ({claim.value})",
        )
        for claim in _best_known(said)
    ]
    return max(found, key=lambda check: GRAVITY[check.outcome])


def _best_known(said: Sequence[Claim]) -> list[Claim]:
    """Return one claim of each value that is stated, the one that is known best."""
    best: dict[str, Claim] = {}
    for claim in said:
        kept = best.setdefault(claim.value, claim)
        best[claim.value] = min(kept, claim, key=lambda each: EVIDENCE_RANK[each.evidence])
    return list(best.values())


def _against_original(case: Case) -> list[Check]:
    """Return how the sizes of a kit's pieces compare with the pieces of the part called for."""
    if case.original is None or case.is_very_part:
        return []
    ours, theirs = _sized(case.original.contents), _sized(case.part.contents)
    found = []
    for role in sorted(set(ours) & set(theirs)):
        found += [
            _nearest_size(role, wanted, theirs[role])
            for wanted in sorted(ours[role].keys() - theirs[role].keys())
        ]
        found += _too_few(role, ours[role], theirs[role])
    return found + _unsized(case, ours.keys() - theirs.keys())


def _unsized(case: Case, roles: Iterable[str]) -> list[Check]:
    """Return the pieces whose size the kit does not state, where no strong approval covers it."""
    is_accepted = len(case.edges) == 1 and case.edges[0].state == "accepted"
    if case.is_approved or not is_accepted:
        return []
    brought = {item.role for item in case.part.contents or ()}
    return [
        Check(f"size {role}", Outcome.NOT_SHOWN, f"the size of its {role} is not stated")
        for role in sorted(brought & {*roles})
    ]


def _nearest_size(role: str, wanted: str, offered: Iterable[str]) -> Check:
    found = [sizes.check_size(role, wanted, each) for each in sorted(offered)]
    return min(found, key=lambda check: GRAVITY[check.outcome])


def _too_few(role: str, ours: Counter[str], theirs: Counter[str]) -> list[Check]:
    """Return the sizes of which the kit brings some, but not so many as are called for."""
    return [
        Check(
            f"size {role}",
            Outcome.NOT_SHOWN,
            f"{theirs[size]} {role} of {size} for {count} called for",
            code="KIT_INCOMPLETE",
        )
        for size, count in sorted(ours.items())
        if 0 < theirs[size] < count
    ]


@once_per_object
def _sized(contents: tuple[KitItem, ...] | None) -> dict[str, Counter[str]]:
    """Return how many pieces of each stated size a kit has, by role."""
    found: dict[str, Counter[str]] = {}
    for item in contents or ():
        if item.size:
            found.setdefault(item.role, Counter())[item.size] += max(item.quantity, 1)
    return found
