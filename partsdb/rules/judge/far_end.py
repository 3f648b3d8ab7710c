"""Does the end of the part that does not go into the machine take what was on the old one?"""

from __future__ import annotations

from partsdb.rules import threads
from partsdb.rules.facts import Claim, ClaimKind, PartFacts
from partsdb.rules.judge.case import Case, claims_of, is_hearsay
from partsdb.rules.judge.shape import joints_of, port_in_words, thread_name, threads_of
from partsdb.rules.verdict import Check, Outcome


def far_end_checks(case: Case) -> list[Check]:
    """Return where documents state another end of the part, away from the machine, than the old's.

    What is screwed onto it there (hose, gun) is made for the thread of the part called for.
    Source: geometry of the two threads.
    """
    if case.original is None or case.is_very_part or case.adapter_needed or not case.demand.ports:
        return []
    old, new = _far_ends(case, case.original), _far_ends(case, case.part)
    if not old or not new:
        return []
    ends = [thread for claim in new for thread in threads_of(claim.value)]
    lost = [
        claim.value
        for claim in old
        for thread in threads_of(claim.value)
        if not any(_same_end(thread, end) for end in ends)
    ]
    if not lost:
        return []
    has = ", ".join(claim.value for claim in new)
    text = f"the other end of the part called for is {', '.join(lost)}, that of this one {has}"
    return [Check("thread of the other end", Outcome.NOT_SHOWN, text, code="THREAD_NO_SEAL")]


def _far_ends(case: Case, part: PartFacts) -> list[Claim]:
    """Return the documented ports of a part, each once, less those that go into the machine's."""
    ends: dict[str, Claim] = {}
    for claim in claims_of(part, ClaimKind.PORT):
        if not is_hearsay(claim.evidence) and threads_of(claim.value):
            ends.setdefault(claim.about or claim.value, claim)
    free = list(ends.values())
    for machine_port in case.demand.ports:
        into = next((each for each in free if _goes_into(machine_port, each)), None)
        if into:
            free.remove(into)
    return free


def _goes_into(machine_port: str, claim: Claim) -> bool:
    found = joints_of((machine_port,), (port_in_words(claim),)).outcome
    return found in (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)


def _same_end(one: threads.Thread, other: threads.Thread) -> bool:
    is_one_gender = not (one.gender and other.gender) or one.gender == other.gender
    return thread_name(one) == thread_name(other) and is_one_gender
