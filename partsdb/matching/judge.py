"""Says whether one of the parts that a code may mean is settled, and if not why."""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.matching.facts import LineFacts
from partsdb.matching.hits import AFFIX, REPAIRED
from partsdb.matching.traits import AGREES, Likeness, coverage
from partsdb.matching.weighing import Desk, Weighed, likeness_of, named
from partsdb.rules.numbers import LOOKALIKES, difference, number_key, number_runs
from partsdb.rules.spreadsheet import DATE

# By how much a part must explain the line better than the next one before it is settled.
MARGIN = 0.25
# Nearer than this two fits are one: sums of the same weights in another order.
_SAME_FIT = 1e-9
_HALF = 0.5
# What must agree, besides the number, before a repaired number is settled.
REPAIRED_STRENGTH = 2
_SHORT_KEY = 4
IMITATION = "the description speaks of an imitation, not of the part itself"


def settle_exact(facts: LineFacts, weighed: Sequence[Weighed], desk: Desk) -> tuple[int, str]:
    """Return the place in `weighed` of the part whose exact number settles the line, or -1 and why.

    `weighed` holds the parts of that very number whose maker is not contradicted.
    """
    clean = [at for at, each in enumerate(weighed) if not each.vetoes()]
    if not clean:
        return -1, "the description contradicts the part of that number"
    best, why = _single(weighed, clean, desk)
    if best < 0:
        return -1, why
    chosen = weighed[best]
    if not _is_borne_out(facts, chosen, desk):
        return -1, "nothing but the number speaks for the part"
    if facts.imitates and chosen.likeness.outcome("maker") != AGREES:
        return -1, IMITATION
    rival = better_neighbour(facts, chosen, desk)
    if rival:
        return -1, rival
    return best, ""


def settle_repaired(
    facts: LineFacts, weighed: Sequence[Weighed], near: Sequence[Weighed], desk: Desk
) -> tuple[int, str]:
    """Return the place of the part that a repair settles, or -1 and why none does.

    `near` are the parts that a simple slip explains (one edit away): they must not explain the
    line better, and a transposition must not explain it as well as look-alikes do.
    """
    clean = [at for at, each in enumerate(weighed) if not each.vetoes()]
    if not clean:
        return -1, "the description contradicts every part that the number may be"
    best = max(clean, key=lambda at: (weighed[at].likeness.fit, -at))
    chosen = weighed[best]
    if doubt := _doubt_of_repair(facts, chosen):
        return -1, doubt
    for other in (*(weighed[at] for at in clean if at != best), *near):
        if other.hit.place != chosen.hit.place and _rivals(facts, other, chosen, desk):
            return -1, f"{named(other, desk)} explains the line as well"
    return best, ""


def _doubt_of_repair(facts: LineFacts, chosen: Weighed) -> str:
    """Return what is missing before the damage may be undone, or ""."""
    likeness, hit = chosen.likeness, chosen.hit
    has_maker = likeness.outcome("maker") == AGREES
    if likeness.outcome("piece") != AGREES and not has_maker:
        return "the kind of piece is not confirmed"
    is_told = likeness.is_specific or (likeness.is_worded_alike and hit.damage != DATE)
    if likeness.strength < REPAIRED_STRENGTH or not is_told:
        return "too little agrees to undo the damage with certainty"
    if hit.tier == AFFIX and facts.imitates:
        return IMITATION
    return ""


def _rivals(facts: LineFacts, other: Weighed, chosen: Weighed, desk: Desk) -> bool:
    """Say whether another part keeps the chosen one from being settled."""
    if other.vetoes():
        return False
    lead = chosen.likeness.fit - other.likeness.fit
    if other.hit.tier in REPAIRED:
        return lead < MARGIN
    if is_swapped(other, chosen, desk):
        return lead < MARGIN
    return explains_as_well(facts, other.likeness, chosen, desk)


