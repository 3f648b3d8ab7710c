"""Units of pressure with their exact size in pascals, and how a written figure is read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from partsdb.errors import UsageError
from partsdb.rules.words import matched_lower
from partsdb.tables import rows

ATMOSPHERE_PA = 101_325  # NIST SP 811 (2008) app. B.8: what stands between gauge and absolute

# Common practice, no source: no equipment of the trade goes higher, so a figure that only makes
# sense above this with a thousands mark in it was meant with a decimal mark ("227.527 bar").
_HIGHEST_PLAUSIBLE_PA = 700_000_000


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: `is_plain` is False for words that mean a pressure only beside a pressure."""

    name: str
    pascals: Fraction
    reference: str
    is_plain: bool

    @property
    def is_psi(self) -> bool:
        """Say whether the figure counts pounds per square inch, however it is written."""
        return self.pascals == unit_named("psi").pascals


class FigureUnclearError(ValueError):
    """A figure that can be read in two ways; the message says which ways."""


@cache
def units_by_spelling() -> Mapping[str, Unit]:
    """Return every spelling of the table with its unit, in lower case except "Pa"."""
    found: dict[str, Unit] = {}
    for row in rows("pressure_units"):
        unit = Unit(row["unit"], Fraction(row["pascals"]), row["reference"], row["plain"] == "yes")
        for spelling in row["spellings"].split(";"):
            found[spelling] = unit
    return found


@cache
def unit_named(name: str) -> Unit:
    """Return the unit of the table called `name`, raises UsageError for any other name."""
    for unit in units_by_spelling().values():
        if unit.name == name:
            return unit
    raise UsageError(f"{name!r} is no unit of pressure known here", hint="use psi, bar or MPa")


def unit_pattern() -> str:
    """Return a regular expression for every spelling, longest first, blanks optional.

    It is to be matched whatever the case of the letters. Spellings are branched by what they begin
    with, so that a word which begins none of them is passed by at once.
    """
    spelled = sorted(units_by_spelling(), key=len, reverse=True)
    begun: dict[str, list[str]] = {}
    for each in spelled:
        rest = re.escape(each[1:]).replace(r"\ ", r"\s*")
        begun.setdefault(each[0].lower(), []).append(rest)
    branches = "|".join(f"{re.escape(sign)}(?:{'|'.join(rests)})" for sign, rests in begun.items())
    return f"(?=[{''.join(map(re.escape, begun))}])(?:{branches})"


def unit_spelled(text: str) -> Unit:
    """Return the unit that `text`, matched by `unit_pattern`, spells."""
    known = units_by_spelling()
    plain = " ".join(text.split())
    lower = matched_lower(plain)
    for form in (plain, lower, lower.replace(" ", "")):
        if form in known:
            return known[form]
    tight = {spelling.replace(" ", ""): unit for spelling, unit in known.items()}
    return tight[lower.replace(" ", "")]


_ONE_MARK = re.compile(r"(\d{1,3})([.,])(\d{3})")
_GROUPED = re.compile(r"\d{1,3}(?:([ ,.'’\u2009\u202f])\d{3})(?:\1\d{3})*(?:[.,]\d+)?")


def read_figure(text: str, unit: Unit) -> Fraction:
    """Return the exact figure that `text` writes.

    Raises FigureUnclearError when it has two readings.
    A lone comma or point before three digits is the trap: "3,300 psi" is three thousand, while
    "227.527 bar" is not; what could be either ("2,500 bar") is asked, never guessed.
    """
    lone = _ONE_MARK.fullmatch(text)
    if lone:
        return _lone_mark(lone, unit)
    grouped = _GROUPED.fullmatch(text)
    if grouped:
        whole, _, decimals = _split_decimals(text, grouped[1])
        return Fraction(f"{re.sub(r'[^0-9]', '', whole)}.{decimals or 0}")
    return Fraction(text.replace(",", "."))


def _split_decimals(text: str, mark: str) -> tuple[str, str, str]:
    last = max(text.rfind("."), text.rfind(","))
    if last < 0 or text[last] == mark:
        return text, "", ""
    return text[:last], text[last], text[last + 1 :]


def _lone_mark(lone: re.Match[str], unit: Unit) -> Fraction:
    thousands, decimal = Fraction(lone[1] + lone[3]), Fraction(f"{lone[1]}.{lone[3]}")
    if lone[1] == "0" or thousands * unit.pascals > _HIGHEST_PLAUSIBLE_PA:
        return decimal
    small = unit.is_psi or unit.pascals < unit_named("psi").pascals
    # Nobody writes three decimals of a psi with zeros at their end: "12.000 psi" is German.
    if small and (lone[2] == "," or lone[3].endswith("00")):
        return thousands
    raise FigureUnclearError(
        f"{lone[0]!r} may be {lone[1]}{lone[3]} or {lone[1]} point {lone[3]} {unit.name}"
    )


def last_place(text: str) -> Fraction:
    """Return one unit of the last place written: 1 for "3300", 1/10 for "22.7" and "227,5"."""
    decimals = re.search(r"[.,](\d+)$", text)
    if decimals is None or len(decimals[1]) == 3:
        return Fraction(1)
    return Fraction(1, 10 ** len(decimals[1]))
