"""Weighs the parts that a code may mean and says whether one of them is settled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from partsdb.matching.affixes import Affix
from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.context import ListContext, wrong_key
from partsdb.matching.facts import LineFacts
from partsdb.matching.hits import AFFIX, KEY, RANK, REPAIRED, Hit
from partsdb.matching.readings import Candidate, Evidence
from partsdb.matching.traits import AGREES, CONTRADICTS, Likeness, Trait, compare
from partsdb.rules.numbers import LOOKALIKES, difference, number_key, number_runs
from partsdb.rules.spreadsheet import DATE

# By how much a part must explain the line better than the next one before it is settled.
MARGIN = 0.25
# A part one edit away that explains the line better by this much takes the number into doubt.
REVERSE_MARGIN = 0.08
# What must agree, besides the number, before a repaired number is settled.
REPAIRED_STRENGTH = 2
_SHORT_KEY = 4
# An exact number outweighs these: a wrong rating or an unnamed model is for the judge of the part.
_NO_VETO_ON_KEY = frozenset(("pressure", "machine"))
SHOWN = 5
WRONG = "wrong match"
NOT_THAT_PART = "a person said: this code is not that part"
IMITATION = "the description speaks of an imitation, not of the part itself"


@dataclass(frozen=True, slots=True)
class Desk:
    """What every line of one list is read with."""

    index: CatalogueIndex
    context: ListContext
    affixes: tuple[Affix, ...] = ()


@dataclass(frozen=True, slots=True)
class Weighed:
    """One part that the line may mean, with how it was found and how it compares."""

    hit: Hit
    likeness: Likeness
    written: str

    def vetoes(self) -> tuple[Trait, ...]:
        """Return the contradictions that rule the part out, given how it was found."""
        found = self.likeness.contradictions()
        if self.hit.tier != KEY:
            return found
        return tuple(trait for trait in found if trait.name not in _NO_VETO_ON_KEY)

    @property
    def score(self) -> float:
        """Return a figure that orders candidates: the tier first, then the description."""
        return round(1 - 0.12 * RANK[self.hit.tier] + 0.1 * self.likeness.fit, 6)

    @property
    def is_other_makers(self) -> bool:
        """Say whether the line names another maker than the part's."""
        return self.likeness.outcome("maker") == CONTRADICTS


def weigh(facts: LineFacts, hits: Iterable[Hit], written: str, desk: Desk) -> list[Weighed]:
    """Return the hits compared with the line, the best first; ties go by maker, number and id."""
    weighed = [Weighed(hit, likeness_of(facts, hit.place, desk), written) for hit in hits]
    return sorted(weighed, key=lambda each: _order(each, desk))


def likeness_of(facts: LineFacts, place: int, desk: Desk) -> Likeness:
    """Return the line compared with a part; a wrong match of the past is a contradiction."""
    likeness = compare(facts, place, desk.index, desk.context)
    if desk.context.wrong:
        wrong = desk.context.wrong.get(wrong_key(facts.line), ())
        if desk.index.entries[place].part_id in wrong:
            told = Trait(WRONG, CONTRADICTS, NOT_THAT_PART)
            return replace(likeness, traits=(told, *likeness.traits), explains_all=False)
    return likeness


def is_wrong_match(weighed: Weighed) -> bool:
    """Say whether a person said of the code that it is not that part."""
    return weighed.likeness.outcome(WRONG) == CONTRADICTS


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
        if other.hit.place != chosen.hit.place and _rivals(other, chosen, desk):
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


def _rivals(other: Weighed, chosen: Weighed, desk: Desk) -> bool:
    """Say whether another part keeps the chosen one from being settled."""
    if other.vetoes():
        return False
    lead = chosen.likeness.fit - other.likeness.fit
    if other.hit.tier in REPAIRED:
        return lead < MARGIN
    if is_swapped(other, chosen, desk):
        return lead < MARGIN
    return -lead > REVERSE_MARGIN


def is_swapped(other: Weighed, chosen: Weighed, desk: Desk) -> bool:
    """Say whether two signs swapped explain the code as look-alikes do for `chosen`."""
    if chosen.hit.damage != LOOKALIKES:
        return False
    number = desk.index.entries[other.hit.place].number
    return difference(other.written, number).kind == "transposed"


def better_neighbour(facts: LineFacts, chosen: Weighed, desk: Desk) -> str:
    """Return in words which part one edit away explains the line better, or ""."""
    if not facts.line.description or chosen.likeness.explains_all:
        return ""
    for place in desk.index.neighbours(chosen.written):
        likeness = likeness_of(facts, place, desk)
        better = likeness.fit - chosen.likeness.fit
        if better > REVERSE_MARGIN and not likeness.contradictions():
            other = desk.index.entries[place]
            told = difference(other.number, desk.index.entries[chosen.hit.place].number)
            return f"{other.maker} {other.number} explains the line better ({told.text})"
    return ""


def named(weighed: Weighed, desk: Desk) -> str:
    """Return maker and number of the part weighed."""
    entry = desk.index.entries[weighed.hit.place]
    return f"{entry.maker} {entry.number}"


def candidates(weighed: Iterable[Weighed], desk: Desk) -> tuple[Candidate, ...]:
    """Return the best few as candidates with their evidence, one for each part."""
    best: dict[int, Weighed] = {}
    for each in weighed:
        best.setdefault(each.hit.place, each)
    ranked = sorted(best.values(), key=lambda each: _order(each, desk))[:SHOWN]
    return tuple(
        Candidate(desk.index.entries[each.hit.place].part_id, each.score, evidence(each, desk))
        for each in ranked
    )


def evidence(weighed: Weighed, desk: Desk) -> tuple[Evidence, ...]:
    """Return what speaks for and against the part, the number first."""
    vetoes = weighed.vetoes()
    told = [_number_evidence(weighed, desk)]
    for trait in weighed.likeness.traits:
        if trait.outcome == AGREES:
            told.append(Evidence(trait.name, "for", trait.text))
        else:
            weighs = "veto" if trait in vetoes else "against"
            told.append(Evidence(trait.name, weighs, trait.text))
    share = round(100 * weighed.likeness.coverage)
    told.append(Evidence("words", "for", f"{share} % of the line's words by weight"))
    return tuple(told)


def _number_evidence(weighed: Weighed, desk: Desk) -> Evidence:
    number = desk.index.entries[weighed.hit.place].number
    if weighed.hit.tier == KEY:
        damage = f", {weighed.hit.damage}" if weighed.hit.damage else ""
        return Evidence("number", "for", f"{weighed.written} is the number {number}{damage}")
    if weighed.hit.tier == "text":
        return Evidence("number", "against", "no number says so")
    told = difference(weighed.written, number)
    if weighed.hit.damage:
        return Evidence("number", "for", f"{told.text}: {weighed.hit.damage}")
    return Evidence("number", "against", f"{told.text}: {told.kind}")


def _order(weighed: Weighed, desk: Desk) -> tuple[object, ...]:
    """Return the order: wrong matches last, then score, then maker, number, id (the tie rule)."""
    entry = desk.index.entries[weighed.hit.place]
    return (
        is_wrong_match(weighed),
        -weighed.score,
        bool(weighed.vetoes()),
        desk.context.maker_of(entry.maker),
        entry.number,
        entry.part_id,
    )


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
