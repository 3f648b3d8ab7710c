"""Galvanic differences against the handbook's table of pairs."""

from decimal import Decimal

import pytest

from partsdb import tables
from partsdb.rules.galvanic import (
    LIMITS_V,
    galvanic_anode,
    galvanic_delta,
    is_galvanically_worse,
)


@pytest.mark.parametrize("checks", ["material.galvanic"], indirect=True)
def test_pairs_of_groups_differ_as_the_table_has_it(checks):
    for check in checks:
        one, two = check["inputs"]["a"], check["inputs"]["b"]
        expected = check["expected"]
        delta = galvanic_delta(one, two)
        assert delta == Decimal(str(expected["delta_V"])), check["id"]
        assert galvanic_anode(one, two) == expected["anode"], check["id"]
        assert (delta <= Decimal(str(check["inputs"]["limit_V"]))) == expected["ok"], check["id"]


@pytest.mark.parametrize(
    ("one", "two", "delta", "wetted", "dry"),
    [  # handbook 3.1, table of pairs; the block is of a silicon casting alloy
        ("bronze", "A380", "0.50", False, False),
        ("high-zinc brass", "A380", "0.45", False, False),
        ("316", "A380", "0.40", False, False),
        ("hard chrome on steel", "A380", "0.30", False, False),
        ("carbon steel", "A380", "0.05", True, True),
        ("zinc-plated steel", "A380", "0.35", False, False),
        ("316", "bronze", "0.10", True, True),
    ],
)
def test_pairs_of_materials_are_those_of_the_handbook(one, two, delta, wetted, dry):
    found = galvanic_delta(one, two)
    assert found == galvanic_delta(two, one) == Decimal(delta)
    assert ((found <= LIMITS_V["wetted"]), (found <= LIMITS_V["normal"])) == (wetted, dry)


def test_the_zinc_goes_before_the_aluminium():
    assert galvanic_anode("zinc-plated steel", "A380") == "zinc-plated steel"
    assert galvanic_anode("A380", "bronze") == "A380"
    assert galvanic_anode("bronze", "brass") is None  # one index, so neither


@pytest.mark.parametrize("material", ["tungsten carbide", "WC-Co", "carbide", "440C", "mystery"])
def test_what_the_table_does_not_list_has_no_difference(material):
    assert galvanic_delta(material, "A380") is None
    assert galvanic_anode(material, "A380") is None


def test_what_is_no_metal_corrodes_nothing():
    assert galvanic_delta("PTFE", "A380") == 0
    assert galvanic_delta("alumina", "bronze") == 0


def test_an_unstated_aluminium_is_taken_at_its_worst():
    # handbook 3.1: 2000-series 0.75, wrought and silicon castings 0.90, other castings 0.95
    assert galvanic_delta("bronze", "aluminium") == Decimal("0.55")
    assert galvanic_anode("316", "aluminium") == "aluminium"
    # carbon steel, 0.85, lies within the span: which one goes depends on the alloy
    assert galvanic_anode("carbon steel", "aluminium") is None
    assert galvanic_anode("aluminium", "carbon steel") is None


@pytest.mark.parametrize(
    ("old", "new", "block", "worse"),
    [  # handbook 3.1: same or smaller is no downgrade
        ("bronze", "316", "A380", False),
        ("bronze", "bronze", "A380", False),
        ("carbon steel", "316", "A380", True),
        ("carbon steel", "zinc-plated steel", "aluminium", True),
        ("PTFE", "bronze", "A380", True),
        ("bronze", "PTFE", "A380", False),
        ("bronze", "carbon steel", "aluminium", False),
        ("bronze", "316", "PTFE", False),
        ("aluminium cast", "carbon steel", "A380", True),  # 0 or 0.05 V before, 0.05 V now
    ],
)
def test_only_a_larger_difference_is_worse(old, new, block, worse):
    assert is_galvanically_worse(old, new, block) is worse


def test_the_index_grows_from_noble_to_base():
    indices = [Decimal(row["index_v"]) for row in tables.rows("galvanic")]
    assert indices == sorted(indices)
    assert indices[0] == 0 and all(row["source"] for row in tables.rows("galvanic"))
