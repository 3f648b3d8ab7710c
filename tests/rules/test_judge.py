"""One part in one position: every check, its verdict, and its reasons."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.rules.facts import (
    Claim,
    ClaimKind,
    EvidenceLevel,
    KitItem,
    PartFacts,
    PositionDemand,
    StandsIn,
)
from partsdb.rules.judge import Judgement, judge
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Check, Outcome, Verdict

MAKER, MEASURED = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.MEASURED_HERE
PAPER, WORD = EvidenceLevel.SUPPLIERS_DOCUMENT, EvidenceLevel.SUPPLIERS_WORD
WC, STEEL = "tungsten carbide", "440C stainless"


def claim(kind: str, value: str, about: str = "", evidence: EvidenceLevel = MAKER) -> Claim:
    basis = "working" if kind == "rating" else ""
    return Claim(ClaimKind(kind), value, evidence, about, basis, "catalogue p. 3")


def contents(ball: str = WC, seat: str = WC, without: tuple[str, ...] = ()) -> tuple[KitItem, ...]:
    items = (
        KitItem("Ball", "ball", 1, "wear item", ball, "3/8 in"),
        KitItem("Seat", "seat", 1, "wear item", seat, "3/8 in"),
        KitItem("Rod seal", "rod seal", 2, "wear item", "PTFE"),
        KitItem("Gland ring", "gland ring", 1, "wear item", "bronze"),
        KitItem("Lock collar", "collar", 1, "hardware", "carbon steel"),
        KitItem("Thread sealant, 3 ml", "sealant", 1, "consumable"),
    )
    return tuple(item for item in items if item.role not in without)


def kit(
    number: str, *, rating: str = "3300 psi", evidence: EvidenceLevel = MAKER,
    ball: str = WC, without: tuple[str, ...] = (),
) -> PartFacts:  # fmt: skip
    claims = (
        claim("rating", rating, evidence=evidence),
        claim("port", "1/4-18 NPT male", "inlet"),
        claim("temperature", "60 °C"),
        claim("fluid", "mineral spirits"),
    )
    maker = "Quillmere" if number == "24-1180" else "Corrowby"
    return PartFacts(
        maker, number, "valve kit", "valve kit", claims, contents(ball, without=without)
    )


ORIGINAL = kit("24-1180")
BYPASS = PositionDemand(
    "Quillmere Q33", "bypass valve", "valve kit", demand("3300 psi"), 50, ("mineral spirits",),
    ("1/4-18 NPT female",), (("ball", WC), ("seat", WC)), (), "aluminium",
)  # fmt: skip


def edge(
    part: PartFacts, state: str = "accepted", evidence: EvidenceLevel = MEASURED, *conditions: str
) -> StandsIn:
    return StandsIn(
        (ORIGINAL.maker, ORIGINAL.number), (part.maker, part.number), state, evidence, conditions
    )


def judged(
    part: PartFacts, way: StandsIn | None = None, place: PositionDemand = BYPASS
) -> Judgement:
    return judge(part, place, original=ORIGINAL, edge=way or edge(part))


def check_named(found: Judgement, name: str) -> Check:
    [check] = [each for each in found.checks if each.check == name]
    return check


def with_claim(part: PartFacts, *more: Claim, but: str = "") -> PartFacts:
    kept = tuple(each for each in part.claims if each.kind != but)
    return replace(part, claims=(*kept, *more))


def test_the_very_part_called_for_fits() -> None:
    found = judge(ORIGINAL, BYPASS, original=ORIGINAL)
    assert (found.verdict, found.conditions) == (Verdict.FIT, ())
    assert check_named(found, "equivalence").text == "the very part called for"


def test_an_equal_kit_that_was_measured_here_fits() -> None:
    assert judged(kit("CW 1")).verdict == Verdict.FIT


def test_every_check_is_made_and_speaks_in_one_sentence() -> None:
    found = judged(kit("CW 1"))
    names = {check.check for check in found.checks}
    assert names >= {
        "role", "pressure", "temperature", "thread", "material ball", "material seat",
        "fluid mineral spirits", "contents", "equivalence",
    }  # fmt: skip
    assert all(check.text and "\n" not in check.text for check in found.checks)


@pytest.mark.parametrize(
    ("part", "name", "outcome", "code"),
    [
        (kit("CW 2", rating="2500 psi"), "pressure", Outcome.FAILS, "PRESSURE_LOW"),
        (kit("CW 3", rating="heavy duty"), "pressure", Outcome.NOT_SHOWN, "UNIT_AMBIGUOUS"),
        (kit("CW 4", rating="burst 13200 psi"), "pressure", Outcome.NOT_SHOWN, "BURST_ONLY"),
        (kit("CW 5", rating="227 bar"), "pressure", Outcome.MEETS_WITH_CONDITIONS, "DUAL_UNIT_ROUNDING"),
        (kit("CW 6", evidence=WORD), "pressure", Outcome.NOT_SHOWN, "EVIDENCE_WEAK"),
        (kit("CW 7", evidence=PAPER), "pressure", Outcome.MEETS_WITH_CONDITIONS, ""),
        (kit("CW 8", ball=STEEL), "material ball", Outcome.FAILS, "MATERIAL_DOWNGRADE"),
        (kit("CW 9", ball="carbide"), "material ball", Outcome.NOT_SHOWN, ""),
        (kit("CW 10", ball=""), "material ball", Outcome.NOT_SHOWN, ""),
        (kit("CW 11", without=("seat",)), "contents", Outcome.FAILS, "KIT_INCOMPLETE"),
        (kit("CW 12", without=("gland ring",)), "contents", Outcome.MEETS_WITH_CONDITIONS, "KIT_INCOMPLETE"),
        (replace(kit("CW 13"), contents=None), "contents", Outcome.NOT_SHOWN, "KIT_INCOMPLETE"),
        (replace(kit("CW 14"), role="hose"), "role", Outcome.FAILS, ""),
        (replace(kit("CW 15"), role=""), "role", Outcome.NOT_SHOWN, ""),
        (with_claim(kit("CW 16"), claim("temperature", "40 °C"), but="temperature"), "temperature",
         Outcome.FAILS, "TEMP_LOW"),
        (with_claim(kit("CW 17"), but="temperature"), "temperature", Outcome.NOT_SHOWN, "TEMP_UNKNOWN"),
        (with_claim(kit("CW 18"), but="port"), "thread", Outcome.NOT_SHOWN, ""),
    ],
)  # fmt: skip
def test_one_fault_is_found_by_its_own_check(
    part: PartFacts, name: str, outcome: Outcome, code: str
) -> None:
    """Handbook 1.3, 1.4, 3.3 and 4, case by case."""
    found = judged(part)
    check = check_named(found, name)
    assert (check.outcome, check.code) == (outcome, code)
    assert [
        each.check for each in found.checks if each.outcome == Outcome.FAILS and each is not check
    ] == []


def test_a_parallel_thread_of_another_angle_fails_in_a_taper_port() -> None:
    """Handbook 2.2, row 6."""
    part = with_claim(kit("CW 20"), claim("port", "G 1/4 male", "inlet"), but="port")
    found = judged(part)
    assert check_named(found, "thread").outcome == Outcome.FAILS
    assert found.verdict == Verdict.DO_NOT_FIT


@pytest.mark.parametrize(
    ("state", "evidence", "conditions", "verdict"),
    [
        ("accepted", MAKER, (), Verdict.FIT),
        ("accepted", MEASURED, ("only with the maker's sealant",), Verdict.FIT_WITH_CONDITIONS),
        ("accepted", PAPER, (), Verdict.ASK_FIRST),
        ("accepted", WORD, (), Verdict.ASK_FIRST),
        ("proposed", MAKER, (), Verdict.ASK_FIRST),
        ("rejected", MEASURED, (), Verdict.DO_NOT_FIT),
    ],
)
def test_how_it_came_to_stand_in(
    state: str, evidence: EvidenceLevel, conditions: tuple[str, ...], verdict: Verdict
) -> None:
    part = kit("CW 1")
    found = judged(part, edge(part, state, evidence, *conditions))
    assert found.verdict == verdict
    assert set(conditions) <= set(found.conditions)


def test_without_any_edge_a_valve_kit_is_not_shown_however_alike() -> None:
    found = judge(kit("CW 1"), BYPASS, original=ORIGINAL)
    assert found.verdict == Verdict.ASK_FIRST
    assert check_named(found, "equivalence").code == "EVIDENCE_WEAK"


def test_an_edge_about_another_part_shows_nothing() -> None:
    found = judge(kit("CW 1"), BYPASS, original=ORIGINAL, edge=edge(kit("CW 2")))
    assert found.verdict == Verdict.ASK_FIRST


def test_a_path_of_accepted_edges_is_a_lead_and_carries_its_conditions() -> None:
    part = kit("CW 1")
    path = (
        edge(kit("CW 9"), "accepted", MAKER, "from serial 4000"),
        StandsIn(("Corrowby", "CW 9"), ("Corrowby", "CW 1"), "accepted", MAKER, ("needs sealant",)),
    )
    found = judge(part, BYPASS, original=ORIGINAL, path=path)
    assert found.verdict == Verdict.ASK_FIRST
    assert set(found.conditions) >= {"from serial 4000", "needs sealant"}
    one = judge(part, BYPASS, original=ORIGINAL, path=(edge(part),))
    assert one.verdict == Verdict.FIT


def test_the_gaps_of_a_kit_are_named() -> None:
    found = judged(kit("CW 1", without=("gland ring", "sealant")))
    assert found.verdict == Verdict.FIT_WITH_CONDITIONS
    assert found.missing == ("gland ring x1", "sealant x1")
    assert len(found.conditions) == 2


def test_barred_fails_whatever_else_is_shown() -> None:
    found = judge(ORIGINAL, BYPASS, original=ORIGINAL, grade="barred")
    assert found.verdict == Verdict.DO_NOT_FIT
    assert check_named(found, "grade").code == "SUPPLIER_BLOCKED"


def test_a_confirmed_nominal_rating_fits() -> None:
    part = kit("CW 1", rating="227 bar")
    assert judged(part).verdict == Verdict.FIT_WITH_CONDITIONS
    found = judge(part, BYPASS, original=ORIGINAL, edge=edge(part), nominal_confirmed=True)
    assert found.verdict == Verdict.FIT


@pytest.mark.parametrize("fluid", ["methylene chloride", "1,1,1-trichloroethane"])
def test_a_halogenated_solvent_and_aluminium_are_a_hard_stop_even_for_the_very_part(
    fluid: str,
) -> None:
    """Handbook 3.2: any amount of aluminium is too much."""
    found = judge(ORIGINAL, replace(BYPASS, fluids=(fluid,)), original=ORIGINAL)
    assert found.verdict == Verdict.DO_NOT_FIT
    assert check_named(found, f"fluid {fluid}").code == "HHC_ALUMINIUM"


def test_a_position_without_its_pressure_shows_nothing_even_for_the_very_part() -> None:
    """Unknown is not a pass: the demand must be recorded."""
    found = judge(ORIGINAL, replace(BYPASS, pressure=None), original=ORIGINAL)
    assert found.verdict == Verdict.ASK_FIRST
    assert "not recorded" in check_named(found, "pressure").text


HOSE_PLACE = PositionDemand(
    "Quillmere Q33", "hose", "hose", demand("3300 psi"), 50, ("mineral spirits",),
    ("1/4-18 NPT female",), (), (("bore_mm", "6"),),
)  # fmt: skip


def hose(rating: str, basis: str = "working", bore: str = "6") -> PartFacts:
    claims = (
        replace(claim("rating", rating), basis=basis), claim("port", "1/4-18 NPT male", "inlet"),
        claim("dimension", bore, "bore_mm"), claim("temperature", "60 °C"),
        claim("fluid", "mineral spirits"),
    )  # fmt: skip
    return PartFacts("Vossgrund", "V-1", "hose", "hose", claims)


@pytest.mark.parametrize(
    ("part", "verdict"),
    [
        (hose("5000 psi"), Verdict.FIT),
        (hose("20 MPa"), Verdict.DO_NOT_FIT),
        (hose("12000 psi", "burst"), Verdict.DO_NOT_FIT),
        (hose("13200 psi", "burst"), Verdict.FIT_WITH_CONDITIONS),
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
    way = StandsIn(("Corrowby", "25-1"), ("Corrowby", "25-2"), "accepted", MAKER)
    found = judge(part, PACKING_PLACE, original=STACK, edge=way)
    limited = check_named(found, "fluid mineral spirits").outcome == Outcome.MEETS_WITH_CONDITIONS
    expected = Verdict.FIT_WITH_CONDITIONS if limited and verdict == Verdict.FIT else verdict
    assert found.verdict == expected


def test_a_wear_item_without_a_rating_rests_on_its_approval() -> None:
    part = packing("25-2", "leather", "UHMWPE")
    found = judge(part, PACKING_PLACE, original=STACK)
    assert check_named(found, "pressure").outcome == Outcome.NOT_SHOWN
    way = StandsIn(("Corrowby", "25-1"), ("Corrowby", "25-2"), "accepted", MAKER)
    shown = judge(part, PACKING_PLACE, original=STACK, edge=way)
    assert check_named(shown, "pressure").outcome == Outcome.MEETS


ADAPTER = PartFacts(
    "Ambrelle", "AQF-14", "adapter", "fitting",
    (claim("rating", "5000 psi"), claim("port", "1/4-18 NPT male", "a"), claim("port", "G 1/4 female", "b")),
)  # fmt: skip


def test_a_needed_adapter_is_judged_as_a_piece_of_the_chain() -> None:
    """Handbook 2.2, row 23."""
    part = with_claim(kit("CW 1"), claim("port", "G 1/4 male", "inlet"), but="port")
    way = edge(part, "accepted", MEASURED, "needs adapter AQF-14")
    unknown = judge(part, BYPASS, original=ORIGINAL, edge=way)
    assert unknown.verdict == Verdict.ASK_FIRST
    known = judge(part, BYPASS, original=ORIGINAL, edge=way, adapter=ADAPTER)
    assert check_named(known, "pressure adapter").outcome == Outcome.MEETS
    assert "AQF-14" in " ".join(known.conditions)
    weak = replace(ADAPTER, claims=(claim("rating", "2000 psi"), *ADAPTER.claims[1:]))
    worse = judge(part, BYPASS, original=ORIGINAL, edge=way, adapter=weak)
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
