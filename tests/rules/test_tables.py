"""The tables of this floor: one fact a row, each with its source, each by a law of its own."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

import partsdb.tables
from partsdb.errors import PartsdbError
from partsdb.rules.roles import burst_ratio, known_roles, role_named
from partsdb.rules.sources import names_source
from partsdb.tables import by_key, rows

# The list of roles that all floors agree on.
ROLES = {
    "valve kit", "valve body", "ball", "seat", "rod", "rod seal", "packing", "packing kit",
    "gland ring", "pump block", "fitting", "nipple", "hose", "whip hose", "swivel", "gun",
    "tip holder", "filter", "gauge", "coupling", "o-ring", "pin", "collar", "handle", "nozzle",
    "lance", "sealant", "threadlocker", "unloader", "check valve",
}  # fmt: skip


@pytest.mark.parametrize(
    "name",
    [
        "roles",
        "burst_ratios",
        "pressure_units",
        "derating",
        "pipe_walls",
        "temperature_limits",
        "cautions",
    ],
)
def test_every_row_has_a_source(name: str) -> None:
    assert rows(name)
    assert all(row["source"] for row in rows(name))


def test_every_role_is_known_and_has_a_component_class() -> None:
    assert set(known_roles()) == ROLES
    classes = {row["component_class"] for row in rows("burst_ratios")}
    assert {role.component_class for role in known_roles().values()} <= classes


def test_roles_take_their_words_from_short_lists() -> None:
    for role in known_roles().values():
        assert role.kind in ("pressure boundary", "wear item", "hardware", "consumable", "none")
        assert role.judged_by in ("facts", "edge")
        assert role.when_missing in ("fails", "buy", "buy or reuse")
        if role.holds_pressure:
            assert role.when_missing == "fails"


def test_burst_is_accepted_alike_in_both_tables() -> None:
    for row in rows("roles"):
        accepted = burst_ratio(row["component_class"]) is not None
        assert accepted == (row["burst_accepted"] == "yes"), row["role"]


def test_no_ratio_is_under_four_and_blocks_and_valves_have_none() -> None:
    """Handbook 1.3: defaults may go up from 4, never down without paper."""
    for row in rows("burst_ratios"):
        ratio = burst_ratio(row["component_class"])
        assert ratio is None or ratio >= 4
    for name in ("valve", "block", "filter", "gun", "gauge", "no such class"):
        assert burst_ratio(name) is None


def test_a_role_that_is_not_known_counts_as_holding_pressure() -> None:
    assert role_named("gizmo").holds_pressure
    assert role_named("Hose ").name == "hose"


def test_units_are_exact_multiples_of_their_definitions() -> None:
    """NIST SP 811: lb = 0.45359237 kg, g = 9.80665 m/s2, in = 0.0254 m, all exact."""
    units = by_key("pressure_units", "unit")
    psi = Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2
    assert Fraction(units["psi"]["pascals"]) == psi
    assert Fraction(units["ksi"]["pascals"]) == 1000 * psi
    assert Fraction(units["kgf/cm2"]["pascals"]) == Fraction("9.80665") / Fraction("0.01") ** 2


def test_no_spelling_stands_for_two_units() -> None:
    spelled = [each for row in rows("pressure_units") for each in row["spellings"].split(";")]
    assert len(spelled) == len(set(spelled))


def test_a_missing_table_and_a_doubled_key_are_reported() -> None:
    with pytest.raises(PartsdbError, match=r"no_such_table\.csv is missing"):
        rows("no_such_table")
    with pytest.raises(PartsdbError, match="stands in it twice"):
        by_key("derating", "curve")


TABLES = sorted(path.stem for path in Path(partsdb.tables.__file__).parent.glob("*.csv"))


@pytest.mark.parametrize("name", TABLES)
def test_every_row_of_every_table_names_what_it_rests_on(name: str) -> None:
    """Or says that there is nothing: "common practice, no source", "from memory"."""
    assert rows(name)
    for row in rows(name):
        assert names_source(row["source"]), row


def test_no_table_is_left_out() -> None:
    assert len(TABLES) > 30
