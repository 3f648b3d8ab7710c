"""Certificates that have run out: what rests on one alone is not shown any more."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from partsdb.errors import InputRefusedError
from partsdb.rules.days import iso_day_written
from partsdb.rules.facts import Claim, EvidenceLevel, PartFacts, StandsIn
from partsdb.rules.verdict import Check, Outcome

_MONTH = r"[A-Za-zä]{3,9}\.?"
_DATE = (
    r"(?:\d{4}-\d{1,2}(?:-\d{1,2})?|\d{4}[./]\d{1,2}[./]\d{1,2}"
    r"|\d{1,2}\.\s?(?:\d{1,2}\.\s?)?\d{2,4}|\d{1,2}[/-](?:\d{1,2}[/-])?\d{2,4}"
    rf"|(?:\d{{1,2}}(?:\.|st|nd|rd|th)?[ -])?{_MONTH},?[ -]\d{{4}}"
    rf"|{_MONTH} \d{{1,2}}(?:st|nd|rd|th)?,? \d{{4}}|\d{{4}})(?![\w/-])"
)
_LAST_WORDS = (
    r"valid (?:up )?(?:to|until|till|thru|through)|(?:not|no longer) valid (?:after|from)"
    rf"|valid(?:ity)?:?(?: from)? {_DATE} ?(?:to|until|till|-|–|bis)"
    r"|expir(?:es?|ed|y|ation)(?: date)?(?: on| in)?|exp\.?(?: date)?|until|best before|use by"
    r"|(?:lapse[sd]?|withdrawn)(?: on)?|g[üu]e?ltig(?:keit)? bis(?: zum)?|l(?:ä|ae)uft ab(?: am)?"
    r"|ablauf(?:datum)?|abgelaufen(?: am)?"
)
_BEGINS = rf"\b(?:{_LAST_WORDS})(?![^\W\d_]|-)"
_ENDS = re.compile(rf"{_BEGINS}\s*:?\s*({_DATE})", re.IGNORECASE)
# A last day told in a way that is not read here, a time it holds for, or the word that it is over.
_SOME_DAY = (
    r"(?:\b(?:19|20)\d{2}|\b\d{1,2}[./-]\d|\b(?:jan|feb|m[aä]r|apr|ma[iy]|jun|jul|aug|sep|o[ck]t"
    r"|nov|de[cz]))"
)
_TOLD_OTHERWISE = re.compile(
    rf"{_BEGINS}[^;,]{{0,24}}?{_SOME_DAY}"
    r"|\b(?:valid for|g[üu]e?ltig f(?:ü|ue)r)[^;,]{1,12}"
    r"(?:year|month|day|week|jahr|monat|tag|woche)"
    r"|\b(?<!not )(?<!nicht )(?:expired|lapsed|abgelaufen|no longer valid)\b"
    r"|(?<!not )(?<!until )(?<!unless )(?<!if )\b(?:withdrawn|revoked|superseded by|void"
    r"|ung[üu]e?ltig|cancell?ed|widerrufen|zur(?:ü|ue)ckgezogen)\b",
    re.IGNORECASE,
)
UNREADABLE = "a day that cannot be read"


@dataclass(frozen=True, slots=True)
class Aged:
    """A part as it is known on a day, and the claims whose papers had run out by then."""

    part: PartFacts
    expired: tuple[Claim, ...] = ()


@lru_cache(maxsize=4096)
def valid_to(source: str) -> str:
    """Return the last day (ISO) that a source names for itself, the earliest of several, or "".

    UNREADABLE where it names one that is no date, or says that it was withdrawn: nobody knows then
    that it still holds.
    """
    named = [_iso(written) for written in _ENDS.findall(source)]
    if UNREADABLE in named or _TOLD_OTHERWISE.search(_ENDS.sub(" ", source)):
        return UNREADABLE
    return min(named, default="")


def _iso(written: str) -> str:
    """Return the date, of a month or year its first day, of two readings the earlier."""
    readings = [re.sub(r"(?<=\d)(?:st|nd|rd|th)|,", "", written)]
    if found := re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})", written):
        readings = [f"{found[3]}-{found[2]}-{found[1]}", f"{found[3]}-{found[1]}-{found[2]}"]
    elif found := re.fullmatch(r"(\d{4})[./](\d{1,2})[./](\d{1,2})", written):
        readings = [f"{found[1]}-{found[2]}-{found[3]}"]
    elif found := re.fullmatch(r"(\d{4})(?:-(\d{1,2}))?", written):
        readings = [f"{found[1]}-{found[2] or 1}-1"]
    elif found := re.fullmatch(r"(\d{1,2})[./-](\d{4})", written):
        readings = [f"{found[2]}-{found[1]}-1"]
    elif found := re.fullmatch(rf"({_MONTH}),?[ -](\d{{4}})", written):
        readings = [f"1 {found[1]} {found[2]}"]
    elif found := re.fullmatch(rf"({_MONTH}) (\d{{1,2}})\D*(\d{{4}})", written):
        readings = [f"{found[2]} {found[1]} {found[3]}"]
    return min((day for each in readings if (day := _day(each))), default=UNREADABLE)


def _day(written: str) -> str:
    try:
        return iso_day_written(written)
    except InputRefusedError:
        return ""


def has_run_out(source: str, day: str) -> bool:
    """Say whether a source names a last day for itself that lies before `day` (ISO)."""
    last = valid_to(source)
    return bool(last) and (last == UNREADABLE or last < day)


def edge_on_day(edge: StandsIn, day: str) -> StandsIn:
    """Return the edge as its paper shows it on `day`: an approval on one that has run out is none.

    A rejection holds: what leaked once still leaks.
    """
    if not day or edge.state == "rejected" or not has_run_out(edge.source, day):
        return edge
    return replace(edge, evidence=EvidenceLevel.INFERRED, source=f"{edge.source}, run out")


def on_day(part: PartFacts, day: str) -> Aged:
    """Return the part as its papers show it on `day` (ISO).

    A claim whose paper has run out stays, for a low figure must not vanish, but shows nothing: it
    counts as inferred (handbook 1.4).
    """
    expired = tuple(claim for claim in part.claims if has_run_out(claim.source, day))
    if not expired:
        return Aged(part)
    claims = tuple(
        replace(claim, evidence=EvidenceLevel.INFERRED) if claim in expired else claim
        for claim in part.claims
    )
    return Aged(replace(part, claims=claims), expired)


def check_papers(expired: Sequence[Claim], checks: Sequence[Check]) -> Check | None:
    """Return what a paper that has run out leaves not shown; None where all is shown without it."""
    is_open = any(check.outcome is Outcome.NOT_SHOWN for check in checks)
    if not expired or not is_open:
        return None
    papers = "; ".join(dict.fromkeys(map(_rested_on, expired)))
    text = f"a paper has run out: {papers}; get a new one"
    return Check("certificate", Outcome.NOT_SHOWN, text, code="CERT_EXPIRED")


def _rested_on(claim: Claim) -> str:
    unread = ", whose last day cannot be read" if valid_to(claim.source) == UNREADABLE else ""
    return f"{claim.value} rested on {claim.source}{unread}"
