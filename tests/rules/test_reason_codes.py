"""Every reason code of handbook 4 arises from the case that it is for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from partsdb.rules import equivalence, kits, materials, ratings, seals, supersession, threads
from partsdb.rules.certificates import check_papers
from partsdb.rules.facts import (
    Claim,
    ClaimKind,
    EvidenceLevel,
    KitItem,
    PartFacts,
    PositionDemand,
    StandsIn,
)
from partsdb.rules.grading import check_grade
from partsdb.rules.judge import judge
from partsdb.rules.pressure import demand
from partsdb.rules.pressure_check import check_pressure
from partsdb.rules.temperature import check_temperature
from partsdb.rules.verdict import Check, Outcome

DOCUMENT = EvidenceLevel.MAKERS_DOCUMENT
A, B = ("Quillmere", "A"), ("Corrowby", "B")
OPEN = [Check("pressure", Outcome.NOT_SHOWN, "")]


def said(kind: ClaimKind, value: str, *, about: str = "", basis: str = "") -> Claim:
    return Claim(kind, value, DOCUMENT, about, basis, "catalogue")


def pressure(value: str, basis: str = "working", needed: str = "3300 psi", of: str = "hose") -> str:
    claims = [said(ClaimKind.RATING, value, basis=basis)] if value else []
    return check_pressure(ratings.working_rating(claims, of), demand(needed)).code


def thread(male: str, female: str) -> str:
    return threads.pair(threads.parse(male), threads.parse(female)).code


def edge(*conditions: str, state: str = "accepted") -> str:
    return equivalence.check_edge(StandsIn(A, B, state, DOCUMENT, conditions, "QB-1"), "gun").code


def ended(*steps: tuple[str, str], serial_to: str = "") -> str:
    chain = [
        supersession.Supersession(("Q", old), ("Q", new), serial_to=serial_to) for old, new in steps
    ]
    return supersession.follow(("Q", steps[0][0]), chain)[0].code


def contents(*roles: str) -> tuple[KitItem, ...]:
    return tuple(KitItem(role, role, 1, "wear item") for role in roles)


def temperature(value: str) -> str:
    return check_temperature([said(ClaimKind.TEMPERATURE, value)] if value else [], 90).code


def fluid_unknown() -> str:
    part = PartFacts("Corrowby", "B", "", "packing kit")
    place = PositionDemand("Q33", "packing", "packing kit", fluids=("mineral spirits",))
    [found] = [c for c in judge(part, place).checks if c.check.startswith("fluid")]
    return found.code


def galvanic() -> str:
    """Handbook 3.1: bronze to aluminium differ by 0.50 V, carbon steel by 0.05 V."""
    return materials.check_material(
        "fitting", "carbon steel", "316", block_material="wrought aluminium"
    ).code


ARISES: dict[str, Callable[[], str]] = {
    "PRESSURE_LOW": lambda: pressure("3000 psi"),
    "PRESSURE_UNKNOWN": lambda: pressure(""),
    "BURST_ONLY": lambda: pressure("20000 psi", "burst"),
    "UNIT_AMBIGUOUS": lambda: pressure("5000"),
    "DUAL_UNIT_ROUNDING": lambda: pressure("227 bar"),
    "TEMP_LOW": lambda: temperature("60 °C"),
    "TEMP_UNKNOWN": lambda: temperature(""),
    "FLUID_BAD": lambda: seals.check_fluid("EPDM", "mineral spirits", 20).code,
    "FLUID_UNKNOWN": fluid_unknown,
    "HHC_ALUMINIUM": lambda: seals.check_solvent_hazard("methylene chloride", "aluminium").code,
    "THREAD_NO_SEAL": lambda: thread("1/4 NPT male", "G 1/4 female"),
    "THREAD_DANGER": lambda: thread("1/2 NPT male", "G 1/2 female"),
    "NEEDS_ADAPTER": lambda: edge("needs adapter AQF-14"),
    "NEEDS_SEALANT": lambda: thread("1/4 NPT male", "1/4 NPT female"),
    "TREATMENT_CHANGED": lambda: getattr(
        kits.check_treatment(contents("ball", "sealant"), contents("ball")), "code", ""
    ),
    "KIT_INCOMPLETE": lambda: kits.check_contents(contents("ball", "seat"), contents("ball")).code,
    "MATERIAL_DOWNGRADE": lambda: materials.check_material("ball", "tungsten carbide", "440C").code,
    "GALVANIC_WORSE": galvanic,
    "SERIAL_RANGE": lambda: edge("from serial 4000"),
    "OLD_BLOCK": lambda: edge("old-style block only"),
    "SUPERSEDED": lambda: ended(("1", "2")),
    "CYCLE": lambda: ended(("1", "2"), ("2", "1")),
    "ONE_WAY_ONLY": lambda: equivalence.one_way_only(A, B).code,
    "EVIDENCE_WEAK": lambda: edge(state="proposed"),
    "CERT_EXPIRED": lambda: getattr(
        check_papers([replace(said(ClaimKind.RATING, "1"), source="valid to 2020-01-01")], OPEN),
        "code",
        "",
    ),
    "SUPPLIER_BLOCKED": lambda: check_grade("barred").code,
}
# LOT_RECALLED is about the shop's own lots: tests/jobs/test_reason_codes.py.


@pytest.mark.parametrize("code", ARISES)
def test_the_code_arises_from_its_case(code: str) -> None:
    assert ARISES[code]() == code


def test_no_code_of_the_handbook_is_forgotten() -> None:
    """Handbook 4, end: 27 codes."""
    assert len(ARISES) + 1 == 27
