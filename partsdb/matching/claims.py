"""Resolves the numbers of ours that a line claims to replace."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from partsdb.matching.facts import LineFacts
from partsdb.matching.hits import Hit, key_hits, proposed_hits, repaired_hits
from partsdb.matching.judge import is_swapped
from partsdb.matching.readings import LineText
from partsdb.matching.traits import AGREES, CONTRADICTS
from partsdb.matching.weighing import Desk, Weighed, is_wrong_match, named, weigh
from partsdb.rules.descriptions import claims_in
from partsdb.rules.makers import name_key
from partsdb.rules.numbers import number_identity, number_key
from partsdb.rules.spreadsheet import SCIENTIFIC, damages

# A comma before three digits may stand within a number ("CW 50,434").
SPLIT = re.compile(
    r"\s*(?:[;|&/\n]|,(?!\d{3}(?!\d))|\s\+\s|\b(?:and|und|or|oder)\b)\s*", re.IGNORECASE
)
_SHORTEST = 3


@dataclass(frozen=True, slots=True)
class Named:
    """One number that the line names: the parts it may be, and whether that is certain.

    `why` says what stands against it when it is not; both empty when it is none of ours.
    """

    written: str
    weighed: tuple[Weighed, ...]
    is_certain: bool
    why: str = ""


def named_parts(facts: LineFacts, desk: Desk) -> list[Named]:
    """Return each number that the line claims to replace, in the order written."""
    found: dict[str, Named] = {}
    for text in claimed_texts(facts.line, facts.described.claims):
        for maker, number in _numbers(text, desk):
            found.setdefault(number_identity(number), _resolve(facts, maker, number, desk))
    return list(found.values())


def possible_numbers(line: LineText) -> Iterator[str]:
    """Yield every number that `named_parts` may look up for a line, and more rather."""
    for text in claimed_texts(line, claims_in(line.description)):
        for piece in (text, *SPLIT.split(text)):
            words = piece.split()
            named = next((at for at, word in enumerate(words) if _has_digit(word)), None)
            if named is not None:
                for start in range(named + 1):
                    yield " ".join(words[start:])
                    yield " ".join(words[start:-1])


def claimed_texts(line: LineText, claims: tuple[str, ...]) -> tuple[str, ...]:
    """Return every text in which a line says what it replaces: its column, then its description."""
    return (line.replaces, *claims) if line.replaces.strip() else claims


def _numbers(text: str, desk: Desk) -> Iterator[tuple[str, str]]:
    """Yield (maker key or "", number) for each number in a claim; a maker named once goes on."""
    maker, number = _maker_and_number(text, desk)
    is_one = not SPLIT.search(number) or damages(number) or key_hits(number, desk.index)
    if number and is_one:
        yield maker, number
        return
    maker = ""
    for part in SPLIT.split(text):
        named_maker, number = _maker_and_number(part, desk)
        maker = named_maker or maker
        if len(number_key(number)) >= _SHORTEST:
            yield maker, number


def _maker_and_number(text: str, desk: Desk) -> tuple[str, str]:
    """Return the known maker that the text begins or ends with, and the number beside it."""
    words = text.split()
    maker = ""
    for at in (0, -1):
        known = desk.context.maker_keys.get(name_key(words[at])) if words else None
        if known and not _has_digit(words[at]):
            maker = known
            words.pop(at)
    # "OEM no. CW 50434": words without a digit go until what is left is a number of ours.
    while len(words) > 1 and not _has_digit(words[0]):
        if desk.index.with_key(number_key("".join(words))):
            break
        words.pop(0)
    number = " ".join(words)
    return maker, number if _has_digit(number) else ""


def _has_digit(text: str) -> bool:
    return any(sign.isdigit() for sign in text)


def _resolve(facts: LineFacts, maker: str, number: str, desk: Desk) -> Named:
    """Return the parts that one named number may be; only one of them may make it certain."""
    exact = _weighed(facts, maker, key_hits(number, desk.index), number, desk)
    if exact:
        return _exact(number, exact, bool(maker), desk)
    repaired = _weighed(facts, maker, repaired_hits(number, desk.index, ()), number, desk)
    near = _weighed(facts, maker, proposed_hits(number, desk.index, ()), number, desk)
    is_lost = any(name == SCIENTIFIC for _, name in damages(number))
    is_sure = len(repaired) == 1 and not is_lost and _piece(repaired[0]) == AGREES
    is_sure = is_sure and not is_wrong_match(repaired[0])
    if is_sure and not any(is_swapped(each, repaired[0], desk) for each in near):
        return Named(number, tuple(repaired), True)
    found = (*repaired, *near)
    if not found or all(_piece(each) == CONTRADICTS for each in found):
        return Named(number, (), False)
    return Named(number, found, False, f"the number {number} that it names is none of ours as is")


def _exact(number: str, exact: list[Weighed], has_maker: bool, desk: Desk) -> Named:
    fitting = [each for each in exact if _piece(each) != CONTRADICTS]
    if fitting and not (fitting := [each for each in fitting if not is_wrong_match(each)]):
        why = f"a person said: it does not replace {named(exact[0], desk)}"
        return Named(number, tuple(exact), False, why)
    if not fitting:
        why = f"it is another kind of piece than {named(exact[0], desk)}"
        return Named(number, tuple(exact), False, why)
    if len(exact) == 1 or (len(fitting) == 1 and _piece(fitting[0]) == AGREES):
        return Named(number, tuple(fitting), True)
    agreeing = [each for each in fitting if each.likeness.outcome("maker") == AGREES]
    if len(agreeing) == 1 and not has_maker:
        return Named(number, tuple(agreeing), True)
    numbers = " or ".join(named(each, desk) for each in exact)
    return Named(number, tuple(exact), False, f"the number may be {numbers}")


def _weighed(
    facts: LineFacts, maker: str, hits: list[Hit], number: str, desk: Desk
) -> list[Weighed]:
    """Return the hits weighed, those of the named maker alone when the claim names one."""
    if maker:
        makers = {hit.place: desk.index.entries[hit.place].maker for hit in hits}
        hits = [hit for hit in hits if desk.context.maker_of(makers[hit.place]) == maker]
    return weigh(facts, hits, number, desk)


def _piece(weighed: Weighed) -> str:
    return weighed.likeness.outcome("piece")
