"""What is not known of a part that is in use, and how much harm not knowing it may do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum

from partsdb.rules.facts import EVIDENCE_RANK, Claim, ClaimKind, EvidenceLevel, PartFacts
from partsdb.rules.ratings import working_rating
from partsdb.rules.roles import Role, role_named
from partsdb.rules.sources import names_source

_SAYS_LITTLE = EVIDENCE_RANK[EvidenceLevel.SUPPLIERS_WORD]
NOTHING_KNOWN = "no working pressure is known"
_WORDS = (EvidenceLevel.INFERRED, EvidenceLevel.SUPPLIERS_WORD)
_VALVE_PIECES = ("ball", "seat")


class Harm(IntEnum):
    """What may happen when the unknown thing is the wrong one; the gravest is the lowest."""

    INJURY = 1
    LEAK = 2
    WEAR = 3
    BLIND = 4

    @property
    def what(self) -> str:
        """The harm in words."""
        return _HARMS[self]


_HARMS = {
    Harm.INJURY: "somebody may be hurt: it may burst or pull out under pressure",
    Harm.LEAK: "it may leak or be eaten by the fluid",
    Harm.WEAR: "it may wear early and come back",
    Harm.BLIND: "nobody could be warned, or told apart good from bad",
}


@dataclass(frozen=True, slots=True)
class Unknown:
    """One thing not known of a part, and what would settle it."""

    about: str
    harm: Harm
    text: str
    settles: str


def unknowns_of(part: PartFacts, expired: Sequence[Claim] = ()) -> tuple[Unknown, ...]:
    """Return what the record does not know of the part, gravest first.

    `expired` are the claims of it whose papers have run out: they show nothing any more.
    """
    found = [
        *_rating(part, expired), *_thread(part), *_materials(part), *_contents(part), *_soft(part),
        *_papers(part, expired),
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda each: each.harm))


def rating_gap(part: PartFacts) -> str:
    """Return why nothing shows the part's working pressure, whatever is asked of it, or ""."""
    found = working_rating(part.claims, role_named(part.role).component_class)
    if found.code == "BURST_ONLY":
        return "only a burst pressure is known, which is no rating"
    if found.pressure is None:
        return NOTHING_KNOWN
    if not any(names_source(figure.source) for figure in found.figures):
        return "its working pressure names no source"
    if found.evidence is EvidenceLevel.INFERRED:
        return "its working pressure is only inferred, or its paper has run out"
    if found.evidence is None or EVIDENCE_RANK[found.evidence] >= _SAYS_LITTLE:
        return "its working pressure is the seller's word alone"
    return ""


def _rating(part: PartFacts, expired: Sequence[Claim]) -> Iterator[Unknown]:
    gap = rating_gap(part) if role_named(part.role).holds_pressure else ""
    if gap and any(claim.kind is ClaimKind.RATING for claim in expired):
        yield _run_out("working pressure", ClaimKind.RATING, expired, Harm.INJURY)
    elif gap:
        document = "the maker's document, or a certificate of the seller"
        yield Unknown("rating", Harm.INJURY, gap, document)


def _run_out(what: str, kind: ClaimKind, expired: Sequence[Claim], harm: Harm) -> Unknown:
    papers = "; ".join(dict.fromkeys(each.source for each in expired if each.kind is kind))
    text = f"its {what} rested on a paper that has run out: {papers}"
    return Unknown(str(kind), harm, text, "the document that is valid now")


def _papers(part: PartFacts, expired: Sequence[Claim]) -> Iterator[Unknown]:
    """Yield what no valid paper says any more: of each kind once, ratings aside."""
    for kind in dict.fromkeys(each.kind for each in expired):
        still = any(c.kind is kind and c.evidence not in _WORDS for c in part.claims)
        if kind is not ClaimKind.RATING and not still:
            harm = Harm.INJURY if kind is ClaimKind.PORT else Harm.LEAK
            yield _run_out(str(kind), kind, expired, harm)


def _thread(part: PartFacts) -> Iterator[Unknown]:
    if _role(part).has_ports and not _says(part, ClaimKind.PORT):
        text = "its thread is not known: NPT and G look alike and one pulls out"
        yield Unknown("thread", Harm.INJURY, text, "thread gauge, or the maker's drawing")


def _materials(part: PartFacts) -> Iterator[Unknown]:
    named = {claim.about for claim in part.claims if claim.kind is ClaimKind.MATERIAL}
    named |= {item.role for item in part.contents or () if item.material}
    if part.role in _VALVE_PIECES and named:
        return  # of a loose ball or seat, any material named is its own
    wanted = _VALVE_PIECES if part.role == "valve kit" else (part.role,)
    for piece in wanted:
        if piece in _VALVE_PIECES and piece not in named:
            text = f"the material of its {piece} is not known"
            yield Unknown("material", Harm.WEAR, text, "hardness file or tester, or the document")


def _contents(part: PartFacts) -> Iterator[Unknown]:
    if part.role.endswith("kit") and part.contents is None:
        text = "what is in the kit is not stated"
        yield Unknown("contents", Harm.WEAR, text, "open one and list it: partsdb kit contents")


def _soft(part: PartFacts) -> Iterator[Unknown]:
    if not _role(part).has_soft_parts:
        return
    if not _says(part, ClaimKind.FLUID):
        text = "which fluids its seals stand is not known"
        yield Unknown("fluid", Harm.LEAK, text, "the maker's list of fluids, or the compound")
    if not _says(part, ClaimKind.TEMPERATURE):
        text = "how hot its seals may get is not known"
        yield Unknown("temperature", Harm.LEAK, text, "the maker's document, or the compound")


def _says(part: PartFacts, kind: ClaimKind) -> bool:
    return any(claim.kind is kind for claim in part.claims)


def _role(part: PartFacts) -> Role:
    return role_named(part.role)
