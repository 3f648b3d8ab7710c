"""Galvanic pairs: the difference of two indices says how hard the nobler metal drives the other.

Source: handbook 3.1. The higher index corrodes; a small anode on a large cathode is worst.
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache

from partsdb import tables

LIMITS_V = {"wetted": Decimal("0.15"), "normal": Decimal("0.25"), "controlled": Decimal("0.50")}
# Indices and limits as published tables of dissimilar metals give them, some rows from memory.
GALVANIC_SOURCE = "published galvanic tables of dissimilar metals, in part from memory"
_NO_METAL = "none"


@cache
def _groups_of() -> dict[str, str]:
    return {row["material"]: row["galvanic"] for row in tables.rows("materials")}


@cache
def _indices(material: str) -> tuple[Decimal, ...]:
    """Return the galvanic indices that a material (or a group of the table) may have, in V."""
    groups = {row["group"]: Decimal(row["index_v"]) for row in tables.rows("galvanic")}
    if material in groups:
        return (groups[material],)
    named = _groups_of().get(material, "")
    return tuple(groups[name] for name in named.split(";") if name in groups)


def _is_metal(material: str) -> bool:
    return _groups_of().get(material) != _NO_METAL


def galvanic_delta(a: str, b: str) -> Decimal | None:
    """Return the difference of the galvanic indices in V; the widest if a form is not stated.

    None when one is not listed (carbide), 0 when one is no metal. Source: handbook 3.1.
    """
    if not (_is_metal(a) and _is_metal(b)):
        return Decimal(0)
    deltas = [abs(one - two) for one in _indices(a) for two in _indices(b)]
    return max(deltas, default=None)


def galvanic_anode(a: str, b: str) -> str | None:
    """Return which of two materials corrodes (the higher index), None when level or not listed."""
    ones, twos = _indices(a), _indices(b)
    if not ones or not twos:
        return None
    if min(ones) > max(twos):
        return a
    return b if min(twos) > max(ones) else None


def is_galvanically_worse(old: str, new: str, block: str) -> bool:
    """Say whether the difference against the block grows in any form that the three may have."""
    if not (_is_metal(block) and _is_metal(new)):
        return False
    olds = _indices(old) if _is_metal(old) else ()
    return any(
        abs(index - base) > min((abs(before - base) for before in olds), default=Decimal(0))
        for base in _indices(block)
        for index in _indices(new)
    )
