"""Reads the number under which a line sells its article: is it the number of a part of ours?"""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.matching.facts import LineFacts
from partsdb.matching.hits import (
    FORM,
    KEY,
    damage_named,
    key_hits,
    proposed_hits,
    repaired_hits,
)
from partsdb.matching.judge import REPAIRED_STRENGTH, settle_exact, settle_repaired
from partsdb.matching.readings import Evidence, Reading, ReadingKind
from partsdb.matching.traits import AGREES
from partsdb.matching.weighing import Desk, Weighed, candidates, evidence, named, weigh
from partsdb.rules.numbers import number_key
from partsdb.rules.spreadsheet import SCIENTIFIC

# Ranks, the surer the higher; not probabilities.
_KEY_WITH_MAKER, _KEY_DESCRIBED, _KEY_ALONE, _REPAIRED, _REVIEW = 0.99, 0.95, 0.85, 0.8, 0.3


@dataclass(frozen=True, slots=True)
class Own:
    """What the line's own number came to: a reading, or None when it is no number of ours.

    `place` is the part settled (-1: none); `has_maker` says that the line names the part's maker,
    `is_contradicted` that the exact number is ours but the description is against it,
    `is_suppliers` that the part is the supplier's own article, known from an earlier list.
    """

    reading: Reading | None
    weighed: tuple[Weighed, ...] = ()
    notes: tuple[Evidence, ...] = ()
    place: int = -1
    has_maker: bool = False
    is_contradicted: bool = False
    is_suppliers: bool = False


def read_own_number(facts: LineFacts, desk: Desk) -> Own:
    """Return what the maker's number of the line is, or its code where no such column stands."""
    written = (facts.line.maker_number or facts.line.code).strip()
    if not number_key(written):
        return Own(None)
    exact = weigh(facts, key_hits(written, desk.index), written, desk)
    ours = [each for each in exact if not each.is_other_makers]
    if ours:
        return _read_exact(facts, ours, desk)
    notes = tuple(_other_makers(each, desk) for each in exact)
    repaired = weigh(facts, repaired_hits(written, desk.index, desk.affixes), written, desk)
    repaired = [each for each in repaired if not each.is_other_makers]
    near = weigh(facts, proposed_hits(written, desk.index, desk.affixes), written, desk)
    near = [each for each in near if not (each.is_other_makers or _is_own(each, desk))]
    if exact:
        # The very number under another maker is that maker's part, no slip of ours.
        return Own(None, tuple(exact), notes)
    return _read_inexact(facts, repaired, near, desk)


def _is_own(weighed: Weighed, desk: Desk) -> bool:
    """Say whether the part is the supplier's own: its numbers run on, so the next is no slip."""
    maker = desk.index.entries[weighed.hit.place].maker
    return desk.context.maker_of(maker) in desk.context.own_keys


def _read_exact(facts: LineFacts, ours: list[Weighed], desk: Desk) -> Own:
    at, why = settle_exact(facts, ours, desk)
    if at >= 0 and (other := _other_number(facts, ours[at], desk)):
        at, why = -1, f"its code is {other}, its maker's number {named(ours[at], desk)}"
    if at < 0:
        vetoed = all(each.vetoes() for each in ours)
        reading = _review(ours, why, desk)
        return Own(reading, tuple(ours), is_contradicted=vetoed)
    chosen = ours[at]
    has_maker = chosen.likeness.outcome("maker") == AGREES
    sure = _KEY_ALONE
    if chosen.likeness.strength:
        sure = _KEY_WITH_MAKER if has_maker else _KEY_DESCRIBED
    return _offer(chosen, ours, sure, desk)


def _other_number(facts: LineFacts, chosen: Weighed, desk: Desk) -> str:
    """Return the other part of the same maker whose very number the line has as its code."""
    if not facts.line.maker_number.strip():
        return ""
    maker = desk.index.entries[chosen.hit.place].maker
    for hit in key_hits(facts.line.code, desk.index):
        entry = desk.index.entries[hit.place]
        if hit.place != chosen.hit.place and entry.maker == maker:
            return f"{entry.maker} {entry.number}"
    return ""


def _read_inexact(
    facts: LineFacts, repaired: list[Weighed], near: list[Weighed], desk: Desk
) -> Own:
    weighed = (*repaired, *near)
    if repaired:
        at, why = settle_repaired(facts, repaired, near, desk)
        if at >= 0 and not _is_lost(repaired[at], desk):
            return _offer(repaired[at], list(weighed), _REPAIRED, desk)
        if at >= 0:
            why = f"digits are lost: {repaired[at].hit.damage}"
        has_maker = any(each.likeness.outcome("maker") == AGREES for each in repaired)
        if has_maker or _is_suggested(facts, repaired, strength=1):
            damage = repaired[max(at, 0)].hit.damage
            return Own(_review(weighed, why, desk, damage), weighed)
    if _is_suggested(facts, near, strength=REPAIRED_STRENGTH):
        return Own(_review(weighed, "the number is a near miss of one of ours", desk), weighed)
    return Own(None, weighed)


def _is_suggested(facts: LineFacts, weighed: list[Weighed], *, strength: int) -> bool:
    """Say whether the description suggests one of the parts; no description rules none out."""
    if not facts.line.description.strip():
        return bool(weighed)
    return any(
        (each.likeness.outcome("piece") == AGREES or each.likeness.is_worded_alike)
        and not each.vetoes()
        and each.likeness.strength >= strength
        for each in weighed
    )


def _is_lost(weighed: Weighed, desk: Desk) -> bool:
    """Say whether the shown form has lost digits: only a number written with E keeps them all."""
    if weighed.hit.tier != FORM or damage_named(weighed.written) == "":
        return False
    number = number_key(desk.index.entries[weighed.hit.place].number)
    return weighed.hit.damage == SCIENTIFIC and number.isdecimal()


def _offer(chosen: Weighed, weighed: list[Weighed], sure: float, desk: Desk) -> Own:
    reading = Reading(
        ReadingKind.OFFER,
        desk.index.entries[chosen.hit.place].part_id,
        sure,
        evidence(chosen, desk),
        candidates(weighed, desk),
        chosen.hit.damage,
    )
    has_maker = chosen.likeness.outcome("maker") == AGREES and chosen.hit.tier == KEY
    return Own(
        reading,
        tuple(weighed),
        place=chosen.hit.place,
        has_maker=has_maker,
        is_suppliers=_is_own(chosen, desk),
    )


def _review(
    weighed: list[Weighed] | tuple[Weighed, ...], why: str, desk: Desk, damage: str = ""
) -> Reading:
    told = (Evidence("doubt", "against", why),)
    return Reading(ReadingKind.TO_REVIEW, None, _REVIEW, told, candidates(weighed, desk), damage)


def _other_makers(weighed: Weighed, desk: Desk) -> Evidence:
    entry = desk.index.entries[weighed.hit.place]
    return Evidence(
        "maker", "against", f"{entry.number} is ours as {entry.maker}'s, not this maker's"
    )
