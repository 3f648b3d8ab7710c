"""Pieces with two threaded ends that call themselves adapters."""

from __future__ import annotations

from partsdb.store import sql

# How lists call them, in English and German; a piece that no word calls one is not proposed.
_WORDS = ("adapt", "reduc", "reduz", "übergang")
_NAMED = " OR ".join(f"p.description LIKE '%{word}%'" for word in _WORDS)


def two_ended_adapters(role: str = "fitting") -> dict[int, tuple[str, str]]:
    """Return, for each live adapter of `role` that states just two ports, both as written."""
    found = sql.rows(
        "SELECT c.part_id, c.value FROM part p CROSS JOIN claim_now c ON c.part_id = p.id"
        f" WHERE p.role = ? AND p.withdrawn_at IS NULL AND ({_NAMED}) AND c.kind = 'port'"
        " ORDER BY c.id",
        (role,),
    )
    ports: dict[int, list[str]] = {}
    for part_id, value in found:
        ports.setdefault(part_id, []).append(value)
    return {i: (each[0], each[1]) for i, each in sorted(ports.items()) if len(each) == 2}
