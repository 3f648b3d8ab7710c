"""What a lot leaves on hand, and whether any of it may be offered.

Received = fitted + scrapped + returned + on hand; what a count finds short is the gap, and it is
reported, never absorbed (trade handbook 7). What our own bench puts into kits lies in their lot,
until they are taken apart.
"""

from __future__ import annotations

from dataclasses import dataclass

USABLE = "accepted"
STATES = ("held", USABLE, "returned", "barred")


@dataclass(frozen=True, slots=True)
class Balance:
    """The units of one lot. `gap` is what counts of the shelf found missing (found more: < 0)."""

    received: int
    fitted: int = 0
    returned: int = 0
    written_off: int = 0
    gap: int = 0
    built_in: int = 0
    taken_apart: int = 0

    @property
    def on_hand(self) -> int:
        """What should lie in the bin; below zero when more left than ever came in."""
        gone = self.fitted + self.built_in + self.returned + self.written_off + self.taken_apart
        return self.received - gone - self.gap

    @property
    def balances(self) -> bool:
        """Say whether every unit is accounted for."""
        return self.gap == 0 and self.on_hand >= 0

    def __str__(self) -> str:
        built = f" + {self.built_in} built into kits" if self.built_in else ""
        apart = f" + {self.taken_apart} taken apart" if self.taken_apart else ""
        said = (
            f"{self.received} received = {self.fitted} fitted{built}{apart}"
            f" + {self.written_off} written off"
            f" + {self.returned} returned + {self.on_hand} on hand"
        )
        if self.gap:
            more = "missing" if self.gap > 0 else "more than booked"
            said += f", gap {abs(self.gap)} {more}"
        return said


def offered(state: str, balance: Balance, *grades: str) -> int:
    """Return how many units may be taken off the shelf: none of a lot held, returned or barred.

    `grades` are those that touch the lot (supplier, maker, part): `barred` anywhere counts most.
    """
    if state != USABLE or "barred" in grades:
        return 0
    return max(balance.on_hand, 0)


def gap_of(balance: Balance, counted: int) -> int:
    """Return what a count of the bin finds missing against the books (found more: below zero)."""
    return balance.on_hand - counted
