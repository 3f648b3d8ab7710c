"""What the rules are told about a part and a position: plain facts, each with its evidence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from partsdb.rules.evidence import EVIDENCE_RANK, EvidenceLevel

if TYPE_CHECKING:
    from partsdb.rules.pressure import Pressure

__all__ = [
    "EVIDENCE_RANK", "NOT_SAID", "Claim", "ClaimKind", "EvidenceLevel", "KitItem", "PartFacts",
    "PositionDemand", "StandsIn",
]  # fmt: skip


class ClaimKind(StrEnum):
    """What a claim is about."""

    RATING = "rating"
    TEMPERATURE = "temperature"
    MATERIAL = "material"
    PORT = "port"
    DIMENSION = "dimension"
    FLUID = "fluid"
    STANDARD = "standard"


@dataclass(frozen=True, slots=True)
class Claim:
    """One statement about a part as somebody made it.

    `about` is the piece or port or dimension meant ("ball", "inlet", "bore_mm"; "" = the whole
    part); `value` as written ("3300 psi", "tungsten carbide", "1/4-18 NPT male"); `basis` for a
    rating is "working", "proof", "burst" or "" when not said; `source` is where it stands.
    """

    kind: ClaimKind
    value: str
    evidence: EvidenceLevel
    about: str = ""
    basis: str = ""
    source: str = ""


NOT_SAID = 0  # a kit's list names the piece and not how many


@dataclass(frozen=True, slots=True)
class KitItem:
    """One line of a kit's contents. `kind` is "wear item", "hardware" or "consumable".

    `quantity` NOT_SAID: it is in the kit, at least one, and nobody has said how many.
    """

    item: str
    role: str
    quantity: int
    kind: str
    material: str = ""
    size: str = ""


@dataclass(frozen=True, slots=True)
class PartFacts:
    """A part as the rules see it. `contents` is None when a kit's contents are not stated.

    `contents_evidence` is how the contents are known: the maker's sheet, or a seller's word.
    """

    maker: str
    number: str
    description: str
    role: str
    claims: tuple[Claim, ...] = ()
    contents: tuple[KitItem, ...] | None = None
    contents_evidence: EvidenceLevel = EvidenceLevel.MAKERS_DOCUMENT


@dataclass(frozen=True, slots=True)
class StandsIn:
    """The directed edge "`fitted` may be fitted where `asked` is called for" (maker, number).

    `state` is "proposed", "accepted" or "rejected"; only an accepted edge is an approval.
    """

    asked: tuple[str, str]
    fitted: tuple[str, str]
    state: str
    evidence: EvidenceLevel
    conditions: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class PositionDemand:
    """What a position of a machine asks of the part in it.

    `pressure` is a demand (rounded up); `ports` are the machine's own threads that the part must
    seal in ("1/4-18 NPT female"); `materials` the least acceptable material by role; `sizes` are
    (dimension name, value as written); `block_material` is what the part is screwed into.
    `stall` is the machine's pressure when nothing flows, `overshoot_percent` what its regulator
    lets through above the set pressure: the machine's own margin on top of `pressure`.
    """

    machine: str
    position: str
    role: str
    pressure: Pressure | None = None
    temp_c_max: int | None = None
    fluids: tuple[str, ...] = ()
    ports: tuple[str, ...] = ()
    materials: tuple[tuple[str, str], ...] = ()
    sizes: tuple[tuple[str, str], ...] = ()
    block_material: str = ""
    stall: Pressure | None = None
    overshoot_percent: str = ""
