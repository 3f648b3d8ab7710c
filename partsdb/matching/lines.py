"""Reads the lines of a price list against the catalogue: the one entry to the matcher.

A line is settled by a number: its key, a named damage undone, or an affix learned from the list,
and only when the description bears it out and no neighbouring number explains the line better.
Likeness of text or of signs proposes, never settles. Confidence is a rank, not a probability.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from itertools import islice
from typing import Protocol, TypeVar

from partsdb.matching.affixes import learned_affixes
from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.claims import Named, named_parts
from partsdb.matching.context import ListContext, PastDecision, decision_key
from partsdb.matching.facts import LineFacts, ListFacts
from partsdb.matching.halves import in_halves
from partsdb.matching.hits import TEXT, Hit, damage_named, key_hits
from partsdb.matching.numbers import Own, read_own_number
from partsdb.matching.readings import CatalogueEntry, Evidence, LineText, Reading, ReadingKind
from partsdb.matching.second_look import held_back
from partsdb.matching.traits import AGREES
from partsdb.matching.weighing import Desk, Weighed, candidates, evidence, weigh
from partsdb.rules.descriptions import remember_role
from partsdb.rules.numbers import number_key

# Ranks, the surer the higher; not probabilities.
_CONFIDENCE = {
    "decided": 1.0,
    "named": 0.9,
    "named repaired": 0.75,
    "charge": 0.9,
    "foreign": 0.8,
    "role": 0.7,
    "section": 0.5,
    "unknown": 0.4,
    "review": 0.3,
}
# Shorter words with a figure are sizes and models more often than numbers.
_MENTIONED = 5
_NUMBER = re.compile(r"[^\W_][\w./-]*\d[\w./-]*")
TEXT_CANDIDATES = 20
_TEXT_COVERAGE = 0.8
_TEXT_STRENGTH = 3


_Thing = TypeVar("_Thing")


class Watched(Protocol):
    """Hands things on one by one, and may tell somebody how far they are."""

    def __call__(self, things: Sequence[_Thing], /) -> Iterable[_Thing]: ...


def unwatched(things: Sequence[_Thing], /) -> Iterable[_Thing]:
    """Hand things on and tell nobody."""
    return things


def read_lines(
    lines: Sequence[LineText], catalogue: Iterable[CatalogueEntry], *, context: ListContext
) -> list[Reading]:
    """Return what each line was taken for, in the order of `lines`.

    The answer for a line depends on the set of lines and parts, never on their order.
    """
    return read_with(CatalogueIndex(catalogue), lines, context=context)


def read_with(
    index: CatalogueIndex,
    lines: Sequence[LineText],
    *,
    context: ListContext,
    watched: Watched = unwatched,
) -> list[Reading]:
    """Return what each line was taken for, against a catalogue indexed before.

    `watched` is given what is gone through, twice over, and hands it on one by one.
    """
    with collector_paused():
        facts = ListFacts(lines, context, index.whole.sense)
        affixes = learned_affixes(facts, index, watched(range(len(lines))))
        return read_facts(facts, Desk(index, context, affixes), watched)


@contextmanager
def collector_paused() -> Iterator[None]:
    """Spare the search for cyclic garbage: reading makes none and a catalogue is much to search."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def read_facts(facts: ListFacts, desk: Desk, watched: Watched = unwatched) -> list[Reading]:
    """Return what each line was taken for, once what they teach is known."""
    every = range(len(facts))

    def read(places: Sequence[int]) -> list[tuple[Reading, str]]:
        # Of two halves read at once each tells of two lines for one.
        steps = iter(watched(every))
        told = islice(steps, 0, None, max(1, len(every) // max(1, len(places))))
        return [
            (_read(facts[at], desk), facts[at].described.role)
            for at, _ in zip(places, told, strict=False)
        ]

    found = in_halves(read, every)
    for line, (_, role) in zip(facts.lines, found, strict=True):
        remember_role(line.description, role)  # what the other process found out is lost with it
    return held_back(facts, [reading for reading, _ in found], desk.context)


def _read(facts: LineFacts, desk: Desk) -> Reading:
    decisions = desk.context.decisions
    if decisions and (decided := decisions.get(decision_key(facts.line))):
        return decided_reading(decided)
    if facts.is_charge:
        told = Evidence("piece", "for", "a charge or a discount, no article")
        return Reading(ReadingKind.NOT_A_PART, None, _CONFIDENCE["charge"], (told,))
    own = read_own_number(facts, desk)
    claims = named_parts(facts, desk)
    if own.reading and own.reading.kind is ReadingKind.OFFER and not _only_borrows(own, claims):
        return own.reading
    claimed = _read_claims(facts, claims, desk)
    if claimed and claimed.kind is ReadingKind.REPLACEMENT and own.is_contradicted:
        return _review(own.weighed, "its own number is ours, yet it names another", desk)
    return claimed or own.reading or _read_text(facts, own, desk)


def decided_reading(decided: PastDecision) -> Reading:
    """Return the reading of a line about which a person has decided."""
    told = Evidence("decision", "for", "decided here before for a line that said the same")
    return Reading(decided.kind, decided.part_id, _CONFIDENCE["decided"], (told,))


def _only_borrows(own: Own, claims: list[Named]) -> bool:
    """Say whether the number is lent: the supplier's own, or the very one it claims to replace."""
    if own.is_suppliers:
        return bool(claims)
    if own.has_maker or not own.reading:
        return False
    return any(each.place == own.place for named in claims for each in _places(named))


def _places(named: Named) -> list[Hit]:
    return [each.hit for each in named.weighed]


def _read_claims(facts: LineFacts, claims: list[Named], desk: Desk) -> Reading | None:
    """Return the reading of the claims to replace, None when they name nothing of ours."""
    weighed = [each for named in claims for each in named.weighed]
    if not weighed:
        return None
    certain = [named for named in claims if named.is_certain]
    if not certain:
        why = next(named.why for named in claims if named.weighed)
        return _review(weighed, why, desk)
    chosen = certain[0].weighed[0]
    told = Evidence("claim", "for", f"the line says that it replaces {certain[0].written}")
    damage = chosen.hit.damage
    return Reading(
        ReadingKind.REPLACEMENT,
        desk.index.entries[chosen.hit.place].part_id,
        _CONFIDENCE["named repaired" if damage else "named"],
        (told, *(replace(e, weighs="against") if e.weighs == "veto" else e
                 for e in evidence(chosen, desk))),
        candidates(weighed, desk),
        damage,
    )  # fmt: skip


def _review(weighed: Iterable[Weighed], why: str, desk: Desk, damage: str = "") -> Reading:
    told = (Evidence("doubt", "against", why),)
    shown = candidates(weighed, desk)
    return Reading(ReadingKind.TO_REVIEW, None, _CONFIDENCE["review"], told, shown, damage)


def _read_text(facts: LineFacts, own: Own, desk: Desk) -> Reading:
    """Return the reading of a line that no number of ours explains."""
    line = facts.line
    written = line.maker_number or line.code
    if not (written or line.description).strip():
        told = Evidence("line", "for", "the row has neither code nor description")
        return Reading(ReadingKind.NOT_A_PART, None, _CONFIDENCE["charge"], (told,))
    damage = damage_named(written)
    if damage and (facts.role or facts.section_role):
        why = f"the code {written} is destroyed: {damage}"
        return _review(_by_text(facts, desk), why, desk, damage)
    if not written.strip() and (near := _by_text(facts, desk)) and _fits_by_text(near[0]):
        return _review(near, "the line has no number, and its words fit a part of ours", desk)
    if mentioned := _mentioned(facts, desk):
        return _review(mentioned, "the description mentions a number of ours", desk)
    return _by_kind(facts, own, desk)


def _mentioned(facts: LineFacts, desk: Desk) -> list[Weighed]:
    """Return the parts of the line's kind whose number stands in the text without saying why."""
    for word in mentioned_numbers(facts.line.description):
        weighed = weigh(facts, key_hits(word, desk.index), word, desk)
        alike = [each for each in weighed if each.likeness.outcome("piece") == AGREES]
        if alike:
            return alike
    return []


def mentioned_numbers(description: str) -> list[str]:
    """Return the words of a description that may be a part's number."""
    found = _NUMBER.findall(description)
    return [word for word in found if len(number_key(word)) >= _MENTIONED]


def is_sought_by_words(line: LineText) -> bool:
    """Say whether nothing but its words can lead a line to a part: its number is lost or none."""
    written = line.maker_number or line.code
    return not written.strip() or bool(damage_named(written))


def _by_text(facts: LineFacts, desk: Desk) -> list[Weighed]:
    """Return the parts whose descriptions share the line's rare words: proposals only."""
    places = desk.index.by_words(facts.line.description, limit=TEXT_CANDIDATES)
    return weigh(facts, (Hit(place, TEXT) for place in places), "", desk)


def _fits_by_text(weighed: Weighed) -> bool:
    likeness = weighed.likeness
    return (
        likeness.outcome("piece") == AGREES
        and not likeness.contradictions()
        and likeness.coverage >= _TEXT_COVERAGE
        and likeness.strength >= _TEXT_STRENGTH
    )


def _by_kind(facts: LineFacts, own: Own, desk: Desk) -> Reading:
    """Return `new part` for a piece of our trade, `not ours` for everything else."""
    shown = candidates(own.weighed, desk)
    if role := facts.role or facts.section_role:
        sure = "role" if facts.role else "section"
        told = Evidence("piece", "for", f"a {role}, whose number is none of ours")
        return Reading(ReadingKind.NEW_PART, None, _CONFIDENCE[sure], (*own.notes, told), shown)
    sure = "foreign" if facts.is_foreign else "unknown"
    told = Evidence("piece", "against", f"no piece of our trade: {facts.head or 'word unknown'}")
    return Reading(ReadingKind.NOT_OURS, None, _CONFIDENCE[sure], (*own.notes, told), shown)
