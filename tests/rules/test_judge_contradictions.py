"""Facts that contradict each other, or that only hearsay states, never end in a part that fits."""

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
from partsdb.rules.verdict import Verdict

MAKER, PAPER = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.SUPPLIERS_DOCUMENT
WORD = EvidenceLevel.SUPPLIERS_WORD
ASKED, FITTED = ("Quillmere", "A"), ("Corrowby", "B")
RATED = Claim(ClaimKind.RATING, "5000 psi", MAKER, "", "working", "sheet 1")
NPT = Claim(ClaimKind.PORT, "1/4-18 NPT male", MAKER, source="sheet 1")


def bore(value: str, evidence: EvidenceLevel) -> Claim:
    return Claim(ClaimKind.DIMENSION, value, evidence, "rod_mm", source="sheet 1")


def edge(evidence: EvidenceLevel = MAKER) -> StandsIn:
    return StandsIn(ASKED, FITTED, "accepted", evidence, source="QB-1")


def part(role: str, *claims: Claim, contents: tuple[KitItem, ...] | None = None) -> PartFacts:
    return PartFacts(*FITTED, "", role, claims, contents)


@pytest.mark.parametrize("as_stored", [1, -1])
def test_a_sellers_word_never_hides_the_size_that_a_document_states(as_stored):
    claims = [bore("18", MAKER), bore("16", WORD)][::as_stored]
    place = PositionDemand("Q33", "rod", "rod", sizes=(("rod_mm", "16"),))
    assert judge(part("rod", *claims), place, edge=edge()).verdict == Verdict.DO_NOT_FIT


def test_a_size_that_the_seller_repeats_needs_no_measuring():
    place = PositionDemand("Q33", "rod", "rod", sizes=(("rod_mm", "16"),))
    found = judge(part("rod", bore("16", WORD), bore("16", MAKER)), place, edge=edge())
    assert (found.verdict, found.conditions) == (Verdict.FIT, ())


def fitting(*more: Claim) -> Judgement:
    place = PositionDemand("Q33", "fitting", "fitting", demand("3300 psi"),
                           ports=("1/4-18 NPT female",))  # fmt: skip
    return judge(part("fitting", RATED, NPT, *more), place)


def test_a_seller_who_names_a_look_alike_of_the_documented_thread_is_asked():
    assert fitting().verdict == Verdict.FIT
    found = fitting(Claim(ClaimKind.PORT, "G 1/4 male", WORD, source="list, A4"))
    assert found.verdict == Verdict.ASK_FIRST
    assert any("its seller says G 1/4 male" in check.text for check in found.checks)


@pytest.mark.parametrize("said", ["1/4 NPT", "1/4-18 NPT male", "1/4 NPT female"])
def test_a_seller_who_names_the_documented_thread_contradicts_nothing(said):
    assert fitting(Claim(ClaimKind.PORT, said, WORD, source="list, A4")).verdict == Verdict.FIT


def test_a_document_that_cannot_be_read_lends_a_sellers_temperature_no_weight():
    place = PositionDemand("Q33", "fitting", "fitting", demand("3300 psi"), 80,
                           ports=("1/4-18 NPT female",))  # fmt: skip
    said = Claim(ClaimKind.TEMPERATURE, "90 °C", WORD, source="list, A4")
    unread = Claim(ClaimKind.TEMPERATURE, "see the sheet", MAKER, source="sheet 1")
    for claims in ((said,), (said, unread)):
        found = judge(part("fitting", RATED, NPT, *claims), place)
        assert found.verdict == Verdict.ASK_FIRST


@pytest.mark.parametrize("temp_c", [20, 60, 100])
def test_heat_never_hides_that_the_burst_pressure_is_too_low_for_the_rating(temp_c):
    """Burst 5000 psi at our ratio of 4 shows 1250 psi, hot or cold (handbook 1.3)."""
    claims = (
        Claim(ClaimKind.RATING, "4500 psi", MAKER, "", "working", "sheet 1"),
        Claim(ClaimKind.RATING, "5000 psi", MAKER, "", "burst", "sheet 1"),
        Claim(ClaimKind.MATERIAL, "316 corrugated", MAKER, source="sheet 1"),
        Claim(ClaimKind.TEMPERATURE, "200 °C", MAKER, source="sheet 1"),
        NPT,
    )
    place = PositionDemand("Q33", "hose", "hose", demand("3300 psi"), temp_c,
                           ports=("1/4-18 NPT female",))  # fmt: skip
    assert judge(part("hose", *claims), place).verdict == Verdict.ASK_FIRST


def rings(*sizes: tuple[str, int]) -> tuple[KitItem, ...]:
    return tuple(
        KitItem(f"O-ring {size}", "o-ring", count, "wear item", "NBR", size)
        for size, count in sizes
    )


@pytest.mark.parametrize(
    ("brought", "evidence", "verdict"),
    [
        (rings(("AS568-012", 1), ("AS568-014", 2)), MAKER, Verdict.FIT),
        (rings(("AS568-012", 3)), MAKER, Verdict.DO_NOT_FIT),  # none of the second size
        (rings(("AS568-012", 2), ("AS568-014", 1)), MAKER, Verdict.ASK_FIRST),  # one too few
        (rings(("", 3)), MAKER, Verdict.FIT),  # the maker's approval covers the sizes
        (rings(("", 3)), PAPER, Verdict.ASK_FIRST),  # a supplier's document does not
    ],
)
def test_every_size_of_a_kits_pieces_is_brought_as_often_as_called_for(brought, evidence, verdict):
    needed = rings(("AS568-012", 1), ("AS568-014", 2))
    original = PartFacts(*ASKED, "", "packing kit", (), needed)
    place = PositionDemand("Q33", "packing", "packing kit")
    kit = part("packing kit", contents=brought)
    assert judge(kit, place, original=original, edge=edge(evidence)).verdict == verdict


def test_what_only_the_seller_says_a_kit_holds_is_compared_on_arrival():
    held = (
        KitItem("Ball", "ball", 1, "wear item", "tungsten carbide"),
        KitItem("Seat", "seat", 1, "wear item", "tungsten carbide"),
    )
    original = PartFacts(*ASKED, "", "valve kit", (), held)
    place = PositionDemand("Q33", "valve", "valve kit", demand("3300 psi"),
                           materials=(("ball", "tungsten carbide"),))  # fmt: skip
    kit = part("valve kit", RATED, contents=held)
    assert judge(kit, place, original=original, edge=edge()).verdict == Verdict.FIT
    told = judge(replace(kit, contents_evidence=WORD), place, original=original, edge=edge())
    assert told.verdict == Verdict.FIT_WITH_CONDITIONS
    assert set(told.conditions) == {
        "compare the kit's pieces with its list on arrival: so far only supplier's word",
        "confirm that the ball is tungsten carbide: so far only supplier's word",
        "confirm that the seat is tungsten carbide: so far only supplier's word",
    }
