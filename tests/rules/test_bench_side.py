"""What else belongs on the bench: common practice, no source, as the tables themselves say."""

from __future__ import annotations

import pytest

from partsdb.rules.bench_side import aluminium_notes, bench_notes, look_at
from partsdb.rules.facts import PositionDemand
from partsdb.rules.roles import known_roles
from partsdb.tables import rows


@pytest.mark.parametrize("name", ["while_there", "bench_notes"])
def test_every_row_is_about_a_known_role_and_names_its_source(name: str) -> None:
    assert rows(name)
    for row in rows(name):
        assert row["role"] in known_roles()
        assert row["source"]


def test_what_is_looked_at_is_a_known_role_and_another_one() -> None:
    for row in rows("while_there"):
        assert row["look_at"] in known_roles()
        assert row["look_at"] != row["role"]
        assert row["why"]


def test_with_a_valve_kit_fittings_hose_filter_and_packings_are_looked_at() -> None:
    """Handbook 4: while it is on the bench, fittings, hose, filter, packings."""
    assert [each.role for each in look_at("valve kit")] == [
        "fitting", "hose", "filter", "packing kit",
    ]  # fmt: skip


def test_for_a_valve_kit_the_worn_bore_comes_first() -> None:
    """Handbook 4, "when no kit helps": the block is priced."""
    first, *_ = bench_notes("valve kit")
    assert "egg-shaped" in first and "price the block" in first


def test_of_other_roles_nothing_is_made_up() -> None:
    assert look_at("gauge") == () and bench_notes("gauge") == ()


@pytest.mark.parametrize(
    ("role", "block", "is_told"),
    [
        ("valve kit", "aluminium", True),
        ("valve kit", "aluminium casting A380", True),
        ("fitting", "6061-T6 aluminium", True),
        ("valve kit", "316 stainless", False),
        ("valve kit", "", False),
        ("packing kit", "carbon steel", False),
        ("ball", "aluminium", False),  # no thread is at stake
    ],
)
def test_a_thread_in_aluminium_is_told_with_care_and_without_a_torque(role, block, is_told) -> None:
    """Handbook 2.3: torque, cross-threading, galling and reuse strip it, not pressure."""
    notes = aluminium_notes([PositionDemand("Q33", "valve", role, block_material=block)])
    assert bool(notes) is is_told
    assert not any("Nm" in text or "N·m" in text or "lbf" in text for text in notes)
