"""What a machine reaches above its working pressure (handbook 1.5 and 1.6)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import UsageError
from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import Pressure, demand
from partsdb.rules.surges import behind_blocked_rod_port, highest_demand, with_overshoot


def place(pressure: str = "", stall: str = "", percent: str = "") -> PositionDemand:
    return PositionDemand(
        "Q33", "hose", "hose", demand(pressure) if pressure else None,
        stall=demand(stall) if stall else None, overshoot_percent=percent,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("asked", "psi"),
    [
        (place("3300 psi"), "3300"),
        (place("3300 psi", stall="3600 psi"), "3600"),
        (place("3300 psi", stall="3000 psi"), "3300"),  # the higher of the two
        (place("3300 psi", percent="10"), "3630"),
        (place("3300 psi", percent="2.5"), "3382.5"),
        (place("3300 psi", stall="3500 psi", percent="10"), "3630"),
        (place(stall="3600 psi"), "3600"),
    ],
)
def test_the_highest_that_arises_counts(asked: PositionDemand, psi: str) -> None:
    found = highest_demand(asked)
    assert found is not None
    assert found.gauge == Fraction(psi) * demand("1 psi").gauge


def test_a_place_without_any_pressure_has_none() -> None:
    assert highest_demand(place()) is None
    assert highest_demand(place(percent="10")) is None


def test_what_a_machine_reaches_says_how() -> None:
    found = highest_demand(place("227 bar", percent="10"))
    assert found is not None
    assert found.as_written == "227 bar and 10 % overshoot"
    assert highest_demand(place("227 bar")) == demand("227 bar")


def test_nonsense_is_refused() -> None:
    with pytest.raises(UsageError, match="overshoot"):
        with_overshoot(demand("3300 psi"), percent=Fraction(-1))
    with pytest.raises(UsageError, match="does not run in"):
        behind_blocked_rod_port(demand("210 bar"), bore_mm=Fraction(36), rod_mm=Fraction(36))


@given(st.integers(1, 9999), st.fractions(0, 100, max_denominator=100))
def test_an_overshoot_rounds_up_and_never_lowers_the_demand(psi: int, percent: Fraction) -> None:
    working = demand(f"{psi} psi")
    found: Pressure = with_overshoot(working, percent=percent)
    assert found.pascals >= found.gauge >= working.gauge
