"""Which situations a piece of work amounts to, as the cautions know them (handbook 9)."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.rules.facts import PositionDemand
from partsdb.rules.pressure import Pressure
from partsdb.rules.pressure_units import unit_named
from partsdb.rules.roles import role_named
from partsdb.rules.surges import highest_demand
from partsdb.rules.verdict import Check

_SKIN_PSI = 100  # handbook 9.1: about what breaches skin
_FLAMMABLE = ("spirit", "xylene", "acetone", "ketone", "toluene", "thinner", "solvent", "petrol")


def situations_of(
    demands: Iterable[PositionDemand], checks: Iterable[Check] = ()
) -> tuple[str, ...]:
    """Return the situations that fitting in these positions, with these findings, amounts to."""
    found: set[str] = set()
    for demand in demands:
        found |= _situations(demand)
    codes = {check.code for check in checks}
    if "HHC_ALUMINIUM" in codes:
        found.add("solvent and aluminium")
    if "BURST_ONLY" in codes:
        found.add("burst only")
    return tuple(sorted(found))


def _situations(demand: PositionDemand) -> set[str]:
    found = set()
    if role_named(demand.role).holds_pressure or demand.pressure is not None:
        found.add("pressurised machine")
        found |= {"injection", "eyes"} if _breaches_skin(highest_demand(demand)) else set()
    if any(word in fluid.lower() for fluid in demand.fluids for word in _FLAMMABLE):
        found.add("flammable fluid")
    if demand.role == "unloader" or "bypass" in demand.position.lower():
        found.add("relief valve")
    return found


def _breaches_skin(pressure: Pressure | None) -> bool:
    return pressure is None or pressure.gauge >= _SKIN_PSI * unit_named("psi").pascals
