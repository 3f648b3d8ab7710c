"""What the pressure pushes with on a thread in an aluminium block, and what the thread holds.

Formulas FED-STD-H28/2B, as in `engagement`; limits of the threads: `tables/thread_limits.csv`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil, floor

from partsdb.rules.engagement import (
    SHEAR_STRENGTH_MPA,
    ThreadLimits,
    internal_shear_area,
    pressure_thrust_n,
    strip_force,
)
from partsdb.rules.facts import PositionDemand
from partsdb.rules.materials import materials_named
from partsdb.rules.surges import highest_demand
from partsdb.rules.thread_forms import Thread
from partsdb.rules.threads import parse
from partsdb.tables import by_key

# Common practice, no source: the thread in the block is to hold four times the push, as a hose.
MARGIN = 4


def thread_load_notes(demands: Iterable[PositionDemand]) -> tuple[str, ...]:
    """Return for each thread of the positions what pushes and, where its limits are known, holds.

    The push is rounded up, what holds it down. It is a reckoning for a sound thread, never a
    rating: no torque, wear or porosity is in it.
    """
    return tuple(dict.fromkeys(text for demand in demands for text in _of(demand)))


def _of(demand: PositionDemand) -> Iterator[str]:
    pressure = highest_demand(demand)
    for thread in map(parse, demand.ports):
        if pressure is None or thread is None or not thread.diameter_mm:
            continue
        # The whole thread is taken as under pressure: the seal may be smaller, never larger.
        push = pressure_thrust_n(float(pressure.gauge), thread.diameter_mm)
        name = thread.designation.removesuffix(f" {thread.gender}")
        yield (
            f"{name}: {pressure.as_written} pushes with {ceil(push / 100) / 10:.1f} kN at most, "
            f"p x pi/4 x ({thread.diameter_mm:g} mm)²{_holds(thread, demand.block_material, push)}."
        )


def _holds(thread: Thread, block: str, push: float) -> str:
    row = by_key("thread_limits", "size").get(thread.size)
    if row is None or thread.form not in ("M", "ISO6149"):
        return ""
    limits = ThreadLimits(
        float(row["pitch_mm"]),
        male_major_min=float(row["male_major_min_mm"]),
        female_pitch_max=float(row["female_pitch_max_mm"]),
    )
    alloy, strength = _alloy(block)
    per_mm = strip_force(internal_shear_area(limits, engaged_length=1), strength)
    return (
        f"; each mm of sound thread in {alloy} strips at {floor(per_mm / 100) / 10:.1f} kN "
        f"(FED-STD-H28/2B, {strength:g} MPa), so {ceil(MARGIN * push / per_mm)} mm hold "
        f"{MARGIN} times the push"
    )


def _alloy(block: str) -> tuple[str, float]:
    """Return the alloy that the block is named to be of, else the weaker one that we know."""
    named = materials_named(block) & SHEAR_STRENGTH_MPA.keys()
    weakest = min(named or SHEAR_STRENGTH_MPA, key=SHEAR_STRENGTH_MPA.__getitem__)
    return weakest, SHEAR_STRENGTH_MPA[weakest]
