"""Pieces with two threaded ends: what may serve as an adapter."""

from __future__ import annotations

from partsdb.store import sql


def two_ended(role: str = "fitting") -> dict[int, tuple[str, str]]:
    """Return, for each live part of `role` that states just two ports, both as written."""
    found = sql.rows(
        "SELECT c.part_id, c.value FROM claim_now c JOIN part p ON p.id = c.part_id"
        " WHERE p.role = ? AND p.withdrawn_at IS NULL AND c.kind = 'port' ORDER BY c.id",
        (role,),
    )
    ports: dict[int, list[str]] = {}
    for part_id, value in found:
        ports.setdefault(part_id, []).append(value)
    return {i: (each[0], each[1]) for i, each in sorted(ports.items()) if len(each) == 2}
