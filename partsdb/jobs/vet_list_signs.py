"""Signs that only the whole list shows, or that stand beside the ratings: dates, codes, prices."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.jobs.vet_judged import Judged
from partsdb.jobs.vet_price_signs import ListSign, price_signs
from partsdb.matching.readings import ReadingKind
from partsdb.rules.article_numbers import read_gtin
from partsdb.rules.days import iso_day_written
from partsdb.rules.facts import ClaimKind
from partsdb.rules.pressure import find_pressures, rating
from partsdb.rules.pressure_units import unit_named
from partsdb.rules.roles import role_named

# Common practice, no source: a few lines may be slips, a list full of one figure is made up.
ENOUGH_RATINGS = 10
_ROUND_SHARE = 0.9
_ROUND = (("psi", 1000), ("bar", 100))
_NOTHING = frozenset(("n/a", "na", "k.a.", "none", "not stated", "tbd", "x"))
_SOLD = (ReadingKind.OFFER, ReadingKind.REPLACEMENT, ReadingKind.NEW_PART)
_UNKNOWN = (ReadingKind.REPLACEMENT, ReadingKind.NEW_PART)
_DOCUMENT = re.compile(
    r"\b(?:cert\w*|zertifi\w*|zeugnis|pr[üu]fzeugnis|test report|data ?sheet|datenblatt"
    r"|declaration|konformit\w*|EN 10204)\b",
    re.IGNORECASE,
)
_EXPIRY = re.compile(
    r"\b(?:valid(?: until| to| till)?|expir(?:es|ed|y)(?: on)?|exp\.?|until|g[üu]ltig bis|bis)"
    r"\s*:?\s*"
    r"(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}\.\s?\d{1,2}\.\s?\d{4}|\d{1,2} [A-Za-z]{3,9} \d{4})",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class _Rule:
    sign: str
    why: str
    question: str
    shows: Callable[[Judged, str], bool]


def list_signs(
    lines: Sequence[Judged], as_of: str, ratios: Sequence[float | None] = ()
) -> list[ListSign]:
    """Return the signs that the list shows on the day `as_of`.

    `ratios` are the lines' prices against the median of others' (None: nobody else quotes).
    """
    found = [
        ListSign(rule.sign, rule.why, rule.question, showing)
        for rule in _RULES
        if (showing := tuple(line for line in lines if rule.shows(line, as_of)))
    ]
    return [
        *found, *_same_text(lines), *_round(lines), *price_signs(lines, ratios),
    ]  # fmt: skip


def _asks_trust(line: Judged) -> bool:
    """Say whether the line sells a part that holds pressure and that nobody here knows."""
    reading = line.line.reading
    unknown = reading.kind in _UNKNOWN or (
        reading.kind is ReadingKind.TO_REVIEW and not reading.candidates
    )
    return unknown and role_named(line.role).holds_pressure


def _said(line: Judged) -> str:
    row = line.line.listed.row
    return " ".join((line.line.listed.text.description, *row.fields.values()))


def _is_expired(line: Judged, as_of: str) -> bool:
    text = _said(line)
    if not _DOCUMENT.search(text):
        return False
    return any(_day(match) < as_of for match in _EXPIRY.findall(text))


def _day(written: str) -> str:
    try:
        return iso_day_written(written)
    except InputRefusedError:
        return "9999"  # a date that may be two is asked about by other signs, not taken as past


def _is_past(line: Judged, as_of: str) -> bool:
    offer = line.line.listed.offer
    return bool(offer and offer.valid_to and offer.valid_to < as_of)


def _fails_check_digit(line: Judged) -> bool:
    found = read_gtin(line.line.listed.text.ean)
    return found is not None and not found.is_valid


def _is_near_miss(line: Judged) -> bool:
    reading = line.line.reading
    refused = any(each.name == "refused" for each in reading.evidence)
    # A new part is told with candidates only where its number is near those of a maker's own.
    doubtful = reading.kind in (ReadingKind.TO_REVIEW, ReadingKind.NEW_PART)
    return doubtful and bool(reading.candidates) and not refused


def _has_run_out(line: Judged, as_of: str) -> bool:
    """Say whether its own paper, or the one on file here for it, has expired."""
    return _is_expired(line, as_of) or any(c.code == "CERT_EXPIRED" for c in line.checks)


def _is_unreadable(line: Judged) -> bool:
    """Say whether something stands in the column of ratings that is no pressure."""
    said = line.line.listed.text.rating.strip()
    sold = line.line.reading.kind in (*_SOLD, ReadingKind.TO_REVIEW)
    if not sold or said.casefold() in _NOTHING or not any(map(str.isalnum, said)):
        return False
    return all(each.pressure is None for each in find_pressures(said, in_pressure_context=True))


_RULES = (
    _Rule(
        "rating unreadable",
        "what stands in the column of ratings is no pressure with its unit",
        "State the working pressure in bar or psi.",
        lambda line, as_of: _is_unreadable(line),
    ),
    _Rule(
        "near-miss number",
        "one sign more or less is another part, and may be one of another pressure",
        "Is this number right, sign by sign, and which part is it?",
        lambda line, as_of: _is_near_miss(line),
    ),
    _Rule(
        "expired document",
        "a certificate that has expired shows nothing of what is made today",
        "Send the certificate that is valid now.",
        _has_run_out,
    ),
    _Rule(
        "no document",
        "nothing but the seller's word stands behind a part that holds pressure",
        "Send the certificate: standard, issuer, item, date and expiry.",
        lambda line, as_of: _asks_trust(line) and not _DOCUMENT.search(_said(line)),
    ),
    _Rule(
        "no origin",
        "without the country and the maker nobody can be asked, and the duty is not known",
        "Who makes it, and in which country?",
        lambda line, as_of: (
            _asks_trust(line) and not line.line.listed.row.fields.get("origin", "").strip()
        ),
    ),
    _Rule(
        "check digit fails",
        "the article number was mistyped or made up",
        "Which is the right article number?",
        lambda line, as_of: _fails_check_digit(line),
    ),
    _Rule(
        "old series",
        "the maker has replaced the number: old stock, or another part under an old number",
        "Is it old stock, and of which year? Why not the number that replaced it?",
        lambda line, as_of: bool(line.newer),
    ),
    _Rule(
        "price no longer valid",
        "the price was to hold until a day that has passed",
        "Does this price still hold?",
        _is_past,
    ),
)


def _same_text(lines: Sequence[Judged]) -> Iterable[ListSign]:
    """Yield the lines of one maker that say the same of two articles and ask two prices."""
    groups: dict[tuple[str, str], list[Judged]] = {}
    for line in lines:
        text = line.line.listed.text
        if line.line.reading.kind in _SOLD and line.line.listed.offer and text.description:
            words = " ".join(text.description.casefold().split())
            groups.setdefault((text.maker.casefold(), words), []).append(line)
    showing = [line for group in groups.values() if _disagrees(group) for line in group]
    if showing:
        why = "two prices for what reads as one thing: one of the texts leaves something out"
        ask = "What is the difference between these articles?"
        yield ListSign("same text, another price", why, ask, tuple(showing))


def _disagrees(group: Sequence[Judged]) -> bool:
    """Say whether lines of one text have two codes and two prices.

    Parts of the catalogue that share a text are told apart by their numbers.
    """
    parts = [line.number for line in group if line.line.reading.kind is ReadingKind.OFFER]
    if len(set(parts)) == len(group):
        return False
    codes = {line.line.listed.text.code for line in group}
    return len(codes) > 1 and len({_price(line) for line in group}) > 1


def _price(line: Judged) -> tuple[Fraction, str]:
    offer = line.line.listed.offer
    return (
        (Fraction(offer.price_e4, offer.price_per), offer.currency) if offer else (Fraction(), "")
    )


def _rated(lines: Sequence[Judged]) -> list[tuple[Judged, str]]:
    return [
        (line, claim.value)
        for line in lines
        for claim in line.line.claims
        if claim.kind is ClaimKind.RATING
    ]


def _round(lines: Sequence[Judged]) -> Iterable[ListSign]:
    rated = [(line, value) for line, value in _rated(lines) if _pascals(value)]
    round_ones = [(line, value) for line, value in rated if _is_round(value)]
    if len(rated) < ENOUGH_RATINGS or len(round_ones) < _ROUND_SHARE * len(rated):
        return
    why = (
        f"{len(round_ones)} of {len(rated)} ratings are whole thousands of psi or hundreds of bar: "
        "figures that were measured are seldom so round"
    )
    yield ListSign("ratings suspiciously round", why, "", tuple(line for line, _ in round_ones))


def _pascals(value: str) -> int | None:
    try:
        return rating(value, in_pressure_context=True).pascals
    except InputRefusedError:
        return None


def _is_round(value: str) -> bool:
    found = _pascals(value)
    steps = [unit_named(unit).pascals * step for unit, step in _ROUND]
    # A rating is held in whole pascals, rounded down.
    return found is not None and any(
        int(round(found / step) * step) == found for step in steps if found
    )
