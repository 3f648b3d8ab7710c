"""Which burst ratio a hose is held to: what it carries may ask for more than the usual four."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from partsdb.rules.roles import Role
from partsdb.rules.words import plain_words

STEAM, FLASHING = "rubber steam hose", "hose for liquid that flashes to gas"
# Liquids that are gas at the pressure of the air. Common practice, no source for the list.
_FLASHES = frozenset(
    {"propane", "butane", "lpg", "ammonia", "carbon dioxide", "co2", "refrigerant", "dme"}
)
_BOILS_C = 100  # water lets go of its pressure as steam above this, at sea level


def class_of(role: Role, fluids: Iterable[str], temp_c: int | None) -> str:
    """Return the component class of a role where it carries `fluids` at up to `temp_c` (°C).

    Source of the ratios: trade table (handbook 1.3, S40); the higher one counts.
    """
    if role.component_class != "hose":
        return role.component_class
    return _hose_class(tuple(fluids), temp_c)


@lru_cache(maxsize=4096)
def _hose_class(fluids: tuple[str, ...], temp_c: int | None) -> str:
    said = [" ".join(plain_words(fluid)) for fluid in fluids]
    if any("steam" in each.split() for each in said):
        return STEAM
    boils = temp_c is not None and temp_c > _BOILS_C and any("water" in each for each in said)
    flashes = any(f" {name} " in f" {each} " for name in _FLASHES for each in said)
    return FLASHING if boils or flashes else "hose"
