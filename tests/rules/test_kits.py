"""What a kit covers, and what its gaps come to."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.facts import KitItem
from partsdb.rules.kits import (
    check_contents,
    check_treatment,
    coverage,
    extra_words,
    missing_words,
)
from partsdb.rules.roles import known_roles
from partsdb.rules.verdict import GRAVITY, Outcome

CHECKS = json.loads((Path(__file__).parents[2] / "fixtures/check_values.json").read_text("utf-8"))


def item(role: str, quantity: int = 1, kind: str = "wear item") -> KitItem:
    return KitItem(role.capitalize(), role, quantity, kind)


NEEDED = (
    item("ball"), item("seat"), item("rod seal", 2), item("gland ring"),
    item("collar", kind="hardware"), item("sealant", kind="consumable"),
)  # fmt: skip


def without(*roles: str) -> tuple[KitItem, ...]:
    return tuple(each for each in NEEDED if each.role not in roles)


def test_the_handbooks_coverage() -> None:
    """Handbook 4 (CV151): 3 of 5, missing seal and ring."""
    [check] = [each for each in CHECKS if each["topic"] == "equiv.kit_coverage"]
    found = coverage(check["inputs"]["required"], check["inputs"]["kit"])
    assert found.covered == check["expected"]["covered"]
    assert found.needed == check["expected"]["required"]
    assert dict(found.missing) == check["expected"]["missing"]


def test_a_full_kit_meets_and_extras_are_fine() -> None:
    full = check_contents(NEEDED, (*NEEDED, item("o-ring", 3)))
    assert (full.outcome, full.conditions) == (Outcome.MEETS, ())
    assert extra_words(NEEDED, (*NEEDED, item("o-ring", 3))) == ("o-ring x3",)


@pytest.mark.parametrize("role", ["ball", "seat", "rod seal"])
def test_without_what_seals_the_pressure_a_kit_cannot_stand_in(role: str) -> None:
    """Handbook 3: never a new ball on a worn seat; handbook 4: not equivalent."""
    found = check_contents(NEEDED, without(role))
    assert (found.outcome, found.code) == (Outcome.FAILS, "KIT_INCOMPLETE")
    assert role in found.text


@pytest.mark.parametrize(
    ("role", "condition"),
    [
        ("gland ring", "buy gland ring x1, or reuse the old one if it is sound"),
        ("collar", "buy collar x1, or reuse the old one if it is sound"),
        ("sealant", "buy separately: sealant x1"),
    ],
)
def test_other_gaps_are_conditions_that_name_what_to_get(role: str, condition: str) -> None:
    found = check_contents(NEEDED, without(role))
    assert found.outcome == Outcome.MEETS_WITH_CONDITIONS
    assert found.conditions == (condition,)
    assert missing_words(NEEDED, without(role)) == (f"{role} x1",)


def test_too_few_of_a_piece_is_a_gap() -> None:
    short = (*without("rod seal"), item("rod seal", 1))
    assert missing_words(NEEDED, short) == ("rod seal x1",)
    assert check_contents(NEEDED, short).outcome == Outcome.FAILS


def test_contents_that_are_not_stated_show_nothing() -> None:
    found = check_contents(NEEDED, None)
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "KIT_INCOMPLETE")


def test_a_role_that_we_do_not_know_counts_as_its_list_calls_it() -> None:
    assert (
        check_contents((item("shim", kind="hardware"),), ()).outcome
        == Outcome.MEETS_WITH_CONDITIONS
    )
    assert check_contents((item("shim", kind="pressure boundary"),), ()).outcome == Outcome.FAILS


def test_another_thread_treatment_means_another_torque() -> None:
    """Handbook 2.3: the instruction belongs to the kit, not to the pump."""
    assert check_treatment(NEEDED, NEEDED) is None
    dry = check_treatment(NEEDED, without("sealant"))
    assert dry is not None
    assert (dry.outcome, dry.code) == (Outcome.MEETS_WITH_CONDITIONS, "TREATMENT_CHANGED")
    assert "torque" in dry.conditions[0]
    locked = check_treatment(NEEDED, (*without("sealant"), item("threadlocker", kind="consumable")))
    assert locked is not None
    assert "brings threadlocker for the threads, the kit called for sealant" in locked.text


ROLES = st.sampled_from(sorted(known_roles()))
COUNTS = st.dictionaries(ROLES, st.integers(1, 4), max_size=6)


@given(COUNTS, COUNTS)
def test_covered_and_missing_make_up_what_is_needed(
    needed: dict[str, int], kit: dict[str, int]
) -> None:
    found = coverage(needed, kit)
    assert found.covered + sum(found.missing.values()) == found.needed == sum(needed.values())
    assert Counter(kit) - Counter(needed) == Counter(found.extra)


@given(COUNTS, COUNTS, ROLES)
def test_a_kit_that_brings_less_is_never_judged_better(
    needed: dict[str, int], kit: dict[str, int], role: str
) -> None:
    def items(counts: dict[str, int]) -> tuple[KitItem, ...]:
        return tuple(item(each, count) for each, count in counts.items())

    less = {each: count for each, count in kit.items() if each != role}
    full, poor = (
        check_contents(items(needed), items(kit)),
        check_contents(items(needed), items(less)),
    )
    assert GRAVITY[poor.outcome] >= GRAVITY[full.outcome]


def packings(*named: tuple[str, int]) -> tuple[KitItem, ...]:
    return tuple(KitItem(name, "packing", count, "wear item", "leather") for name, count in named)


BOTH = packings(("Upper packing", 1), ("Lower packing", 1))


@pytest.mark.parametrize(
    ("kit", "missing", "outcome"),
    [
        (BOTH, (), Outcome.MEETS),
        (packings(("Packing, lower", 1), ("Packing, upper", 1)), (), Outcome.MEETS),
        # Two of one side are none of the other.
        (packings(("Upper packing", 2)), ("packing (lower) x1",), Outcome.FAILS),
        (packings(("Lower packing", 1)), ("packing (upper) x1",), Outcome.FAILS),
        # A piece that does not say its side may be either, once.
        (packings(("Packing", 2)), (), Outcome.MEETS),
        (packings(("Upper packing", 1), ("Packing", 1)), (), Outcome.MEETS),
        (packings(("Packing", 1)), ("packing (upper) x1",), Outcome.FAILS),
    ],
)
def test_pieces_of_one_role_are_told_apart_by_their_side(kit, missing, outcome) -> None:
    found = check_contents(BOTH, kit)
    assert (found.outcome, missing_words(BOTH, kit)) == (outcome, missing)


def test_where_not_every_piece_says_its_side_none_is_asked() -> None:
    needed = packings(("Packing", 1), ("Upper packing", 1))
    assert check_contents(needed, packings(("Upper packing", 2))).outcome is Outcome.MEETS


def test_what_a_kit_brings_beyond_is_named_by_its_side() -> None:
    more = packings(("Upper packing", 2), ("Lower packing", 1))
    assert extra_words(BOTH, more) == ("packing (upper) x1",)
