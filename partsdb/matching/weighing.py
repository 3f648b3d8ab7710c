"""Weighs the parts that a code may mean: how each was found, how it compares, in which order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from partsdb.matching.affixes import Affix
from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.context import ListContext, wrong_key
from partsdb.matching.facts import LineFacts
from partsdb.matching.hits import KEY, RANK, Hit
from partsdb.matching.readings import Candidate, Evidence
from partsdb.matching.traits import AGREES, CONTRADICTS, Likeness, Trait, compare
from partsdb.rules.numbers import difference

# An exact number outweighs these: a wrong rating or an unnamed model is for the judge of the part.
_NO_VETO_ON_KEY = frozenset(("pressure", "machine"))
SHOWN = 5
WRONG = "wrong match"
NOT_THAT_PART = "a person said: this code is not that part"


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
            return replace(likeness, traits=(told, *likeness.traits))
    return likeness


def is_wrong_match(weighed: Weighed) -> bool:
    """Say whether a person said of the code that it is not that part."""
    return weighed.likeness.outcome(WRONG) == CONTRADICTS


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
