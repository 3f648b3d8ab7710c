"""A hose that carries what burns must be conductive: a spark at the gun sets the spray alight.

A stronger hose that is not conductive is no substitute (handbook 1.5; ISO 8028 for its continuity).
"""

from __future__ import annotations

from functools import lru_cache

from partsdb.rules.facts import Claim, ClaimKind
from partsdb.rules.judge.case import Case, claims_of, evidence_of, to_confirm
from partsdb.rules.seals import may_burn
from partsdb.rules.verdict import GRAVITY, Check, Outcome
from partsdb.rules.words import plain_words

CHECK = "conductive"
_HOSES = ("hose", "whip hose")
_YES = ("conductive", "leitfaehig", "leitend", "antistatic", "antistatisch")
_NO = frozenset({"non", "not", "no", "nicht"})
_INSULATES = frozenset({"nonconductive", "nichtleitend", "isolierend", "insulating"})
_KINDS = (ClaimKind.STANDARD, ClaimKind.MATERIAL, ClaimKind.DIMENSION)


def spark_checks(case: Case) -> list[Check]:
    """Return whether a hose is shown to be conductive, none where nothing that burns is in it."""
    burning = [fluid for fluid in case.demand.fluids if may_burn(fluid)]
    if case.role.name not in _HOSES or not burning:
        return []
    return [_conductive(case, burning[0])]


def _conductive(case: Case, fluid: str) -> Check:
    found = [
        _said(claim, says, fluid)
        for kind in _KINDS
        for claim in claims_of(case.part, kind)
        if (says := _says(_of(claim))) is not None
    ]
    if found:
        return max(found, key=lambda check: GRAVITY[check.outcome])
    says = _says(case.part.description)
    if says is False:
        text = f"its description says that it is not conductive, and {fluid} may burn"
        return Check(CHECK, Outcome.FAILS, text, code="FLUID_BAD")
    if says:
        text = f"only its description says that it is conductive, and {fluid} may burn"
        condition = "confirm the marking on the hose: conductive, for this job"
        return Check(CHECK, Outcome.MEETS_WITH_CONDITIONS, text, conditions=(condition,))
    text = f"nothing shows that it is conductive, and {fluid} may burn"
    return Check(CHECK, Outcome.NOT_SHOWN, text, code="FLUID_UNKNOWN")


def _of(claim: Claim) -> str:
    """Return a claim as a phrase: the dimension "conductive" says yes or no."""
    if claim.kind is not ClaimKind.DIMENSION:
        return claim.value
    said = {"yes": "", "ja": "", "true": ""}.get(claim.value.strip().casefold(), "not")
    return f"{said} {claim.about}"


@lru_cache(maxsize=4096)
def _says(text: str) -> bool | None:
    """Say whether a text calls a hose conductive; None where it does not speak of it."""
    words = plain_words(text)
    if not _INSULATES.isdisjoint(words):
        return False
    at = next((at for at, word in enumerate(words) if word.startswith(_YES)), None)
    if at is None:
        return None
    if not _NO.isdisjoint(words[max(0, at - 3) : at]):
        return False
    return True if _NO.isdisjoint(words[at : at + 3]) else None


def _said(claim: Claim, is_so: bool, fluid: str) -> Check:
    if not is_so:
        text = f"stated not to be conductive, and {fluid} may burn"
        return Check(CHECK, Outcome.FAILS, text, evidence_of(claim), "FLUID_BAD")
    check = Check(CHECK, Outcome.MEETS, "stated to be conductive", evidence_of(claim))
    return to_confirm(check, claim.evidence, "confirm the marking on the hose: conductive")
