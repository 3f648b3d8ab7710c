"""Machines: what a position demands comes back as it was written, and the right positions answer."""

from __future__ import annotations

import pytest

from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import demand
from partsdb.store import machines
from partsdb.store.machines import add_position, call_for

ASKED = PositionDemand(
    machine="Q33",
    position="bypass valve",
    role="valve kit",
    pressure=demand("3300 psi"),
    temp_c_max=60,
    fluids=("water-borne", "mineral spirits"),
    ports=("1/4-18 NPT female",),
    materials=(("ball", "tungsten carbide"), ("seat", "tungsten carbide")),
    sizes=(("bore_mm", "16"),),
    block_material="aluminium",
)


@pytest.fixture
def q33(shop) -> int:
    return machines.add_machine(shop.quillmere, "Q33", kind="airless pump")


def test_a_demand_comes_back_as_it_was_written(q33):
    add_position(q33, ASKED)
    (position,) = machines.positions_of(q33)
    assert position.demand == ASKED


def test_a_pressure_demand_is_rounded_up_and_never_converted_twice(q33):
    add_position(q33, ASKED)
    pressure = machines.positions_of(q33)[0].demand.pressure
    # NIST SP 811 app. B: 3300 x 6894.757293168... = 22 752 699.07 Pa, rounded up
    assert (pressure.pascals, pressure.as_written) == (22_752_700, "3300 psi")


def test_a_demand_is_replaced_as_a_whole(q33):
    position = add_position(q33, ASKED)
    bare = PositionDemand("Q33", "bypass valve", "valve body")
    machines.set_demand(position, bare)
    assert machines.positions_of(q33)[0].demand == bare


def test_a_part_finds_the_positions_that_call_for_it(shop, q33):
    bypass = add_position(q33, ASKED)
    add_position(q33, PositionDemand("Q33", "hose", "hose"))
    other = machines.add_machine(shop.quillmere, "Q40")
    also = add_position(other, ASKED)
    for position in (bypass, also):
        call_for(position, shop.kit, 2)
    found = machines.positions_calling_for([shop.kit, shop.copy])
    assert [(p.machine, p.part_ids, p.quantities) for p in found] == [
        ("Q33", (shop.kit,), (2,)),
        ("Q40", (shop.kit,), (2,)),
    ]
    assert [p.machine for p in machines.positions_calling_for([shop.kit], [other])] == ["Q40"]
    assert machines.positions_calling_for([shop.kit], []) == []


def test_roles_are_asked_of_the_machines_that_the_shop_services(shop, q33):
    add_position(q33, ASKED)
    assert len(machines.positions_by_role(["valve kit", "hose"])) == 1
    machines.set_serviced(q33, False)
    assert machines.positions_by_role(["valve kit"]) == []
    assert len(machines.positions_by_role(["valve kit"], [q33])) == 1


@pytest.mark.parametrize("written", ["Q33", "q-33", "Q 33"])
def test_a_model_is_found_however_it_is_punctuated(q33, written):
    assert [m.model for m in machines.find_machine(written)] == ["Q33"]
    assert [m.model for m in machines.find_machine(written, "quillmere")] == ["Q33"]
    assert machines.find_machine(written, "Tarnbeck") == []


def test_a_position_is_found_in_any_case(q33):
    add_position(q33, ASKED)
    assert machines.find_position(q33, "Bypass Valve").demand == ASKED
    assert machines.find_position(q33, "hose") is None
