"""Pressures above what the gauge shows in use: the demand is the highest that can arise."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from partsdb.errors import UsageError
from partsdb.rules.facts import PositionDemand
from partsdb.rules.memo import once_per_object
from partsdb.rules.pressure import Pressure


def _demanded(exact: Fraction, how: str) -> Pressure:
    return Pressure(ceil(exact), how, "gauge", (), exact)


def highest_demand(demand: PositionDemand) -> Pressure | None:
    """Return the highest pressure that arises in the position, None where none is recorded.

    A pump stalls at its limiter and a regulator overshoots: the rating must hold that, not the
    gauge reading in use. Source: handbook 1.5 and 1.6.
    """
    if demand.stall is None and not demand.overshoot_percent:
        return demand.pressure
    return _highest(demand)


@once_per_object
def _highest(demand: PositionDemand) -> Pressure | None:
    found = [each for each in (demand.stall, demand.pressure) if each is not None]
    if demand.pressure is not None and demand.overshoot_percent:
        found.append(with_overshoot(demand.pressure, percent=Fraction(demand.overshoot_percent)))
    return max(found, key=lambda each: each.gauge, default=None)


def with_overshoot(working: Pressure, *, percent: Fraction) -> Pressure:
    """Return the set pressure and what the regulator lets through above it, rounded up.

    Raises UsageError for less than nothing.
    """
    if percent < 0:
        raise UsageError(f"an overshoot of {float(percent):g} % is none")
    exact = working.gauge * (1 + percent / 100)
    return _demanded(exact, f"{working.as_written} and {float(percent):g} % overshoot")


def behind_blocked_rod_port(supply: Pressure, *, bore_mm: Fraction, rod_mm: Fraction) -> Pressure:
    """Return the pressure at a blocked rod port, supply x D² / (D² - d²), rounded up.

    Raises UsageError unless the rod is thinner than the bore. Source: handbook 1.6.
    """
    if not 0 < rod_mm < bore_mm:
        raise UsageError(f"a rod of {float(rod_mm):g} mm does not run in {float(bore_mm):g} mm")
    exact = supply.gauge * bore_mm**2 / (bore_mm**2 - rod_mm**2)
    return _demanded(exact, f"{supply.as_written} behind a blocked rod port")


def of_air_driven_pump(air: Pressure, *, ratio: Fraction) -> Pressure:
    """Return the stall pressure of an air-driven pump, ratio x air, rounded up (handbook 1.6)."""
    return _demanded(air.gauge * ratio, f"{float(ratio):g} : 1 at {air.as_written}")


def water_hammer(*, density_kg_m3: int, sound_m_s: int, speed_change_m_s: Fraction) -> Pressure:
    """Return the rise when a stream stops at once, rho c dv, rounded up; a stiff pipe is assumed.

    Source: Joukowsky's formula (handbook 1.6).
    """
    exact = density_kg_m3 * sound_m_s * speed_change_m_s
    return _demanded(Fraction(exact), f"a stop of {float(speed_change_m_s):g} m/s")
