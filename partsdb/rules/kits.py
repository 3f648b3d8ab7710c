"""Kits: what a kit covers of what is needed, and what its gaps come to."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from partsdb.rules.facts import NOT_SAID, KitItem
from partsdb.rules.memo import once_per_object, once_per_pair
from partsdb.rules.roles import role_named
from partsdb.rules.verdict import Check, Outcome


@dataclass(frozen=True, slots=True)
class Coverage:
    """How many of the needed pieces a kit brings, by role; extras are fine (handbook 4)."""

    covered: int
    needed: int
    missing: Mapping[str, int]
    extra: Mapping[str, int]


def coverage(needed: Mapping[str, int], kit: Mapping[str, int]) -> Coverage:
    """Return the sum of min(needed, had) over what is needed, what is missing, what is extra."""
    want, have = Counter(needed), Counter(kit)
    return Coverage(
        (want & have).total(), want.total(), dict(sorted((want - have).items())),
        dict(sorted((have - want).items())),
    )  # fmt: skip


def by_role(items: Iterable[KitItem]) -> Counter[str]:
    """Return the quantity of every role in a kit's contents."""
    counted: Counter[str] = Counter()
    for item in items:
        counted[item.role] += max(item.quantity, 1)
    return counted


_counted = once_per_object(by_role)


# Words that tell apart two pieces of one role in one place.
_SIDES = frozenset(
    ("upper", "lower", "inlet", "outlet", "suction", "delivery", "front", "rear", "left", "right")
)


@lru_cache(maxsize=4096)
def sides_of(text: str) -> frozenset[str]:
    """Return the words of a name that tell two pieces of one role apart: upper, lower …"""
    return _SIDES & set(re.findall(r"[a-z]+", text.lower()))


@once_per_pair
def _covered(needed: tuple[KitItem, ...], kit: tuple[KitItem, ...]) -> Coverage:
    sided = _sided(needed)
    if not sided:
        return coverage(_counted(needed), _counted(kit))
    want, have = _by_side(needed, sided), _by_side(kit, sided)
    # A piece of which the kit does not say the side may be the one or the other, but not both.
    for piece in sorted(want - have):
        loose = _role_of(piece)
        filled = min(want[piece] - have[piece], have[loose])
        have[piece] += filled
        have[loose] -= filled
    return coverage(want, have)


@once_per_object
def _sided(needed: tuple[KitItem, ...]) -> frozenset[str]:
    """Return the roles whose pieces are told apart by their side, every one of them."""
    plain = {item.role for item in needed if not sides_of(item.item)}
    return frozenset(item.role for item in needed) - plain


def _by_side(items: Iterable[KitItem], sided: frozenset[str]) -> Counter[str]:
    counted: Counter[str] = Counter()
    for item in items:
        side = " ".join(sorted(sides_of(item.item))) if item.role in sided else ""
        counted[f"{item.role} ({side})" if side else item.role] += max(item.quantity, 1)
    return counted


def _role_of(piece: str) -> str:
    """Return the role of "packing (upper)"."""
    return piece.partition(" (")[0]


def _uncounted(needed: tuple[KitItem, ...], kit: tuple[KitItem, ...]) -> dict[str, int]:
    """Return what is needed of each role that the kit names without saying how many it brings."""
    unsaid = {item.role for item in kit if item.quantity == NOT_SAID}
    if not unsaid:
        return {}
    want, have = _counted(needed), _counted(kit)
    return {role: want[role] for role in sorted(unsaid) if want[role] > have[role]}


