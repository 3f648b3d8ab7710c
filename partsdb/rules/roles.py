"""What a role means to the rules: does it hold pressure, has it threads, what judges it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache

from partsdb.tables import by_key, rows


@dataclass(frozen=True, slots=True)
class Role:
    """One row of the table of roles.

    `judged_by` is "facts" where rating, threads and sizes decide alone, else "edge": somebody must
    have shown that the part stands in. `when_missing` says what a kit without it comes to:
    "fails", "buy" or "buy or reuse".
    """

    name: str
    component_class: str
    kind: str
    has_ports: bool = True
    has_soft_parts: bool = True
    judged_by: str = "edge"
    when_missing: str = "fails"

    @property
    def holds_pressure(self) -> bool:
        """Say whether a person can be hurt when it gives way."""
        return self.kind == "pressure boundary"


@cache
def known_roles() -> Mapping[str, Role]:
    """Return the table of roles by name."""
    return {row["role"]: _role(row) for row in rows("roles")}


def _role(row: Mapping[str, str]) -> Role:
    return Role(
        name=row["role"],
        component_class=row["component_class"],
        kind=row["kind"],
        has_ports=row["has_ports"] == "yes",
        has_soft_parts=row["has_soft_parts"] == "yes",
        judged_by=row["judged_by"],
        when_missing=row["when_missing"],
    )


@lru_cache(maxsize=1024)
def role_named(name: str) -> Role:
    """Return the role `name`; a role that the table lacks counts as holding pressure."""
    return known_roles().get(name.strip().lower(), Role(name, "unknown", "pressure boundary"))


def burst_ratio(component_class: str) -> Fraction | None:
    """Return our burst ratio of a component class, None where burst alone is not accepted."""
    row = by_key("burst_ratios", "component_class").get(component_class)
    return Fraction(row["burst_ratio"]) if row and row["burst_accepted"] == "yes" else None


def proof_ratio(component_class: str) -> Fraction | None:
    """Return our ratio of proof to working pressure of a class, None where no document gives it."""
    row = by_key("burst_ratios", "component_class").get(component_class)
    return Fraction(row["proof_ratio"]) if row and row["proof_ratio"] else None


def burst_standard(component_class: str) -> str:
    """Return the standards that the burst ratio of a component class rests on."""
    return by_key("burst_ratios", "component_class")[component_class]["standard"]
