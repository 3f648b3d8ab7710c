"""Pressures of the trade: ratings round down, demands round up, and nothing is converted twice."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor

from partsdb.errors import InputRefusedError
from partsdb.rules.pressure_text import (
    DUAL_AGREE,
    DUAL_CONFLICT,
    READ_AS_KGF,
    READ_AS_PSI,
    WAS_ABSOLUTE,
    Found,
    found_in,
    plain,
)
from partsdb.rules.pressure_units import ATMOSPHERE_PA, unit_named

__all__ = [
    "DUAL_AGREE", "DUAL_CONFLICT", "READ_AS_KGF", "READ_AS_PSI", "WAS_ABSOLUTE",
    "Pressure", "PressureStatement", "at_least", "blank_grouped", "ceiled", "demand",
    "find_pressures", "floored", "rating", "shown_against", "shown_demand", "shown_rating",
    "sizes_of", "units_of",
]  # fmt: skip


# Ten million bar; common practice, no source: water jets work at 6,000 bar.
_BEYOND_REASON_PA = 10**12


@dataclass(frozen=True, slots=True)
class Pressure:
    """Whole pascals, the text they were read from, and whether they are gauge or absolute.

    `exact` keeps what the whole pascals cut off; built without it, it is read again from the text.
    """

    pascals: int
    as_written: str
    reference: str = "gauge"
    notes: tuple[str, ...] = field(default=(), compare=False)
    exact: Fraction | None = field(default=None, compare=False, repr=False)

    @property
    def gauge(self) -> Fraction:
        """Return the exact gauge pressure in pascals, by which everything is compared."""
        value = self.exact if self.exact is not None else self._read_again()
        return value - ATMOSPHERE_PA if self.reference == "absolute" else value

    def _read_again(self) -> Fraction:
        shift = ATMOSPHERE_PA if self.reference == "absolute" else 0
        for found in found_in(self.as_written, in_pressure_context=True):
            for value in (found.low, found.high):
                if value is not None and abs(value + shift - self.pascals) < 1:
                    return value + shift
        return Fraction(self.pascals)


@dataclass(frozen=True, slots=True)
class PressureStatement:
    """One pressure found in a text: `pressure` is floored, None when `problem` says why not.

    `basis` is "working", "proof", "burst" or ""; `start` and `end` are places in the text;
    `is_range` marks a scale or range ("0-400 bar"), whose upper end is the figure.
    """

    pressure: Pressure | None
    basis: str
    start: int
    end: int
    text: str
    code: str = ""
    problem: str = ""
    is_range: bool = False


def find_pressures(text: str, *, in_pressure_context: bool = False) -> list[PressureStatement]:
    """Return every pressure that a free text states, in order; never a size, number or thread.

    `in_pressure_context` says that the column or phrase is about pressure, so that "lbs", "#" and
    "kg" are read as psi and kgf/cm2 and marked so; elsewhere they are asked (UNIT_AMBIGUOUS).
    """
    return list(_statements(text, in_pressure_context=in_pressure_context))


# A line is read by the matcher, for its claims and for its packs, one soon after the other.
@lru_cache(maxsize=4096)
def _statements(text: str, *, in_pressure_context: bool) -> tuple[PressureStatement, ...]:
    found = found_in(text, in_pressure_context=in_pressure_context)
    return tuple(_stated(each) for each in found)


def _stated(found: Found) -> PressureStatement:
    pressure = None if found.low is None else _pressure(found, found.low, floor)
    code = "UNIT_AMBIGUOUS" if found.problem else ""
    if DUAL_CONFLICT in found.notes:
        code = "DUAL_UNIT_ROUNDING"
    return PressureStatement(
        pressure,
        found.basis,
        found.start,
        found.end,
        found.text,
        code,
        found.problem,
        found.is_range,
    )


def rating(text: str, *, in_pressure_context: bool = False) -> Pressure:
    """Return the one working pressure that `text` states, rounded down to whole pascals.

    Of a dual label the lower counts. Raises InputRefusedError when there is none, more than one,
    a proof or burst figure alone, or a unit or figure with two readings.
    """
    found = _only(text, in_pressure_context)
    if found.low is None or found.low <= 0:
        raise InputRefusedError(f"{text!r} is no pressure above zero", hint="give it in psi or bar")
    _refuse_beyond_reason(text, found.low)
    return _pressure(found, found.low, floor)


# A shop's machines ask for a few pressures, each of them thousands of times.
@lru_cache(maxsize=4096)
def demand(text: str, *, in_pressure_context: bool = False) -> Pressure:
    """Return the one pressure that `text` demands, rounded up; of a dual label the higher counts.

    Raises InputRefusedError as `rating` does.
    """
    found = _only(text, in_pressure_context)
    if found.high is None or found.high <= 0:
        raise InputRefusedError(f"{text!r} is no pressure above zero", hint="give it in psi or bar")
    _refuse_beyond_reason(text, found.high)
    return _pressure(found, found.high, ceil)


def _refuse_beyond_reason(text: str, pascals: Fraction) -> None:
    if pascals > _BEYOND_REASON_PA:
        raise InputRefusedError(
            f"{text!r} is beyond reason for a pressure", hint="look for figures that ran together"
        )


def _pressure(found: Found, gauge: Fraction, rounded: Callable[[Fraction], int]) -> Pressure:
    is_absolute = WAS_ABSOLUTE in found.notes and found.unit.reference == "absolute"
    exact = gauge + ATMOSPHERE_PA if is_absolute else gauge
    pascals = rounded(exact)
    reference = "absolute" if is_absolute else "gauge"
    return Pressure(pascals, found.text.strip(), reference, found.notes, exact)


def _only(text: str, in_pressure_context: bool) -> Found:
    whole = blank_grouped(text)
    found = found_in(whole, in_pressure_context=in_pressure_context)
    usable = [each for each in found if each.basis in ("", "working")]
    if len(usable) == 1 and not usable[0].problem:
        return usable[0]
    if len(usable) == 1:
        raise InputRefusedError(usable[0].problem, hint="write the unit out: psi, bar or MPa")
    if usable:
        raise InputRefusedError(f"{text!r} states more than one pressure", hint="give one of them")
    if found:
        raise InputRefusedError(
            f"{text!r} is a {found[0].basis} pressure, which is never a rating",
            hint="give the working pressure",
        )
    raise InputRefusedError(
        f"{text!r} states no pressure with a unit", hint="write 3300 psi or 227 bar"
    )


def blank_grouped(text: str) -> str:
    """Return "3 300 psi" as "3300 psi"; any other text as it is.

    Blanks group a figure only when nothing else stands in the text: "DN 6 400 bar" is 400 bar.
    """
    flat = plain(text).strip()
    head, _, rest = flat.partition(" ")
    tail = rest.lstrip("0123456789 ")
    figure = flat[: len(flat) - len(tail)].strip()
    groups = figure.split()
    if len(groups) < 2 or any(len(group) != 3 for group in groups[1:]) or not 0 < len(head) <= 3:
        return text
    return f"{''.join(groups)} {tail}"


_UNIT_NAMES = re.compile(r"psi|bar|mpa|kpa|kgf|kg|atm|#|lbs?\b|pounds?")
_SAME_UNIT = {
    **dict.fromkeys(("#", "lb", "lbs", "pound", "pounds"), "psi"),
    **dict.fromkeys(("kg", "kgf"), "kgf/cm2"),
    "mpa": "MPa",
    "kpa": "kPa",
}


def units_of(pressure: Pressure) -> frozenset[str]:
    """Return the units in which a pressure was written, pounds as psi and kilograms as kgf/cm2."""
    return _units_in(pressure.as_written)


@lru_cache(maxsize=4096)
def _units_in(written: str) -> frozenset[str]:
    found = _UNIT_NAMES.findall(written.casefold())
    return frozenset(_SAME_UNIT.get(name, name) for name in found)


def sizes_of(pressure: Pressure) -> frozenset[Fraction]:
    """Return the sizes in pascals of the units in which a pressure was written."""
    return frozenset(unit_named(name).pascals for name in units_of(pressure))


def at_least(rated: Pressure, demanded: Pressure) -> bool:
    """Say whether the rating holds the demand, both as gauge pressures and exactly."""
    return rated.gauge >= demanded.gauge


def floored(pressure: Pressure, unit: str, *, step: str = "1") -> Fraction:
    """Return the pressure in `unit`, rounded down to a multiple of `step`: for ratings."""
    size = unit_named(unit).pascals * Fraction(step)
    return floor(pressure.gauge / size) * Fraction(step)


def ceiled(pressure: Pressure, unit: str, *, step: str = "1") -> Fraction:
    """Return the pressure in `unit`, rounded up to a multiple of `step`: for demands."""
    size = unit_named(unit).pascals * Fraction(step)
    return ceil(pressure.gauge / size) * Fraction(step)


@lru_cache(maxsize=4096)
def shown_rating(pressure: Pressure) -> str:
    """Return a rating for people, rounded down, its own unit first: "3300 psi (227 bar)"."""
    return _shown(pressure, floored(pressure, "psi"), floored(pressure, "bar"))


@lru_cache(maxsize=4096)
def shown_demand(pressure: Pressure) -> str:
    """Return a demand for people, rounded up, its own unit first: "3300 psi (228 bar)"."""
    return _shown(pressure, ceiled(pressure, "psi"), ceiled(pressure, "bar"))


def shown_against(rated: Pressure, demanded: Pressure) -> str:
    """Return both for people: "3600 psi (248 bar) against 3300 psi (228 bar) needed".

    Of the same figure in the same unit the demand's other unit is left out: rounded to the other
    side it would read as if the rating did not reach it.
    """
    rating, needed = shown_rating(rated), shown_demand(demanded)
    figure = needed.partition(" (")[0]
    if rating.partition(" (")[0] == figure:
        needed = figure
    return f"{rating} against {needed} needed"


def _shown(pressure: Pressure, psi: Fraction, bar: Fraction) -> str:
    # The unit that was written reads exactly; the other one is rounded to the safe side.
    is_metric = (
        "bar" in pressure.as_written.casefold() and "psi" not in pressure.as_written.casefold()
    )
    return f"{bar} bar ({psi} psi)" if is_metric else f"{psi} psi ({bar} bar)"
