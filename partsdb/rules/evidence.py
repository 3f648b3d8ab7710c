"""How a fact is known."""

from __future__ import annotations

from enum import StrEnum


class EvidenceLevel(StrEnum):
    """How a fact is known, strongest first."""

    MAKERS_DOCUMENT = "maker's document"
    MEASURED_HERE = "measured here"
    PROVEN_HERE = "proven here"
    SUPPLIERS_DOCUMENT = "supplier's document"
    SUPPLIERS_WORD = "supplier's word"
    INFERRED = "inferred"


EVIDENCE_RANK = {level: rank for rank, level in enumerate(EvidenceLevel)}
