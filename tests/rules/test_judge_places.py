"""Hoses, nipples, packings, gauges, adapters: the judge in places of their own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts, PositionDemand, StandsIn
from partsdb.rules.judge import Judgement, judge
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Check, Outcome, Verdict

MAKER, MEASURED = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.MEASURED_HERE


def claim(kind: str, value: str, about: str = "") -> Claim:
    basis = "working" if kind == "rating" else ""
    return Claim(ClaimKind(kind), value, MAKER, about, basis, "catalogue p. 3")


def check_named(found: Judgement, name: str) -> Check:
    [check] = [each for each in found.checks if each.check == name]
    return check


HOSE_PLACE = PositionDemand(
    "Quillmere Q33", "hose", "hose", demand("3300 psi"), 50, ("mineral spirits",),
    ("1/4-18 NPT female",), (), (("bore_mm", "6"),),
)  # fmt: skip


def hose(rating: str, basis: str = "working", bore: str = "6") -> PartFacts:
    claims = (
        replace(claim("rating", rating), basis=basis), claim("port", "1/4-18 NPT male", "inlet"),
        claim("dimension", bore, "bore_mm"), claim("temperature", "60 °C"),
        claim("dimension", "yes", "conductive"),
        claim("fluid", "mineral spirits"),
    )  # fmt: skip
    return PartFacts("Vossgrund", "V-1", "hose", "hose", claims)


@pytest.mark.parametrize(
    ("part", "verdict"),
    [
        (hose("5000 psi"), Verdict.FIT),
        (hose("20 MPa"), Verdict.DO_NOT_FIT),
        (hose("12000 psi", "burst"), Verdict.DO_NOT_FIT),
        (hose("13200 psi", "burst"), Verdict.ASK_FIRST),
        (hose("6600 psi", "proof"), Verdict.ASK_FIRST),
        (hose("5000 psi", bore="10"), Verdict.DO_NOT_FIT),
    ],
)
def test_a_hose_is_judged_by_its_own_facts(part: PartFacts, verdict: Verdict) -> None:
    """Handbook 1.5: a 20 MPa hose is 2900 psi and fails at 3300."""
    assert judge(part, HOSE_PLACE).verdict == verdict


def test_a_hose_for_a_place_whose_threads_are_not_recorded_is_not_shown() -> None:
    assert judge(hose("5000 psi"), replace(HOSE_PLACE, ports=())).verdict == Verdict.ASK_FIRST


@pytest.mark.parametrize(
    ("description", "rating", "verdict"),
    [
        ("nipple 1/4 NPT Sch 40", "", Verdict.DO_NOT_FIT),
        ("nipple 1/4 NPT Sch 80", "", Verdict.ASK_FIRST),
        ("nipple 1/4 NPT", "", Verdict.ASK_FIRST),
        ("nipple 1/4 NPT Sch 80", "5000 psi", Verdict.FIT),
    ],
)
def test_a_plain_pipe_nipple_is_screened(description: str, rating: str, verdict: Verdict) -> None:
    """Handbook 1.5: the piece most often bought by size alone."""
    place = replace(HOSE_PLACE, role="nipple", position="fitting", sizes=(), fluids=())
    claims = [claim("port", "1/4-18 NPT male", "inlet"), claim("temperature", "60 °C")]
    claims += [claim("rating", rating)] if rating else []
    part = PartFacts("Ambrelle", "N-1", description, "nipple", tuple(claims))
    found = judge(part, place)
    threads = check_named(found, "thread")
    assert check_named(found, "pressure").outcome == {
        Verdict.DO_NOT_FIT: Outcome.FAILS, Verdict.ASK_FIRST: Outcome.NOT_SHOWN, Verdict.FIT: Outcome.MEETS,
    }[verdict]  # fmt: skip
    assert threads.outcome in (Outcome.MEETS, Outcome.MEETS_WITH_CONDITIONS)


PACKING_PLACE = PositionDemand(
    "Quillmere Q33", "upper packing", "packing", demand("3300 psi"), 50, ("mineral spirits",),
    sizes=(("rod_mm", "18"),),
)  # fmt: skip


def packing(number: str, *materials: str, rod: str = "18") -> PartFacts:
    claims = [claim("material", each, "packing") for each in materials]
    claims += [
        claim("dimension", rod, "rod_mm"),
        claim("temperature", "60 °C"),
        claim("fluid", "mineral spirits"),
    ]
    return PartFacts("Corrowby", number, "packing", "packing", tuple(claims))


STACK = packing("25-1", "leather", "UHMWPE")


@pytest.mark.parametrize(
    ("materials", "rod", "verdict"),
    [
        (("leather", "UHMWPE"), "18", Verdict.FIT),
        (("UHMWPE", "leather"), "18", Verdict.FIT),
        (("UHMWPE",), "18", Verdict.DO_NOT_FIT),
        (("PTFE",), "18", Verdict.ASK_FIRST),
        (("leather", "UHMWPE"), "20", Verdict.DO_NOT_FIT),
    ],
)
def test_a_packing_stack_is_met_only_by_the_same_stack(
    materials: tuple[str, ...], rod: str, verdict: Verdict
) -> None:
    """Handbook 3.3: a single material for a mixed stack is a downgrade."""
    part = packing("25-2", *materials, rod=rod)
    way = StandsIn(("Corrowby", "25-1"), ("Corrowby", "25-2"), "accepted", MAKER, source="QB-1")
    found = judge(part, PACKING_PLACE, original=STACK, edge=way)
    limited = check_named(found, "fluid mineral spirits").outcome == Outcome.MEETS_WITH_CONDITIONS
    expected = Verdict.FIT_WITH_CONDITIONS if limited and verdict == Verdict.FIT else verdict
    assert found.verdict == expected


def test_a_stack_is_known_only_as_well_as_its_least_known_ring() -> None:
    part = packing("25-2", "leather", "UHMWPE")
    word = EvidenceLevel.SUPPLIERS_WORD
    claims = tuple(
        replace(each, evidence=word) if each.value == "leather" else each for each in part.claims
    )
    way = StandsIn(("Corrowby", "25-1"), ("Corrowby", "25-2"), "accepted", MAKER, source="QB-1")
    found = judge(replace(part, claims=claims), PACKING_PLACE, original=STACK, edge=way)
    assert check_named(found, "material packing").outcome == Outcome.MEETS_WITH_CONDITIONS


def test_a_wear_item_without_a_rating_rests_on_its_approval() -> None:
    part = packing("25-2", "leather", "UHMWPE")
    found = judge(part, PACKING_PLACE, original=STACK)
    assert check_named(found, "pressure").outcome == Outcome.NOT_SHOWN
    way = StandsIn(("Corrowby", "25-1"), ("Corrowby", "25-2"), "accepted", MAKER, source="QB-1")
    shown = judge(part, PACKING_PLACE, original=STACK, edge=way)
    assert check_named(shown, "pressure").outcome == Outcome.MEETS


GAUGE_PLACE = PositionDemand(
    "Quillmere Q33", "gauge", "gauge", demand("3300 psi"), 50, (), ("1/4-18 NPT female",)
)


def gauge(scale: str, port: str = "1/4-18 NPT male") -> PartFacts:
    claims = (
        claim("rating", scale), claim("dimension", scale.removeprefix("0-"), "full_scale"),
        claim("port", port, "inlet"), claim("temperature", "60 °C"),
    )  # fmt: skip
    return PartFacts("Ambrelle", "AGS-1", "gauge", "gauge", claims)


@pytest.mark.parametrize(
    ("scale", "outcome"),
    [
        ("0-4000 psi", Outcome.FAILS),
        ("0-5000 psi", Outcome.MEETS),
        ("0-20000 psi", Outcome.MEETS_WITH_CONDITIONS),
    ],
)
def test_a_gauge_is_judged_by_its_scale(scale: str, outcome: Outcome) -> None:
    """EN 837-2, from memory (handbook 1.3)."""
    found = judge(gauge(scale), GAUGE_PLACE)
    assert check_named(found, "gauge range").outcome == outcome


ADAPTER = PartFacts(
    "Ambrelle", "AQF-14", "adapter", "fitting",
    (claim("rating", "5000 psi"), claim("port", "1/4-18 NPT male", "a"), claim("port", "G 1/4 female", "b")),
)  # fmt: skip


def test_a_needed_adapter_is_judged_as_a_piece_of_the_chain() -> None:
    """Handbook 2.2, row 23."""
    part = gauge("0-5000 psi", "G 1/4 male")
    way = StandsIn(
        ("Quillmere", "28-1"),
        ("Ambrelle", "AGS-1"),
        "accepted",
        MEASURED,
        ("needs adapter AQF-14",),
        "bench sheet 4",
    )
    assert judge(part, GAUGE_PLACE).verdict == Verdict.DO_NOT_FIT
    unknown = judge(part, GAUGE_PLACE, edge=way)
    assert unknown.verdict == Verdict.ASK_FIRST
    known = judge(part, GAUGE_PLACE, edge=way, adapter=ADAPTER)
    assert check_named(known, "pressure adapter").outcome == Outcome.MEETS
    assert "AQF-14" in " ".join(known.conditions)
    weak = replace(ADAPTER, claims=(claim("rating", "2000 psi"), *ADAPTER.claims[1:]))
    worse = judge(part, GAUGE_PLACE, edge=way, adapter=weak)
    assert worse.verdict == Verdict.DO_NOT_FIT


def test_a_metal_hose_is_derated_in_a_hot_place() -> None:
    """Handbook 1.7: 250 bar at 100 °C are 195 bar."""
    metal = PartFacts(
        "Vossgrund", "M-1", "metal hose", "hose",
        (claim("rating", "250 bar"), claim("material", "316 corrugated metal", "hose"),
         claim("temperature", "at 20 °C"), claim("port", "1/4-18 NPT male")),
    )  # fmt: skip
    place = PositionDemand(
        "Tarnbeck T200H", "hose", "hose", demand("200 bar"), 100, (), ("1/4-18 NPT female",)
    )
    assert check_named(judge(metal, place), "pressure").outcome == Outcome.FAILS
    cooler = replace(place, temp_c_max=50)
    assert check_named(judge(metal, cooler), "pressure").outcome == Outcome.MEETS
    hotter = replace(place, temp_c_max=250)
    assert check_named(judge(metal, hotter), "pressure").outcome == Outcome.NOT_SHOWN
