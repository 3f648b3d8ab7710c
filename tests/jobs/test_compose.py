"""A kit that is back-ordered, put together: cheapest, checked, and counted by the money code."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_shop import DAY, SmallShop

from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.rules.facts import ClaimKind, EvidenceLevel, KitItem
from partsdb.rules.verdict import Verdict

ASK = InsteadAsk("24-1", DAY)
BALL = KitItem("Ball", "ball", 1, "wear item", "tungsten carbide", "3/8 in")
SEAT = KitItem("Seat", "seat", 1, "wear item", "tungsten carbide", "3/8 in")
PIN = KitItem("Retaining pin", "pin", 1, "hardware")
SEALANT = KitItem("Thread sealant", "sealant", 1, "consumable")


class Bench:
    """A kit of ball, seat, pin and sealant is called for and nobody offers it."""

    def __init__(self, shop: SmallShop) -> None:
        self.shop = shop
        self.kit = shop.part(
            "24-1", "valve kit", rating="3600 psi", contents=(BALL, SEAT, PIN, SEALANT)
        )
        shop.position(
            shop.machine(), "valve", "valve kit", (self.kit,), "3300 psi",
            ports=("1/4-18 NPT female",),
        )  # fmt: skip
        self.near = shop.supplier("Saltreeve")

    def loose(self, number: str, role: str, price: str, **said: str) -> int:
        part = self.shop.part(number, role, description=role)
        self.shop.claim(part, ClaimKind.DIMENSION, said.get("size", "3/8 in"), about="diameter")
        material = said.get("material", "tungsten carbide")
        self.shop.claim(part, ClaimKind.MATERIAL, material, about=role)
        if price:
            self.shop.offer(self.near, part, price)
        return part

    def other_kit(
        self, number: str, contents: tuple[KitItem, ...], *, state: str = "accepted"
    ) -> int:
        kit = self.shop.part(
            number, "valve kit", maker="Corrowby", rating="3600 psi", contents=contents
        )
        self.shop.claim(kit, ClaimKind.PORT, "1/4-18 NPT male")
        self.shop.edge(self.kit, kit, state, EvidenceLevel.MEASURED_HERE)
        return kit

    def all_loose(self) -> None:
        self.loose("B1", "ball", "10.00")
        self.loose("S1", "seat", "20.00")
        self.shop.offer(self.near, self.shop.part("L1", "sealant"), "3.00")


@pytest.fixture
def bench(small: SmallShop) -> Bench:
    return Bench(small)


def composed(ask: InsteadAsk = ASK):
    return instead(ask).composed


def test_with_nothing_to_be_had_the_kit_is_put_together_from_loose_parts(bench: Bench) -> None:
    bench.all_loose()
    found = composed()
    assert found is not None
    assert {each.number for each in found.buy} == {"B1", "S1", "L1"}
    assert found.total_minor == 3300
    assert found.verdict is Verdict.FIT_WITH_CONDITIONS
    assert found.reuse == ("reuse the old Retaining pin if it is sound",)
    assert "check that ball and seat, bought apart, seal on each other" in found.conditions


def test_the_total_is_the_sum_of_its_steps_and_that_of_the_money_code(bench: Bench) -> None:
    bench.all_loose()
    far = bench.shop.supplier("Kestrow", freight_minor=1000)
    bench.shop.offer(far, bench.loose("B2", "ball", ""), "0.10")
    found = composed()
    assert found is not None
    assert found.total_minor == sum(step.amount_minor for step in found.steps) == 3300
    # 10.00 of freight would save 9.90 on the ball
    assert {each.supplier for each in found.buy} == {"Saltreeve"}


def test_a_cheaper_ball_from_afar_is_bought_where_its_freight_pays(bench: Bench) -> None:
    bench.all_loose()
    far = bench.shop.supplier("Kestrow", freight_minor=100)
    bench.shop.offer(far, bench.loose("B2", "ball", ""), "5.00")
    found = composed()
    assert found is not None
    assert {each.number for each in found.buy} == {"B2", "S1", "L1"}
    assert found.total_minor == 500 + 100 + 2300


def test_a_piece_that_does_not_pass_is_not_bought_however_cheap(bench: Bench) -> None:
    bench.all_loose()
    bench.loose("B0", "ball", "0.50", material="440C stainless")
    bench.loose("B9", "ball", "0.50", size="7/16 in")
    found = composed()
    assert found is not None
    assert "B1" in {each.number for each in found.buy}


def test_what_cannot_be_had_is_named_with_the_reason(bench: Bench) -> None:
    bench.loose("B1", "ball", "10.00")
    bench.loose("S0", "seat", "4.00", size="1/2 in")
    found = composed()
    assert found is not None and found.buy == () and found.total_minor is None
    seat, sealant = found.missing
    assert seat.startswith("Seat x1: Quillmere S0:")
    assert sealant == "Thread sealant x1: no loose sealant that may be fitted is on offer"


def test_a_partial_kit_that_is_accepted_brings_what_it_has(bench: Bench) -> None:
    kit = bench.other_kit("CW 1", (BALL, SEAT, PIN))
    bench.all_loose()
    bench.shop.offer(bench.near, kit, "25.00")
    found = composed(replace(ASK, compose=True))
    assert found is not None
    assert {each.number for each in found.buy} == {"CW 1", "L1"}
    assert found.total_minor == 2800
    assert found.reuse == ()  # the kit brings the pin


def test_a_partial_kit_that_nobody_accepted_brings_nothing(bench: Bench) -> None:
    kit = bench.other_kit("CW 1", (BALL, SEAT, PIN), state="proposed")
    bench.all_loose()
    bench.shop.offer(bench.near, kit, "5.00")
    found = composed(replace(ASK, compose=True))
    assert found is not None
    assert {each.number for each in found.buy} == {"B1", "S1", "L1"}


def test_for_several_machines_as_many_are_bought(bench: Bench) -> None:
    bench.all_loose()
    found = composed(replace(ASK, quantity=3))
    assert found is not None
    assert {each.units for each in found.buy} == {3}
    assert found.total_minor == 3 * 3300


def test_what_comes_too_late_is_not_bought(bench: Bench) -> None:
    bench.all_loose()
    assert composed(replace(ASK, by="2026-11-22")) is not None
    late = composed(replace(ASK, by="2026-11-21"))
    assert late is not None and late.buy == ()


def test_a_barred_supplier_sells_no_piece(bench: Bench) -> None:
    bench.all_loose()
    bench.shop.grade("supplier", bench.near, "barred")
    found = composed()
    assert found is not None and found.buy == ()


def test_where_a_kit_may_be_had_nothing_is_put_together_unless_asked(bench: Bench) -> None:
    bench.all_loose()
    other = bench.other_kit("24-2", (BALL, SEAT, PIN, SEALANT))
    bench.shop.offer(bench.near, other, "90.00")
    answer = instead(ASK)
    assert answer.candidates[0].verdict is Verdict.FIT
    assert answer.composed is None
    assert composed(replace(ASK, compose=True)) is not None


def test_a_part_that_is_no_kit_is_never_put_together(small: SmallShop) -> None:
    hose = small.part("27-1", "hose", rating="5000 psi")
    small.position(small.machine(), "hose", "hose", (hose,), "3300 psi")
    assert instead(InsteadAsk("27-1", DAY, compose=True)).composed is None


def test_a_loose_part_that_failed_here_is_not_put_in(bench: Bench) -> None:
    bench.all_loose()
    failed = bench.loose("B0", "ball", "1.00")
    back = bench.shop.failed_here(failed)
    found = composed()
    assert found is not None
    assert "B1" in {each.number for each in found.buy}
    bench.shop.explained(back)
    found = composed()
    assert found is not None
    assert "B0" in {each.number for each in found.buy}


def test_a_loose_part_whose_paper_has_run_out_is_not_put_into_the_kit(bench: Bench) -> None:
    """Handbook 1.4: an expired certificate is unknown."""
    bench.all_loose()
    old = bench.shop.part("B2", "ball", description="ball")
    paper = {"source": "certificate 3, valid to 2026-06-30"}
    bench.shop.claim(old, ClaimKind.DIMENSION, "3/8 in", about="diameter", **paper)
    bench.shop.claim(old, ClaimKind.MATERIAL, "tungsten carbide", about="ball", **paper)
    bench.shop.offer(bench.near, old, "1.00")
    late, early = composed(), composed(replace(ASK, as_of="2026-06-30"))
    assert late is not None and early is not None
    assert "B1" in {each.number for each in late.buy}
    assert "B2" in {each.number for each in early.buy}
