"""What else belongs on the bench with a part, and when no part of its kind is the answer."""

from __future__ import annotations

from dataclasses import dataclass

from partsdb.tables import rows


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
