"""A loose part stands for an item of a kit only where size and material are documented alike.

Cases are of common practice, no source; materials by handbook 3.3.
"""

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
from partsdb.rules.kits import sides_of
from partsdb.rules.piece_fit import judge_piece
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Outcome, Verdict

DOCUMENT, WORD = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.SUPPLIERS_WORD
KIT = PartFacts("Quillmere", "24-1180", "Valve kit", "valve kit")
BALL = KitItem("Ball", "ball", 1, "wear item", "tungsten carbide", "3/8 in")
PLACE = PositionDemand("Q33", "bypass valve", "valve kit", demand("3300 psi"), 50, ("water-borne",))


def ball(size: str = "3/8 in", material: str = "tungsten carbide", level=DOCUMENT) -> PartFacts:
    said = [Claim(ClaimKind.DIMENSION, size, level, "diameter", source="QH-7")] if size else []
    said += [Claim(ClaimKind.MATERIAL, material, level, "ball", source="QH-7")] if material else []
    return PartFacts("Corrowby", "CW 9", "Ball", "ball", tuple(said))


def outcome(part: PartFacts, item: KitItem = BALL, edge: StandsIn | None = None):
    return judge_piece(item, part, KIT, PLACE, edge)


def test_the_same_size_and_material_is_the_piece_once_compared_with_the_old_one() -> None:
    found = outcome(ball())
    assert found.verdict is Verdict.FIT_WITH_CONDITIONS
    assert found.conditions == (
        "compare Corrowby CW 9 with the old Ball before it is fitted",
    )  # fmt: skip


def test_an_inch_size_and_its_exact_millimetres_are_one_size() -> None:
    """3/8 in is 9.525 mm exactly (NIST SP 811 app. B)."""
    assert outcome(ball("9.525 mm")).verdict is Verdict.FIT_WITH_CONDITIONS
    assert outcome(ball("9.6 mm")).verdict is Verdict.DO_NOT_FIT


@pytest.mark.parametrize(
    ("part", "verdict"),
    [
        (ball("7/16 in"), Verdict.DO_NOT_FIT),
        (ball(material="440C stainless"), Verdict.DO_NOT_FIT),
        (ball(""), Verdict.ASK_FIRST),
        (ball(material=""), Verdict.ASK_FIRST),
        (ball(level=WORD), Verdict.ASK_FIRST),
    ],
)
def test_another_size_or_a_softer_ball_fails_and_what_is_unsaid_is_asked(part, verdict) -> None:
    assert outcome(part).verdict is verdict


def test_an_item_without_a_size_in_the_kits_list_has_no_loose_part() -> None:
    found = outcome(ball(), replace(BALL, size=""))
    assert found.verdict is Verdict.ASK_FIRST
    [standing] = [check for check in found.checks if check.check == "equivalence"]
    assert "states no size for its Ball" in standing.text


@pytest.mark.parametrize("other", ["5/16 in", "about 3/8", "10 mm"])
@pytest.mark.parametrize("level", [DOCUMENT, EvidenceLevel.SUPPLIERS_WORD])
def test_two_sizes_of_one_name_that_disagree_show_neither(other: str, level) -> None:
    """Handbook 1.4: what is not known is never a pass; a claim that contradicts proves nothing."""
    assert outcome(ball()).verdict is Verdict.FIT_WITH_CONDITIONS
    more = Claim(ClaimKind.DIMENSION, other, level, "diameter", source="QH-9")
    found = outcome(replace(ball(), claims=(*ball().claims, more)))
    assert found.verdict is Verdict.ASK_FIRST
    assert any("ask which is right" in check.text for check in found.checks)


def test_a_size_of_another_name_contradicts_nothing() -> None:
    more = Claim(ClaimKind.DIMENSION, "18", DOCUMENT, "rod_mm", source="QH-9")
    found = outcome(replace(ball(), claims=(*ball().claims, more)))
    assert found.verdict is Verdict.FIT_WITH_CONDITIONS


def test_a_person_who_accepted_the_part_for_the_kit_settles_it() -> None:
    edge = StandsIn(
        ("Quillmere", "24-1180"),
        ("Corrowby", "CW 9"),
        "accepted",
        EvidenceLevel.MEASURED_HERE,
        source="bench sheet 4",
    )
    bare = replace(BALL, size="")
    assert outcome(ball(""), bare, edge).verdict is Verdict.FIT
    assert outcome(ball(""), bare, replace(edge, state="rejected")).verdict is Verdict.DO_NOT_FIT
    assert outcome(ball(""), bare, replace(edge, state="proposed")).verdict is Verdict.ASK_FIRST


def test_a_consumable_needs_no_size() -> None:
    item = KitItem("Thread sealant, 3 ml", "sealant", 1, "consumable")
    part = PartFacts("Quillmere", "29-1", "Sealant, anaerobic", "sealant")
    assert outcome(part, item).verdict is Verdict.FIT_WITH_CONDITIONS


def test_an_upper_packing_is_not_a_lower_one() -> None:
    assert sides_of("Upper packing") == sides_of("Packing, upper, Q33") != sides_of("Lower packing")
    item = KitItem("Upper packing", "packing", 1, "wear item", "PTFE", "18 mm")
    said = (
        Claim(ClaimKind.DIMENSION, "18", DOCUMENT, "rod_mm", source="QH-7"),
        Claim(ClaimKind.MATERIAL, "PTFE", DOCUMENT, "packing", source="QH-7"),
        Claim(ClaimKind.TEMPERATURE, "60 °C", DOCUMENT, source="QH-7"),
        Claim(ClaimKind.FLUID, "water-borne", DOCUMENT, source="QH-7"),
    )
    upper = PartFacts("Quillmere", "25-1", "Packing, upper", "packing", said)
    assert outcome(upper, item).verdict is Verdict.FIT_WITH_CONDITIONS
    lower = outcome(replace(upper, description="Packing, lower"), item)
    assert lower.verdict is Verdict.ASK_FIRST


def test_a_soft_piece_must_stand_temperature_and_fluid() -> None:
    item = KitItem("Rod seal", "rod seal", 2, "wear item", "PTFE", "18 mm")
    said = (
        Claim(ClaimKind.DIMENSION, "18", DOCUMENT, "rod_mm", source="QH-7"),
        Claim(ClaimKind.MATERIAL, "PTFE", DOCUMENT, "rod seal", source="QH-7"),
        Claim(ClaimKind.TEMPERATURE, "40 °C", DOCUMENT, source="QH-7"),
    )
    cold = PartFacts("Quillmere", "25-2", "Rod seal", "rod seal", said)
    found = outcome(cold, item)
    assert found.verdict is Verdict.DO_NOT_FIT
    assert [c.code for c in found.checks if c.outcome is Outcome.FAILS] == ["TEMP_LOW"]
