"""One part in one position, with all that is known about it: what every check looks at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypedDict

from partsdb.rules.equivalence import STRONG, adapter_doubt, adapter_named
from partsdb.rules.facts import (
    EVIDENCE_RANK,
    Claim,
    ClaimKind,
    EvidenceLevel,
    PartFacts,
    PositionDemand,
    StandsIn,
)
from partsdb.rules.memo import once_per_object
from partsdb.rules.pressure import Pressure
from partsdb.rules.roles import Role, role_named
from partsdb.rules.sources import names_source
from partsdb.rules.surges import highest_demand
from partsdb.rules.verdict import Check, Outcome

# How makers call the piece in their claims, against the name of its role.
_ABOUT = {"body": "valve body", "block": "pump block", "lining": "hose", "liner": "hose"}


class Known(TypedDict, total=False):
    """What else may be known: the part called for, the edge or path to this one, grade, consent.

    `adapter` is the adapter that a condition of the edge names, itself a piece of the chain.
    """

    original: PartFacts | None
    edge: StandsIn | None
    path: tuple[StandsIn, ...]
    grade: str
    nominal_confirmed: bool
    adapter: PartFacts | None


@dataclass(frozen=True)
class Case:
    """A part in a position, and what is known of how it came to be proposed."""

    part: PartFacts
    demand: PositionDemand
    original: PartFacts | None = None
    edges: tuple[StandsIn, ...] = ()
    grade: str = ""
    nominal_confirmed: bool = False
    adapter: PartFacts | None = None
    # Asked by every check, so they are settled once: the role that the position asks for, the
    # highest pressure that arises in it, whether the part is the very one called for, whether one
    # strong edge leads straight to it.
    role: Role = field(init=False)
    demanded: Pressure | None = field(init=False)
    is_very_part: bool = field(init=False)
    is_approved: bool = field(init=False)

    def __post_init__(self) -> None:
        settled = self.__dict__  # a frozen dataclass takes no assignment
        settled["role"] = role_named(self.demand.role)
        settled["demanded"] = highest_demand(self.demand)
        settled["is_very_part"] = self.original is not None and key_of(self.part) == key_of(
            self.original
        )
        settled["is_approved"] = (
            len(self.edges) == 1
            and self.edges[0].fitted == key_of(self.part)
            and self.edges[0].state == "accepted"
            and self.edges[0].evidence in STRONG
            and names_source(self.edges[0].source)
        )

    @cached_property
    def place(self) -> str:
        """Return the machine and position in words."""
        return f"{self.demand.machine} {self.demand.position}".strip() or "its place"

    @property
    def offered(self) -> tuple[Made, ...]:
        """Return what the pieces of the part are made of."""
        return made_of(self.part)

    @property
    def called_for(self) -> tuple[Made, ...]:
        """Return what the pieces of the part called for are made of; none for the very part."""
        return made_of(self.original) if self.original and not self.is_very_part else ()

    @cached_property
    def adapter_needed(self) -> str:
        """Return the adapter that the way to the part needs, by its number, or ""."""
        conditions = [text for edge in self.edges for text in edge.conditions]
        return adapter_named(conditions) if conditions else ""

    @cached_property
    def adapter_doubt(self) -> str:
        """Return why it is not known which adapter the way to the part needs, or ""."""
        conditions = [text for edge in self.edges for text in edge.conditions]
        return adapter_doubt(conditions) if conditions else ""


def key_of(part: PartFacts) -> tuple[str, str]:
    """Return the maker and number by which a part is known."""
    return part.maker, part.number


def claims_of(part: PartFacts, kind: ClaimKind) -> tuple[Claim, ...]:
    """Return the part's claims of one kind, in the order given.

    What names no source is inferred, whoever is said to have stated it: nobody can look it up.
    """
    return _by_kind(part.claims).get(kind, ())


@once_per_object
def _by_kind(claims: tuple[Claim, ...]) -> dict[ClaimKind, tuple[Claim, ...]]:
    found: dict[ClaimKind, tuple[Claim, ...]] = {}
    for claim in claims:
        known = claim if names_source(claim.source) else _inferred(claim)
        found[claim.kind] = (*found.get(claim.kind, ()), known)
    return found


def _inferred(claim: Claim) -> Claim:
    return replace(claim, evidence=EvidenceLevel.INFERRED)


def about(claim: Claim, part: PartFacts) -> str:
    """Return the role that a material claim is about; "" in it means the whole part."""
    said = claim.about.strip().lower()
    return _ABOUT.get(said, said) if said else part.role


def weakest(claims: Iterable[Claim]) -> EvidenceLevel:
    """Return the weakest evidence among claims; of none, inferred."""
    levels = (claim.evidence for claim in claims)
    return max(levels, key=EVIDENCE_RANK.__getitem__, default=EvidenceLevel.INFERRED)


def strongest(claims: Iterable[Claim]) -> EvidenceLevel:
    """Return the strongest evidence among claims; of none, inferred."""
    levels = (claim.evidence for claim in claims)
    return min(levels, key=EVIDENCE_RANK.__getitem__, default=EvidenceLevel.INFERRED)


@dataclass(frozen=True, slots=True)
class Made:
    """One piece of a part and what it is made of."""

    role: str
    material: str
    evidence: str
    level: EvidenceLevel = EvidenceLevel.MAKERS_DOCUMENT


@once_per_object
def made_of(part: PartFacts) -> tuple[Made, ...]:
    """Return every material that the part's claims and its kit's contents state, each once."""
    found = [
        Made(about(claim, part), claim.value, evidence_of(claim), claim.evidence)
        for claim in claims_of(part, ClaimKind.MATERIAL)
    ]
    found += [
        Made(item.role, item.material, "kit contents", part.contents_evidence)
        for item in part.contents or ()
        if item.material
    ]
    # Said twice, a material is known by its strongest evidence.
    found.sort(key=lambda made: EVIDENCE_RANK[made.level], reverse=True)
    once = {(made.role, made.material.lower()): made for made in found}
    return tuple(_stacked(list(reversed(once.values()))))


def _stacked(made: list[Made]) -> list[Made]:
    """Return packings as one stack of their materials, all else as it is."""
    rings = [each for each in made if each.role in ("packing", "packing kit")]
    if len(rings) < 2:
        return made
    together = "/".join(sorted(each.material for each in rings))
    rest = [each for each in made if each not in rings]
    weakest = max(rings, key=lambda each: EVIDENCE_RANK[each.level])
    return [replace(weakest, material=together), *rest]


def materials_for(role: str, made: Iterable[Made]) -> list[Made]:
    """Return what the pieces of `role` are made of."""
    return [each for each in made if each.role == role]


def evidence_of(claim: Claim) -> str:
    """Return how a claim is known and where it stands, in words."""
    return f"{claim.evidence}: {claim.source}" if claim.source else str(claim.evidence)


def is_hearsay(level: EvidenceLevel) -> bool:
    """Say whether something is known only by the supplier's word or by guessing."""
    return EVIDENCE_RANK[level] >= EVIDENCE_RANK[EvidenceLevel.SUPPLIERS_WORD]


def to_confirm(check: Check, level: EvidenceLevel, what: str) -> Check:
    """Return the check with `what` to confirm on arrival where it passes by hearsay alone."""
    if check.outcome not in (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS) or not is_hearsay(level):
        return check
    conditions = (*check.conditions, f"{what}: so far only {level}")
    return replace(check, outcome=Outcome.MEETS_WITH_CONDITIONS, conditions=conditions)