def check_contents(needed: tuple[KitItem, ...], kit: tuple[KitItem, ...] | None) -> Check:
    """Return whether a kit brings what the part called for brings.

    Code KIT_INCOMPLETE: a missing piece that holds or seals the pressure fails, because a new
    ball never goes on a worn seat; a missing other piece is a condition that names what to buy.
    """
    if kit is None:
        text = f"its contents are not stated against {_in_words(_counted(needed))} needed"
        return Check("contents", Outcome.NOT_SHOWN, text, code="KIT_INCOMPLETE")
    cover = _covered(needed, kit)
    uncounted = _uncounted(needed, kit)
    missing = {
        piece: short for piece, short in cover.missing.items() if _role_of(piece) not in uncounted
    }
    text = f"{cover.covered} of {cover.needed} pieces needed are in the kit"
    if not cover.missing:
        return Check("contents", Outcome.MEETS, text)
    text += f", missing {_in_words(missing)}" if missing else ""
    text += f"; it does not say how many: {_in_words(uncounted)} needed" if uncounted else ""
    grave = [role for role in missing if _gap(role, needed) == "fails"]
    if grave:
        text += f"; without its {grave[0]} it cannot stand in"
        return Check("contents", Outcome.FAILS, text, code="KIT_INCOMPLETE")
    conditions = tuple(
        f"{_gap(role, needed)} separately: {role} x{short}" if _gap(role, needed) == "buy"
        else f"buy {role} x{short}, or reuse the old one if it is sound"
        for role, short in missing.items()
    )  # fmt: skip
    outcome = Outcome.NOT_SHOWN if uncounted else Outcome.MEETS_WITH_CONDITIONS
    return Check("contents", outcome, text, code="KIT_INCOMPLETE", conditions=conditions)


def check_treatment(needed: tuple[KitItem, ...], kit: tuple[KitItem, ...]) -> Check | None:
    """Return that the kit treats its threads otherwise, None when it does not.

    Code TREATMENT_CHANGED: the same torque on another treatment gives another tension, so the
    instruction belongs to the kit and not to the pump (handbook 2.3).
    """
    was, now = _TREATMENTS & _counted(needed).keys(), _TREATMENTS & _counted(kit).keys()
    if was == now:
        return None
    text = f"it brings {_or_none(now)} for the threads, the kit called for {_or_none(was)}"
    condition = "use the thread treatment and torque of this kit's own sheet, not the old one's"
    return Check(
        "thread treatment", Outcome.MEETS_WITH_CONDITIONS, text, TREATMENT_SOURCE,
        "TREATMENT_CHANGED", (condition,),
    )  # fmt: skip


# The tension that a torque gives depends on friction: F = T / (K d).
TREATMENT_SOURCE = "textbook formula F = T/(K d), common practice"
_TREATMENTS = frozenset({"sealant", "threadlocker"})


def _or_none(treatments: frozenset[str]) -> str:
    return " and ".join(sorted(treatments)) or "nothing"


def missing_words(needed: tuple[KitItem, ...], kit: tuple[KitItem, ...]) -> tuple[str, ...]:
    """Return what the kit lacks as "gland ring x1", by role."""
    cover, uncounted = _covered(needed, kit), _uncounted(needed, kit)
    return tuple(
        f"{role} (how many is not said)" if _role_of(role) in uncounted else f"{role} x{short}"
        for role, short in cover.missing.items()
    )


def extra_words(needed: tuple[KitItem, ...], kit: tuple[KitItem, ...]) -> tuple[str, ...]:
    """Return what the kit brings beyond what is needed, as "o-ring x2", by role."""
    cover = _covered(needed, kit)
    return tuple(f"{role} x{more}" for role, more in cover.extra.items())


def _gap(piece: str, needed: tuple[KitItem, ...]) -> str:
    """Return what a missing piece comes to; a kind that the shop stated outweighs the table's."""
    role = _role_of(piece)
    stated = {item.kind for item in needed if item.role == role}
    if "pressure boundary" in stated:
        return "fails"
    worst = role_named(role).when_missing
    if worst == "fails" and role_named(role).component_class == "unknown" and stated:
        return "buy"  # an unknown role, which the kit's own list calls wear item or hardware
    return worst


def _in_words(counted: Mapping[str, int]) -> str:
    return ", ".join(f"{role} x{count}" for role, count in sorted(counted.items()))
