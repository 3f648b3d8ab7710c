"""What else belongs on the bench with a part, and when no part of its kind is the answer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.rules.facts import PositionDemand
from partsdb.rules.materials import materials_named
from partsdb.rules.roles import role_named
from partsdb.rules.thread_load import thread_load_notes
from partsdb.tables import rows

# No figure is given: the torque of a valve belongs to its maker and to the kit's own sheet.
_IN_ALUMINIUM = (
    "The block is aluminium: pressure does not strip a sound thread, but torque, cross-threading, "
    "galling and reuse do. Turn it in by hand first; a damaged thread or an insert is for a "
    "competent person to judge.",
    "Tighten to the maker's figure for this very kit, from its own sheet: the same torque on a "
    "thread with oil or sealant clamps harder than on a dry one.",
    "Common practice is 1.5 to 2 diameters of engaged thread in aluminium.",
)


@dataclass(frozen=True, slots=True)
class LookAt:
    """A role to look at, or to replace, while another is on the bench, and why."""

    role: str
    why: str


def look_at(role: str) -> tuple[LookAt, ...]:
    """Return what else a bench looks at while a part of `role` is replaced (common practice)."""
    return tuple(
        LookAt(row["look_at"], row["why"]) for row in rows("while_there") if row["role"] == role
    )


def bench_notes(role: str) -> tuple[str, ...]:
    """Return what to look for before a part of `role` is bought, gravest first."""
    told = [row for row in rows("bench_notes") if row["role"] == role]
    return tuple(row["text"] for row in sorted(told, key=lambda row: int(row["order"])))


def aluminium_notes(demands: Iterable[PositionDemand]) -> tuple[str, ...]:
    """Return what to mind where a thread goes into aluminium, and what pushes on it, else nothing.

    Source: FED-STD-H28/2B and the textbook formula F = T/(K d); see `engagement`.
    """
    at_stake = [
        demand
        for demand in demands
        if role_named(demand.role).has_ports and _is_aluminium(demand.block_material)
    ]
    return (*_IN_ALUMINIUM, *thread_load_notes(at_stake)) if at_stake else ()


def _is_aluminium(material: str) -> bool:
    named = {name.lower() for name in materials_named(material)} | {material.lower()}
    return any("aluminium" in name or "aluminum" in name for name in named)
