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
        (ORIGINAL.maker, ORIGINAL.number), (part.maker, part.number), state, evidence, conditions,
        "bench sheet 4",
    )  # fmt: skip


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
    assert len(found.conditions) == 3
    assert check_named(found, "thread treatment").code == "TREATMENT_CHANGED"


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


def test_the_parts_list_does_not_speak_for_a_halogenated_solvent() -> None:
    """Handbook 3.2: what the block is made of must be known, even for the very part."""
    place = replace(BYPASS, fluids=("methylene chloride",), block_material="")
    check = check_named(judge(ORIGINAL, place, original=ORIGINAL), "fluid methylene chloride")
    assert (check.outcome, check.code) == (Outcome.NOT_SHOWN, "HHC_ALUMINIUM")


def test_a_position_without_its_pressure_shows_nothing_even_for_the_very_part() -> None:
    """Unknown is not a pass: the demand must be recorded."""
    found = judge(ORIGINAL, replace(BYPASS, pressure=None), original=ORIGINAL)
    assert found.verdict == Verdict.ASK_FIRST
    assert "not recorded" in check_named(found, "pressure").text


@pytest.mark.parametrize(
    ("kind", "about", "name", "outcome"),
    [
        ("port", "inlet", "thread", Outcome.MEETS_WITH_CONDITIONS),
        ("temperature", "", "temperature", Outcome.NOT_SHOWN),
        ("fluid", "", "fluid mineral spirits", Outcome.NOT_SHOWN),
    ],
)
def test_what_only_the_supplier_says_is_confirmed_or_not_shown(
    kind: str, about: str, name: str, outcome: Outcome
) -> None:
    part = kit("CW 1")
    said = tuple(
        replace(each, evidence=WORD) if each.kind == kind else each for each in part.claims
    )
    bare = replace(part, claims=said)
    check = check_named(judged(bare), name)
    assert check.outcome == outcome
    assert WORD in " ".join((check.text, *check.conditions))


def test_a_body_of_unknown_material_is_not_shown_until_somebody_has_approved_the_kit() -> None:
    """Handbook 3.3, body: any unstated is unknown; the body is in no kit's list of pieces."""
    original = with_claim(ORIGINAL, claim("material", "316 stainless", "body"))
    part = kit("CW 1")
    proposed = judge(part, BYPASS, original=original, edge=edge(part, "proposed"))
    assert check_named(proposed, "material valve body").outcome == Outcome.NOT_SHOWN
    approved = judge(part, BYPASS, original=original, edge=edge(part))
    assert approved.verdict == Verdict.FIT
    brass = with_claim(part, claim("material", "brass", "body"))
    worse = judge(brass, BYPASS, original=original, edge=edge(brass))
    assert worse.verdict != Verdict.FIT


def test_hearsay_that_repeats_the_makers_thread_needs_no_confirmation() -> None:
    part = with_claim(kit("CW 1"), claim("port", "1/4 NPT", evidence=WORD))
    check = check_named(judged(part), "thread")
    assert (check.outcome, check.conditions) == (Outcome.MEETS, ())


def test_a_material_that_only_the_supplier_names_is_looked_at_on_arrival() -> None:
    part = replace(
        kit("CW 1", ball=""), claims=(*kit("CW 1").claims, claim("material", WC, "ball", WORD))
    )
    check = check_named(judged(part), "material ball")
    assert check.outcome == Outcome.MEETS_WITH_CONDITIONS
    assert check.conditions == (f"confirm that the ball is {WC}: so far only supplier's word",)
    twice = replace(part, claims=(*part.claims, claim("material", WC, "ball")))
    assert check_named(judged(twice), "material ball").outcome == Outcome.MEETS


def test_a_kit_for_one_whose_contents_are_not_known_is_not_shown_to_be_whole() -> None:
    part, unknown = kit("CW 1"), replace(ORIGINAL, contents=None)
    found = judge(part, BYPASS, original=unknown, edge=edge(part))
    assert check_named(found, "contents").outcome == Outcome.NOT_SHOWN
    proposed = judge(part, BYPASS, original=unknown, edge=edge(part, "proposed"))
    assert check_named(proposed, "contents").outcome == Outcome.NOT_SHOWN


@pytest.mark.parametrize(
    ("port", "outcomes"), [("G 1/4 male", [Outcome.NOT_SHOWN]), ("1/4 NPT male", [])]
)
def test_another_thread_than_the_old_parts_is_told_where_the_machines_is_not_recorded(
    port: str, outcomes: list[Outcome]
) -> None:
    place = replace(BYPASS, ports=())
    part = with_claim(kit("CW 1"), claim("port", port, "inlet"), but="port")
    found = judge(part, place, original=ORIGINAL, edge=edge(part))
    assert [each.outcome for each in found.checks if each.check == "thread"] == outcomes
