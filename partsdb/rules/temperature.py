"""What a rating is still worth when it gets hot, and whether the part may get that hot at all."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise
from math import floor

from partsdb.errors import UsageError
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.pressure import Pressure
from partsdb.rules.sources import names_source
from partsdb.rules.verdict import Check, Outcome
from partsdb.tables import rows

# Common practice, no source: a part without a temperature on paper is taken to stand a warm shop.
WARM_SHOP_C = 40

_FIGURE = re.compile(
    r"(?<![^\W_])(?<!\d[.,])([-+−]?\d+(?:[.,]\d+)?)\s*°?\s*(C|F|Celsius|Fahrenheit)?(?![\w])",
    re.IGNORECASE,
)
_AT = re.compile(r"^\s*(?:at|@|bei|rated at)\b|^\s*@", re.IGNORECASE)
# Only one figure, or a range with its lower end first, says how hot a part may get.
_BETWEEN = re.compile(r"\s*(?:°\s*)?(?:-|–|—|−|\.{2,3}|…|/|to|bis|up to)\s*", re.IGNORECASE)
_PLAIN_WORDS_LISTED = (
    "max maximum maximal up to bis from von rated at bei temperature temp temperatur service "
    "operating working medium fluid continuous dauer c f celsius fahrenheit"
)
_PLAIN_WORDS = frozenset(_PLAIN_WORDS_LISTED.split())
_HEARSAY = (EvidenceLevel.SUPPLIERS_WORD, EvidenceLevel.INFERRED)


@dataclass(frozen=True, slots=True)
class _Stated:
    """A temperature that a claim states: `top_c` None where it cannot be read."""

    top_c: int | None
    claim: Claim
    is_limit: bool

    @property
    def may_be_lower(self) -> bool:
        """Say whether a document states a figure here that nobody can read."""
        is_figure = any(sign.isdigit() for sign in self.claim.value)
        return self.top_c is None and is_figure and _is_known(self.claim)


def _is_known(claim: Claim) -> bool:
    return claim.evidence not in _HEARSAY and names_source(claim.source)


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
    """Return the highest temperature that `value` states, in whole °C rounded down, or None.

    None too for what may be read in two ways: several figures that are no range, two units, or
    words that may change it ("water 60 °C, oil 100 °C", "120 °C peak", "60 °C at 200 bar").
    """
    found = list(_FIGURE.finditer(value))
    units = {match[2][0].upper() for match in found if match[2]}
    if not found or len(units) != 1 or not _is_plain(value, found):
        return None
    first, top = _number(found[0]), _number(found[-1])
    if len(found) > 2 or (len(found) == 2 and not _is_range(value, found, first < top)):
        return None
    return floor((top - 32) * Fraction(5, 9) if units == {"F"} else top)


def _number(match: re.Match[str]) -> Fraction:
    return Fraction(match[1].replace(",", ".").replace("−", "-"))


def _is_plain(value: str, found: Sequence[re.Match[str]]) -> bool:
    rest = value
    for match in reversed(found):
        rest = f"{rest[: match.start()]} {rest[match.end() :]}"
    # A lower limit alone ("from 60 °C") is no upper one.
    words = re.findall(r"[^\W_]+|[?~≈<>≥*]", rest.casefold())
    is_lower = len(found) == 1 and bool({"from", "von"} & {*words})
    return not is_lower and _PLAIN_WORDS.issuperset(words)


def _is_range(value: str, found: Sequence[re.Match[str]], rises: bool) -> bool:
    one, two = found
    return rises and _BETWEEN.fullmatch(value[one.end() : two.start()]) is not None


def check_temperature(claims: Sequence[Claim], temp_c: int, fluids: Sequence[str] = ()) -> Check:
    """Return whether the part may be as hot as the position gets; unknown is not shown.

    A figure "at 20 °C" is where the rating was taken, not a limit: hotter than that needs a curve.
    """
    stated = [*_claimed(claims), *_by_standard(claims, fluids)]
    readable = [each for each in stated if each.top_c is not None]
    if not readable:
        return _no_limit(stated, temp_c)
    found = _held(claims, readable, temp_c)
    unread = next((each.claim for each in stated if each.may_be_lower), None)
    if found.outcome is Outcome.MEETS and unread is not None:
        text = f"{found.text}; what {unread.value!r} means is not known, and it may be less"
        return Check("temperature", Outcome.NOT_SHOWN, text, _evidence(unread), "TEMP_UNKNOWN")
    return found


def _held(claims: Sequence[Claim], readable: Sequence[_Stated], temp_c: int) -> Check:
    limits = [each for each in readable if each.is_limit]
    lowest = min(limits or readable, key=lambda each: each.top_c or 0)
    said = f"{lowest.claim.value} stated against {temp_c} °C needed"
    if limits and (lowest.top_c or 0) < temp_c:
        return Check("temperature", Outcome.FAILS, said, _evidence(lowest.claim), "TEMP_LOW")
    rated = [each for each in readable if not each.is_limit and (each.top_c or 0) < temp_c]
    if not rated:
        return Check("temperature", Outcome.MEETS, said, _evidence(lowest.claim))
    said = f"{rated[0].claim.value} stated against {temp_c} °C needed"
    if curve_for(filter(_is_known, claims)):
        text = f"{said}: above it the rating is derated by the curve"
        return Check("temperature", Outcome.MEETS, text, _evidence(rated[0].claim))
    text = f"{said}, and no derating curve is known for this part"
    return Check("temperature", Outcome.NOT_SHOWN, text, _evidence(rated[0].claim), "TEMP_UNKNOWN")


def _no_limit(limits: Sequence[object], temp_c: int) -> Check:
    if temp_c <= WARM_SHOP_C and not limits:
        text = f"no temperature is stated; {temp_c} °C is no more than a warm shop"
        return Check("temperature", Outcome.MEETS, text)
    text = f"no temperature limit that can be read is stated against {temp_c} °C needed"
    return Check("temperature", Outcome.NOT_SHOWN, text, code="TEMP_UNKNOWN")


def _claimed(claims: Iterable[Claim]) -> list[_Stated]:
    return [
        _Stated(
            highest_c(claim.value),
            claim,
            not _AT.match(claim.value) and claim.about != "rated at",
        )
        for claim in claims
        if claim.kind == ClaimKind.TEMPERATURE
    ]


def _by_standard(claims: Iterable[Claim], fluids: Sequence[str]) -> list[_Stated]:
    found: list[_Stated] = []
    for claim in claims:
        if claim.kind != ClaimKind.STANDARD:
            continue
        for row in rows("temperature_limits"):
            if _names(row["standard"], claim.value) and row["fluid"] in _fluid_groups(fluids):
                found.append(_Stated(int(row["high_c"]), claim, is_limit=True))
    return found


@lru_cache(maxsize=4096)
def _names(standard: str, value: str) -> bool:
    """Say whether a claim names the standard and its type alone, unlike "similar to EN 853"."""
    pattern = rf"(?:(?:DIN|BS|NF|SFS) )?{standard}(?::\d{{4}})?(?:[ -][12]S[NT])?"
    return re.fullmatch(pattern, value.strip(), re.IGNORECASE) is not None


def _fluid_groups(fluids: Sequence[str]) -> set[str]:
    words = " ".join(fluids).lower()
    groups = {"oil"} if not words or "oil" in words or "spirit" in words else set()
    if "water" in words:
        groups |= {"water", "water-based"}
    return groups


def _evidence(claim: Claim) -> str:
    return f"{claim.evidence}: {claim.source}" if claim.source else str(claim.evidence)
