"""Sizes as written, compared exactly: inch and mm, fractions and decimals, O-ring dash numbers.

Two sizes are equal only exactly or within a tolerance that is stated; closeness is nothing.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache

from partsdb import tables
from partsdb.rules.verdict import Check, Outcome

MM_PER_INCH = Fraction("25.4")
# AS568 tables print whole hundredths of a millimetre of sizes that are set in inches.
ORING_ROUNDING_MM = Fraction("0.01")

_UNITS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    "zoll": MM_PER_INCH,
    '"': MM_PER_INCH,
    "ft": 12 * MM_PER_INCH,
}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_FIGURE = r"\d+[ -]\d+/[1-9]\d*|\d+/[1-9]\d*|\d*\.\d+|\d+"
_UNIT = r'mm|cm|m|inches|inch|in\.?|zoll|ft|"'
_ONE = re.compile(
    rf"(?:ø\s*)?(?P<figure>{_FIGURE})\s*(?P<unit>{_UNIT})?"
    rf"(?:\s*(?:±|\+/-)\s*(?P<tol>{_FIGURE})\s*(?P<tol_unit>{_UNIT})?)?"
)
_DASH = re.compile(r"(?:o-?ring\s*)?(?:as\s?568[ab]?\s*)?-?\s*(?P<dash>\d{3})(?:\s*o-?ring)?")
_CHAIN = re.compile(r"\s*(?:x|\*)\s*")


@dataclass(frozen=True, slots=True)
class Size:
    """One size: its measures in mm, exactly, and how far each may be off.

    For each measure `tolerances_mm` is what the text states beside it (0 when it states none), and
    `printed_mm` half of its last decimal place, for telling a rounded conversion from another size.
    """

    measures_mm: tuple[Fraction, ...]
    tolerances_mm: tuple[Fraction, ...]
    printed_mm: tuple[Fraction, ...]
    unit: str = "mm"
    oring: str = ""


def parse_size(text: str, *, unit: str = "") -> Size | None:
    """Return the size that `text` states, or None; `unit` is taken where the text names none."""
    plain = _plain(text)
    oring = _oring(plain)
    if oring:
        return oring
    matches = [_ONE.fullmatch(part) for part in _CHAIN.split(plain)]
    found = [match for match in matches if match]
    if not found or len(found) != len(matches):
        return None
    # In "10 x 2.5 mm" the unit stands once, at the end.
    last = found[-1]["unit"] or found[-1]["tol_unit"] or unit
    units = [(match["unit"] or match["tol_unit"] or last).rstrip(".") for match in found]
    if not all(units):
        return None
    return _size(found, units)


def _plain(text: str) -> str:
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    text = unicodedata.normalize("NFKC", text).casefold().replace("⁄", "/").replace("×", "x")
    text = re.sub(r"[”“″]|''", '"', re.sub(r"[‐‑‒–—−]", "-", text))
    # "1,234" may be a thousand or a decimal: left as it is, so it is not understood.
    return re.sub(r"(?<=\d),(?=(?:\d{1,2}|\d{4,})(?!\d))", ".", text).strip()


def _size(matches: list[re.Match[str]], units: list[str]) -> Size:
    pairs = [(match, _UNITS[unit]) for match, unit in zip(matches, units, strict=True)]
    return Size(
        measures_mm=tuple(_figure(match["figure"]) * scale for match, scale in pairs),
        tolerances_mm=tuple(_tolerance(match, scale) for match, scale in pairs),
        printed_mm=tuple(_half_place(match["figure"]) * scale for match, scale in pairs),
        unit="in" if pairs[0][1] in (MM_PER_INCH, 12 * MM_PER_INCH) else "mm",
    )


def _tolerance(match: re.Match[str], scale: Fraction) -> Fraction:
    if not match["tol"]:
        return Fraction(0)
    own = match["tol_unit"]
    return _figure(match["tol"]) * (_UNITS[own.rstrip(".")] if own else scale)


def _figure(text: str) -> Fraction:
    return sum((Fraction(part) for part in re.split(r"[ -]", text)), Fraction(0))


def _half_place(text: str) -> Fraction:
    """Return half a unit of the last decimal place; a fraction or a whole number is exact."""
    _, dot, decimals = text.partition(".")
    return Fraction(1, 2 * 10 ** len(decimals)) if dot else Fraction(0)


def _oring(plain: str) -> Size | None:
    """Return the O-ring of a dash number; bare digits without a dash or a name are no O-ring."""
    match = _DASH.fullmatch(plain)
    return oring(match["dash"]) if match and _is_dash(plain) else None


def _is_dash(plain: str) -> bool:
    match = _DASH.fullmatch(plain)
    return match is not None and plain != match["dash"]


@cache
def oring(dash: str) -> Size | None:
    """Return inside diameter and cross-section of an AS568 dash number, None when there is none."""
    for row in tables.rows("orings"):
        if row["dash"] == dash:
            inches = Fraction(row["id_in"]), Fraction(row["cs_in"])
            exact = (Fraction(0), Fraction(0))
            return Size(tuple(each * MM_PER_INCH for each in inches), exact, exact, "in", dash)
    return None


@lru_cache(maxsize=8192)
def check_size(name: str, called_for: str, offered: str) -> Check:
    """Return whether the dimension `name` ("bore_mm", "thread_in" …) offered is the one called for.

    The unit at the end of the name holds where a value names none. A size that is equal only after
    rounding between inch and mm is a condition: measure it.
    """
    check = f"size {name}"
    if not offered.strip():
        return Check(check, Outcome.NOT_SHOWN, f"{name} is not stated; {called_for} is called for")
    wanted, given = _named(name, called_for), _named(name, offered)
    if wanted is None or given is None:
        return _unread(check, called_for, offered, called_for if wanted is None else offered)
    return _compare(check, f"{offered} for {called_for}", wanted, given)


@lru_cache(maxsize=8192)
def _named(name: str, text: str) -> Size | None:
    """Return the size that `text` states as the value of `name`, whose end tells the unit."""
    if name.casefold() == "dash":
        return oring(_plain(text)) or parse_size(text)
    return parse_size(text, unit=_unit_of(name))


def _unit_of(name: str) -> str:
    last = name.rpartition("_")[2].casefold()
    return last if last in _UNITS else ""


def _unread(check: str, called_for: str, offered: str, unread: str) -> Check:
    if called_for.split() == offered.split() and not _is_dash(_plain(offered)):
        text = f"{offered} is written as called for, but is no measure that we read"
        condition = f"confirm that {offered} is the same size on both"
        return Check(check, Outcome.MEETS_WITH_CONDITIONS, text, conditions=(condition,))
    text = f"{unread!r} is not understood; {called_for} is called for, {offered} is offered"
    return Check(check, Outcome.NOT_SHOWN, text)


def _compare(check: str, text: str, wanted: Size, given: Size) -> Check:
    if len(wanted.measures_mm) != len(given.measures_mm):
        return Check(check, Outcome.NOT_SHOWN, f"{text}: one states more measures than the other")
    off_mm = [
        abs(one - two) for one, two in zip(wanted.measures_mm, given.measures_mm, strict=True)
    ]
    allowed_mm, why = _allowed(wanted, given)
    if _within(off_mm, allowed_mm):
        return Check(check, Outcome.MEETS, f"{text}: {why if any(off_mm) else 'the same'}")
    figures = f"{_in_mm(given)} mm, not {_in_mm(wanted)} mm"
    printed_mm = tuple(map(max, wanted.printed_mm, given.printed_mm))
    if wanted.unit != given.unit and _within(off_mm, printed_mm):
        condition = f"measure it: {figures}, equal only as rounded between inch and mm"
        return Check(
            check, Outcome.MEETS_WITH_CONDITIONS, f"{text}: rounded", conditions=(condition,)
        )
    return Check(check, Outcome.FAILS, f"{text}: {figures}")


def _within(off_mm: list[Fraction], allowed_mm: tuple[Fraction, ...]) -> bool:
    return all(off <= allowed for off, allowed in zip(off_mm, allowed_mm, strict=True))


def _allowed(wanted: Size, given: Size) -> tuple[tuple[Fraction, ...], str]:
    """Return the tolerances that the demand states, or what an O-ring table's rounding leaves."""
    if not any(wanted.tolerances_mm) and bool(wanted.oring) != bool(given.oring):
        rounding = (ORING_ROUNDING_MM,) * len(wanted.measures_mm)
        return rounding, "the same as the AS568 table prints it"
    return wanted.tolerances_mm, "within the tolerance stated"


def _in_mm(size: Size) -> str:
    return " x ".join(f"{float(each):.6g}" for each in size.measures_mm)
