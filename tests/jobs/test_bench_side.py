"""The worn block, the serial of the machine, and what is replaced along the way."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.verdict import Outcome, Verdict
from partsdb.store import edges
from partsdb.store.rows import SupersessionRow

ASK = InsteadAsk("24-1", DAY)
SERIAL = ("from serial 4000",)


@pytest.fixture
def kit(small: SmallShop) -> int:
    """A pump of 3300 psi with a valve kit, its packings and a block."""
    kit = small.part("24-1", "valve kit", rating="3300 psi")
    block, packing = small.part("26-1", "pump block", rating="3600 psi"), small.part("25-1", "packing kit")  # fmt: skip
    machine = small.machine()
    small.position(machine, "valve", "valve kit", (kit,), "3300 psi")
    small.position(machine, "packing set", "packing kit", (packing,), "3300 psi")
    small.position(machine, "block", "pump block", (block,), "3300 psi")
    small.offer(small.supplier("Saltreeve"), block, "1000.00")
    small.recipe("rebuild", [(kit, 1), (packing, 2)])
    return kit


def test_what_a_recipe_replaces_with_it_is_named_with_its_quantity(kit: int) -> None:
    answer = instead(ASK)
    assert answer.while_there[0] == "the recipe rebuild replaces with it: Quillmere 25-1 x2"
    assert any("packing set: Quillmere 25-1" in text for text in answer.while_there[1:])


def test_before_a_kit_is_bought_the_block_is_looked_at(kit: int) -> None:
    assert "--bore-worn" in instead(ASK).bench_notes[0]


def test_a_worn_bore_prices_the_block_and_no_kit(kit: int) -> None:
    answer = instead(replace(ASK, bore_worn=True))
    assert (answer.asked.number, answer.asked.role) == ("26-1", "pump block")
    assert [offer.landed_minor for offer in answer.asked_offers] == [100000]
    assert "no valve kit is the answer in place of Quillmere 24-1" in answer.notes[0]
    assert answer.bench_notes == ()


def test_a_worn_bore_without_a_known_block_says_what_to_add(small: SmallShop) -> None:
    kit = small.part("24-1", "valve kit")
    small.position(small.machine(), "valve", "valve kit", (kit,), "3300 psi")
    with pytest.raises(NotFoundError, match="pump block"):
        instead(replace(ASK, bore_worn=True))


def test_machines_with_different_blocks_must_be_told_apart(small: SmallShop, kit: int) -> None:
    other = small.machine("Q36")
    small.position(other, "valve", "valve kit", (kit,), "3300 psi")
    small.position(other, "block", "pump block", (small.part("26-2", "pump block"),), "3600 psi")
    with pytest.raises(UsageError, match=r"Q33: 26-1; Q36: 26-2"):
        instead(replace(ASK, bore_worn=True))
    assert instead(replace(ASK, bore_worn=True, machine="Q36")).asked.number == "26-2"


@pytest.mark.parametrize(
    ("serial", "outcome"),
    [
        ("", Outcome.MEETS_WITH_CONDITIONS),
        ("4000", Outcome.MEETS),
        ("12000", Outcome.MEETS),
        ("3999", Outcome.FAILS),
        ("A-4100", Outcome.MEETS_WITH_CONDITIONS),
    ],
)
def test_a_serial_settles_the_condition_that_names_serials(
    small: SmallShop, kit: int, serial: str, outcome: Outcome
) -> None:
    small.edge(kit, small.part("24-1A", "valve kit", rating="3300 psi"), conditions=SERIAL)
    [found] = [c for c in instead(replace(ASK, serial=serial)).candidates if c.number == "24-1A"]
    by_name = {check.check: check for check in found.checks}
    if outcome is Outcome.FAILS:
        assert found.verdict is Verdict.DO_NOT_FIT
        assert (by_name["serial"].outcome, by_name["serial"].code) == (outcome, "SERIAL_RANGE")
    else:
        assert "serial" not in by_name
        assert by_name["equivalence"].outcome is outcome
        is_open = outcome is Outcome.MEETS_WITH_CONDITIONS
        assert ("from serial 4000" in found.conditions) is is_open


def test_a_serial_decides_a_split_of_the_makers_own_replacement(small: SmallShop) -> None:
    old, low, high = (small.part(n, "valve kit", rating="3300 psi") for n in ("24-1", "24-2", "24-3"))  # fmt: skip
    small.position(small.machine(), "valve", "valve kit", (old,), "3300 psi")
    for new, first, last in ((low, "", "3999"), (high, "4000", "")):
        edges.add_supersession(SupersessionRow(0, old, new, None, first, last, "QB-107"), by=BY)
    asked = {c.number: c.conditions for c in instead(ASK).candidates}
    assert asked["24-2"] == ("only for serials up to 3999",)
    answer = instead(replace(ASK, serial="4100"))
    assert [c.number for c in answer.candidates] == ["24-3"]
    assert answer.candidates[0].conditions == ()
    assert any("only for serials up to 3999, not for 4100" in note for note in answer.notes)


def test_a_worn_thread_is_no_matter_of_evidence(small: SmallShop, kit: int) -> None:
    """Accepted on measurement or not: with the bore worn only blocks are candidates."""
    other = small.part("CW 1", "valve kit", maker="Corrowby", rating="3600 psi")
    small.edge(kit, other, evidence=EvidenceLevel.MEASURED_HERE)
    assert instead(ASK).candidates
    assert instead(replace(ASK, bore_worn=True)).candidates == ()
