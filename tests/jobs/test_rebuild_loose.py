"""A rebuild whose kit is put together from loose parts: costed beside the kits, by hand."""

from __future__ import annotations

from typing import Any

import pytest
from small_shop import DAY, SmallShop

from partsdb.jobs.rebuild import RebuildAsk, rebuild_cost
from partsdb.jobs.rebuild_answers import RebuildAnswer
from partsdb.rules.facts import ClaimKind, KitItem
from partsdb.rules.verdict import Verdict

BALL = KitItem("Ball", "ball", 1, "wear item", "tungsten carbide", "3/8 in")
SEAT = KitItem("Seat", "seat", 1, "wear item", "tungsten carbide", "3/8 in")


class Bench:
    """A kit of ball and seat, and a collar; both are in the recipe. Work is 60.00, nothing else."""

    def __init__(self, shop: SmallShop) -> None:
        self.shop = shop
        self.kit = shop.part("24-1", "valve kit", rating="3600 psi", contents=(BALL, SEAT))
        self.collar = shop.part("C-1")
        machine = shop.machine()
        ports = {"ports": ("1/4-18 NPT female",)}
        shop.position(machine, "valve", "valve kit", (self.kit,), "3300 psi", **ports)
        shop.position(machine, "collar", "collar", (self.collar,))
        shop.recipe("rebuild", [(self.kit, 1), (self.collar, 1)], minutes=60, hourly_minor=6000)
        self.near = shop.supplier("Saltreeve", freight_minor=900)
        shop.offer(self.near, self.collar, "5.00")

    def loose(self, number: str, role: str, price: str) -> None:
        part = self.shop.part(number, role, description=role)
        self.shop.claim(part, ClaimKind.DIMENSION, "3/8 in", about="diameter")
        self.shop.claim(part, ClaimKind.MATERIAL, "tungsten carbide", about=role)
        self.shop.offer(self.near, part, price)

    def cost(self, **more: Any) -> RebuildAnswer:
        return rebuild_cost(RebuildAsk("rebuild", DAY, **more))


@pytest.fixture
def bench(small: SmallShop) -> Bench:
    found = Bench(small)
    found.loose("B1", "ball", "10.00")
    found.loose("S1", "seat", "20.00")
    return found


def test_where_no_kit_can_be_had_its_loose_parts_are_costed(bench: Bench) -> None:
    """10.00 + 20.00 + 5.00, one freight of 9.00; 60.00 of work; 5 % of 44.00 parts: 2.20."""
    [option] = bench.cost().options
    assert option.name == "24-1 from loose parts, all from Saltreeve"
    assert {each.number for each in option.buy} == {"B1", "S1", "C-1"}
    assert option.total_minor == 4400 + 6000 + 220
    assert option.total_minor == sum(step.amount_minor for step in option.steps)
    assert option.verdict is Verdict.FIT_WITH_CONDITIONS
    assert "check that ball and seat, bought apart, seal on each other" in option.notes


@pytest.mark.parametrize(("compose", "options"), [(False, 1), (True, 2)])
def test_beside_a_kit_loose_parts_are_costed_where_that_is_asked_for(bench, compose, options):
    bench.shop.offer(bench.near, bench.kit, "40.00")
    answer = bench.cost(compose=compose)
    assert len(answer.options) == options
    assert {each.number for each in answer.options[-1].buy} == {"24-1", "C-1"}
    names = [option.name.startswith("24-1 from loose parts") for option in answer.options]
    assert names == ([True, False] if compose else [False])  # 30.00 of pieces against 40.00


def test_what_is_missing_is_told_and_nothing_is_costed(small: SmallShop) -> None:
    bench = Bench(small)
    bench.loose("B1", "ball", "10.00")
    answer = bench.cost()
    assert answer.options == ()
    [seat] = [text for text in answer.ruled_out if "from loose parts" in text]
    assert seat == (
        "Quillmere 24-1 from loose parts: Seat x1: no loose seat that may be fitted is on offer"
    )


def test_several_machines_take_several_pieces(bench: Bench) -> None:
    [option] = bench.cost(quantity=3).options
    assert {each.number: each.units for each in option.buy} == {"B1": 3, "S1": 3, "C-1": 3}


def test_pieces_of_a_supplier_who_was_not_asked_for_are_not_bought(bench: Bench) -> None:
    other = bench.shop.supplier("Kestrow")
    bench.shop.offer(other, bench.collar, "5.00")
    answer = bench.cost(suppliers=("Kestrow",))
    assert answer.options == ()
    assert any("may not be bought from Saltreeve" in text for text in answer.ruled_out)
