"""What a rating is still worth when it gets hot, and whether the part may get that hot at all."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise
from math import floor

from partsdb.errors import UsageError
from partsdb.rules.facts import Claim, ClaimKind
from partsdb.rules.pressure import Pressure
from partsdb.rules.verdict import Check, Outcome
from partsdb.tables import rows

# Common practice, no source: a part without a temperature on paper is taken to stand a warm shop.
WARM_SHOP_C = 40

_FIGURE = re.compile(r"([-+−]?\d+(?:[.,]\d+)?)\s*°?\s*([CF])?(?![\w])", re.IGNORECASE)
_AT = re.compile(r"^\s*(?:at|@|bei|rated at)\b|^\s*@", re.IGNORECASE)


@cache
def derating_curves() -> dict[str, tuple[tuple[int, Fraction], ...]]:
    """Return the points (°C, factor) of every curve of the table, coldest first."""
    curves: dict[str, list[tuple[int, Fraction]]] = {}
    for row in rows("derating"):
        curves.setdefault(row["curve"], []).append((int(row["temp_c"]), Fraction(row["factor"])))
    return {name: tuple(sorted(points)) for name, points in curves.items()}


def derating_factor(curve: str, *, temp_c: int) -> Fraction:
    """Return the share of the rating left at `temp_c`, linear between the curve's points.

    Colder than its first point the full rating holds; hotter than its last, or for an unknown
    curve, UsageError: a standard is never extrapolated.
    """
    points = derating_curves().get(curve, ())
    if points and temp_c <= points[0][0]:
        return points[0][1]
    for (low_c, low), (high_c, high) in pairwise(points):
        if low_c <= temp_c <= high_c:
            return low + (high - low) * Fraction(temp_c - low_c, high_c - low_c)
    raise UsageError(f"{curve!r} gives no factor at {temp_c} °C", hint="ask the maker for a curve")


def derated(rating: Pressure, curve: str, *, temp_c: int) -> Pressure:
    """Return the rating left at `temp_c`, rounded down; UsageError as `derating_factor`."""
    factor = derating_factor(curve, temp_c=temp_c)
    exact = rating.gauge * factor
    written = f"{rating.as_written} x {float(factor):g} at {temp_c} °C"
    return Pressure(floor(exact), written, "gauge", rating.notes, exact)


def curve_for(claims: Iterable[Claim]) -> str:
    """Return the derating curve that a part's material or standard claims name, or ""."""
    said = " ".join(
        claim.value.lower()
        for claim in claims
        if claim.kind in (ClaimKind.MATERIAL, ClaimKind.STANDARD)
    )
    is_316 = "316" in said or "1.4401" in said
    return "316 corrugated metal hose" if is_316 and "corrugated" in said else ""


@lru_cache(maxsize=4096)
def highest_c(value: str) -> int | None:
    """Return the highest temperature that `value` states, in whole °C rounded down, or None."""
    found = []
    for figure, unit in _FIGURE.findall(value):
        number = Fraction(figure.replace(",", ".").replace("−", "-"))
        found.append((number, unit.upper()))
    units = {unit for _, unit in found if unit}
    if not found or len(units) != 1:
        return None
    top = max(number for number, _ in found)
    return floor((top - 32) * Fraction(5, 9) if units == {"F"} else top)


def check_temperature(claims: Sequence[Claim], temp_c: int, fluids: Sequence[str] = ()) -> Check:
    """Return whether the part may be as hot as the position gets; unknown is not shown.

    A figure "at 20 °C" is where the rating was taken, not a limit: hotter than that needs a curve.
    """
    limits = [*_claimed(claims), *_by_standard(claims, fluids)]
    readable = [limit for limit in limits if limit[0] is not None]
    if not readable:
        return _no_limit(limits, temp_c)
    lowest, claim, is_limit = min(readable, key=lambda limit: (limit[0] or 0, not limit[2]))
    said = f"{claim.value} stated against {temp_c} °C needed"
    if lowest is not None and lowest >= temp_c:
        return Check("temperature", Outcome.MEETS, said, _evidence(claim))
    if curve_for(claims):
        text = f"{said}: above it the rating is derated by the curve"
        return Check("temperature", Outcome.MEETS, text, _evidence(claim))
    if is_limit:
        return Check("temperature", Outcome.FAILS, said, _evidence(claim), "TEMP_LOW")
    text = f"{said}, and no derating curve is known for this part"
    return Check("temperature", Outcome.NOT_SHOWN, text, _evidence(claim), "TEMP_UNKNOWN")


def _no_limit(limits: Sequence[object], temp_c: int) -> Check:
    if temp_c <= WARM_SHOP_C and not limits:
        text = f"no temperature is stated; {temp_c} °C is no more than a warm shop"
        return Check("temperature", Outcome.MEETS, text)
    text = f"no temperature limit that can be read is stated against {temp_c} °C needed"
    return Check("temperature", Outcome.NOT_SHOWN, text, code="TEMP_UNKNOWN")


def _claimed(claims: Iterable[Claim]) -> list[tuple[int | None, Claim, bool]]:
    return [
        (highest_c(claim.value), claim, not _AT.match(claim.value) and claim.about != "rated at")
        for claim in claims
        if claim.kind == ClaimKind.TEMPERATURE
    ]


def _by_standard(
    claims: Iterable[Claim], fluids: Sequence[str]
) -> list[tuple[int | None, Claim, bool]]:
    found: list[tuple[int | None, Claim, bool]] = []
    for claim in claims:
        if claim.kind != ClaimKind.STANDARD:
            continue
        for row in rows("temperature_limits"):
            if row["standard"] in claim.value and row["fluid"] in _fluid_groups(fluids):
                found.append((int(row["high_c"]), claim, True))
    return found


def _fluid_groups(fluids: Sequence[str]) -> set[str]:
    words = " ".join(fluids).lower()
    groups = {"oil"} if not words or "oil" in words or "spirit" in words else set()
    if "water" in words:
        groups |= {"water", "water-based"}
    return groups


def _evidence(claim: Claim) -> str:
    return f"{claim.evidence}: {claim.source}" if claim.source else str(claim.evidence)