def is_swapped(other: Weighed, chosen: Weighed, desk: Desk) -> bool:
    """Say whether two signs swapped explain the code as look-alikes do for `chosen`."""
    if chosen.hit.damage != LOOKALIKES:
        return False
    number = desk.index.entries[other.hit.place].number
    return difference(other.written, number).kind == "transposed"


def better_neighbour(facts: LineFacts, chosen: Weighed, desk: Desk) -> str:
    """Return in words which part one edit away explains the line as well or better, or ""."""
    if not facts.line.description:
        return ""
    for place in desk.index.neighbours(chosen.written):
        if explains_as_well(facts, likeness_of(facts, place, desk), chosen, desk):
            other = desk.index.entries[place]
            told = difference(other.number, desk.index.entries[chosen.hit.place].number)
            return f"{other.maker} {other.number} explains the line as well ({told.text})"
    return ""


def explains_as_well(facts: LineFacts, other: Likeness, chosen: Weighed, desk: Desk) -> bool:
    """Say whether a neighbour explains the line at least as well as the part of that number.

    Where both explain the same of it, a named maker lets the number stand; else the part counts
    of which the line says more.
    """
    against = {trait.name for trait in chosen.likeness.contradictions()}
    if any(trait.name not in against for trait in other.contradictions()):
        return False
    lead = chosen.likeness.fit - other.fit
    if abs(lead) > _SAME_FIT:
        return lead < 0
    if chosen.likeness.outcome("maker") == AGREES:
        return False
    return _told(facts, other.place, desk) >= _told(facts, chosen.hit.place, desk)


def _told(facts: LineFacts, place: int, desk: Desk) -> tuple[float, bool]:
    """Return how much of the part the line says, and whether it says it in the same words.

    A line that says less than half may be cut short: then the part's length shows nothing.
    """
    mine, theirs = facts.described.words, desk.index.described(place).words
    share = round(coverage(theirs, mine, desk.index), 6)
    return share if share >= _HALF else 0.0, mine == theirs


def _single(weighed: Sequence[Weighed], clean: list[int], desk: Desk) -> tuple[int, str]:
    """Return the one clean part that stands out: by its maker, its printed number or its text."""
    if len(weighed) == 1:
        return clean[0], ""
    written = weighed[0].written
    runs = [number_runs(desk.index.entries[each.hit.place].number) for each in weighed]
    by_maker = [at for at, e in enumerate(weighed) if e.likeness.outcome("maker") == AGREES]
    by_print = [at for at in range(len(weighed)) if runs[at] == number_runs(written)]
    for chosen in (by_maker, by_print):
        if len(chosen) == 1:
            is_clean = chosen[0] in clean
            return (chosen[0], "") if is_clean else (-1, "the part of that number is contradicted")
    ranked = sorted(clean, key=lambda at: (-weighed[at].likeness.fit, at))
    lead = weighed[ranked[0]].likeness
    if len(ranked) == 1 and lead.strength >= REPAIRED_STRENGTH:
        return ranked[0], ""
    if len(ranked) > 1 and lead.fit - weighed[ranked[1]].likeness.fit >= MARGIN:
        return ranked[0], ""
    numbers = ", ".join(named(each, desk) for each in weighed)
    return -1, f"the number may be {numbers}"


def _is_borne_out(facts: LineFacts, chosen: Weighed, desk: Desk) -> bool:
    """Say whether anything beside the signs of the number speaks for the part.

    A line without description has its number alone, which must then be long enough to be rare; so
    must one whose punctuation cuts the number elsewhere than the catalogue does.
    """
    likeness = chosen.likeness
    has_maker = likeness.outcome("maker") == AGREES
    runs = number_runs(desk.index.entries[chosen.hit.place].number)
    written = number_runs(chosen.written)
    is_cut_elsewhere = written != runs and len(written) >= len(runs)
    if is_cut_elsewhere or len(number_key(chosen.written)) <= _SHORT_KEY:
        return likeness.strength + has_maker >= REPAIRED_STRENGTH
    if not facts.line.description.strip():
        return True
    return has_maker or likeness.strength > 0 or likeness.coverage > 0.2
