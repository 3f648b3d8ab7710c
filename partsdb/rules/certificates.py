"""Certificates that have run out: what rests on one alone is not shown any more."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from partsdb.rules.facts import Claim, EvidenceLevel, PartFacts
from partsdb.rules.verdict import Check, Outcome

_ENDS = re.compile(
    r"(?:valid (?:to|until|till)|expires?(?: on)?|expired(?: on)?|gültig bis)\s*:?\s*"
    r"(\d{4}-\d{2}-\d{2})",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Aged:
    """A part as it is known on a day, and the claims whose papers had run out by then."""

    part: PartFacts
    expired: tuple[Claim, ...] = ()


def valid_to(source: str) -> str:
    """Return the last day (ISO) that a source names for itself, or ""."""
    found = _ENDS.search(source)
    return found[1] if found else ""


def on_day(part: PartFacts, day: str) -> Aged:
    """Return the part as its papers show it on `day` (ISO).

    A claim whose paper has run out stays, for a low figure must not vanish, but shows nothing: it
    counts as inferred (handbook 1.4).
    """
    expired = tuple(claim for claim in part.claims if _has_expired(claim, day))
    if not expired:
        return Aged(part)
    claims = tuple(
        replace(claim, evidence=EvidenceLevel.INFERRED) if claim in expired else claim
        for claim in part.claims
    )
    return Aged(replace(part, claims=claims), expired)


def _has_expired(claim: Claim, day: str) -> bool:
    last = valid_to(claim.source)
    return bool(last) and last < day


def check_papers(expired: Sequence[Claim], checks: Sequence[Check]) -> Check | None:
    """Return what a paper that has run out leaves not shown; None where all is shown without it."""
    is_open = any(check.outcome is Outcome.NOT_SHOWN for check in checks)
    if not expired or not is_open:
        return None
    papers = "; ".join(
        dict.fromkeys(f"{claim.value} rested on {claim.source}" for claim in expired)
    )
    text = f"a paper has run out: {papers}; get a new one"
    return Check("certificate", Outcome.NOT_SHOWN, text, code="CERT_EXPIRED")
