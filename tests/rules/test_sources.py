"""What a technician reads as the basis of a finding names a standard or says that there is none."""

from __future__ import annotations

import re

import pytest

from partsdb.rules import engagement, kits, materials, seals, threads
from partsdb.rules.facts import KitItem
from partsdb.rules.thread_text import parse
from partsdb.tables import rows

NAMED = re.compile(
    r"\b(ASME|ISO|SAE|EN|AS568|FED-STD)\b|common practice|from memory|trade page|geometry|no rule"
    r"|manual|textbook|published"
)
SEALANT = (KitItem("Sealant", "sealant", 1, "consumable"),)
BALL = (KitItem("Ball", "ball", 1, "wear item"),)


@pytest.mark.parametrize(
    "name", ["thread_pairs", "substitutions", "seal_fluids", "seal_temperatures"]
)
def test_rows_that_decide_a_finding_name_what_they_rest_on(name: str) -> None:
    for row in rows(name):
        assert NAMED.search(row["source"]), row
        assert "handbook" not in row["source"], row


@pytest.mark.parametrize(
    "check",
    [
        threads.pair(parse("1/4 NPT male"), parse("1/4 NPT female")),
        threads.pair(parse("1/2 NPT male"), parse("G 1/2 female")),
        threads.pair(parse("JIC -6 male"), parse("9/16-18 UNF female")),
        materials.check_material("ball", "tungsten carbide", "440C stainless"),
        materials.check_material("ball", "tungsten carbide", ""),
        materials.check_material("gland ring", "bronze", "bronze", block_material="aluminium"),
        seals.check_fluid("FKM", "mineral spirits", 20),
        seals.check_fluid("FKM", "mineral spirits", 400),
        seals.check_solvent_hazard("1,1,1-trichloroethane", "aluminium"),
        kits.check_treatment(SEALANT, BALL),
        engagement.check_treatment("dry", "oil"),
    ],
)
def test_findings_name_what_they_rest_on(check) -> None:
    assert NAMED.search(check.evidence), check
    assert "handbook" not in check.evidence
