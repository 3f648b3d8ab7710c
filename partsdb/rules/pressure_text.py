"""Finds what a free description says about pressure: figures, units, and which kind is meant."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise

from partsdb.rules.pressure_basis import basis_before, basis_of, is_basis, weaker
from partsdb.rules.pressure_units import (
    ATMOSPHERE_PA,
    FigureUnclearError,
    Unit,
    last_place,
    read_figure,
    unit_pattern,
    unit_spelled,
)

READ_AS_PSI = "read as psi"
READ_AS_KGF = "read as kgf/cm2"
WAS_ABSOLUTE = "written as absolute"
DUAL_AGREE = "two units that agree"
DUAL_CONFLICT = "two units that contradict each other"

_PRESSURE_WORD = re.compile(r"pressure|druck|pression|presion|rating|rated", re.IGNORECASE)
_WEIGHT_WORD = re.compile(
    r"weigh|gewicht|\bwt\b|\bnet\b|netto|gross|brutto|shipping", re.IGNORECASE
)
# Same length before and after, so that a position in the plain text is one in the given text.
_PLAIN = str.maketrans("²\xa0\u2007–—−０１２３４５６７８９", "2  ---0123456789")


@dataclass(frozen=True, slots=True)
class Found:
    """One figure with its unit: exact gauge pascals, lowest and highest of a dual label.

    `is_range` marks a scale from 0 to the figure. `problem` says in words why it could not be
    read; the figures are then None.
    """

    start: int
    end: int
    text: str
    low: Fraction | None
    high: Fraction | None
    step: Fraction
    unit: Unit
    basis: str = ""
    is_range: bool = False
    notes: tuple[str, ...] = ()
    problem: str = ""


def plain(text: str) -> str:
    """Return `text` with typographic blanks, dashes, digits made plain, character for character."""
    return text if text.isascii() else text.translate(_PLAIN)


_FIGURE = r"\d{1,3}(?:[,.'’\u2009\u202f]\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d+)?"
# "bar/min" is no pressure; "3300 psi/227 bar" states two.
_UNIT_ENDS = r"(?![^\W_]|/[^\W\d]|\^\w|\s+stock)"


@cache
def _statement() -> re.Pattern[str]:
    ranged = rf"(?:(?P<from>{_FIGURE})\s*(?:-|\.\.\.?|…|to|bis)\s*)?"
    return re.compile(
        rf"{ranged}(?P<figure>{_FIGURE})\s*-?\s*(?P<unit>{unit_pattern()}){_UNIT_ENDS}",
        re.IGNORECASE,
    )


# What stands between a unit and a figure that follows it.
_BEHIND_UNIT = re.compile(r"[:=)\]]\s*\d")


@cache
def _unit_first() -> re.Pattern[str]:
    return re.compile(
        rf"(?<![^\W_])(?P<unit>{unit_pattern()})\s*[:=)\]]+\s*(?P<figure>{_FIGURE})(?P<from>)"
        r"(?!\s*[\w/\"'”.,-]*[\w/\"'”])",
        re.IGNORECASE,
    )


@lru_cache(maxsize=65536)
def found_in(text: str, *, in_pressure_context: bool) -> tuple[Found, ...]:
    """Return every pressure in `text`, dual labels as one, with its basis; sizes never count."""
    flat = plain(text)
    if not _beside_unit().search(flat):
        return ()
    hits = [_read(match) for match in _matches(flat) if _stands_free(flat, match)]
    hits = _settle_vague(flat, hits, in_pressure_context)
    return tuple(_quoted(text, each) for each in _with_bases(flat, _dual(flat, hits)))


@cache
def _beside_unit() -> re.Pattern[str]:
    # Most descriptions state no pressure at all: a digit beside a unit is cheaper to look for.
    return re.compile(rf"\d\s*-?\s*(?:{unit_pattern()}){_UNIT_ENDS}|[:=)\]]\s*\d", re.IGNORECASE)


def _quoted(text: str, hit: Found) -> Found:
    end = hit.end
    if "(" in text[hit.start : end] and text[end : end + 1] == ")":
        end += 1
    return replace(hit, text=text[hit.start : end], end=end)


def _matches(flat: str) -> Iterator[re.Match[str]]:
    if not _BEHIND_UNIT.search(flat):  # no figure can follow its unit
        yield from _statement().finditer(flat)
        return
    seen = 0
    for match in _statement().finditer(flat):
        yield from _unit_first().finditer(flat, seen, match.start())
        yield match
        seen = match.end()
    yield from _unit_first().finditer(flat, seen)


def _stands_free(flat: str, match: re.Match[str]) -> bool:
    """Say whether the figure is a figure of its own, not the tail of a size or a part number."""
    if match["unit"].lower() == "pa" and match["unit"] != "Pa":
        return False  # "6 PA" is polyamide
    if match.start("unit") < match.start("figure"):
        return True
    before = flat[: match.start()]
    if before.endswith(" "):
        return True
    word = re.search(r"[^\W\d_][\w.]*$", before)
    if word and word[0].endswith(".") and is_basis(word[0]):
        return True  # "max.250 bar"
    if _after_unit().search(before):
        return True  # "3300 psi/227 bar"
    if re.search(r"[\d/.,#+]$|(?:^|\s|[^\W\d_]|\d)-$", before):
        return False
    if word is None:
        return True
    return is_basis(word[0])


@cache
def _after_unit() -> re.Pattern[str]:
    return re.compile(rf"\d\s*(?:{unit_pattern()})\s*/$", re.IGNORECASE)


def _read(match: re.Match[str]) -> Found:
    found = _read_words(match["figure"], match["from"] or "", match["unit"], match[0])
    return replace(found, start=match.start(), end=match.end())


@lru_cache(maxsize=4096)
def _read_words(written: str, begins: str, spelled: str, whole: str) -> Found:
    """Return what a figure with its unit says, wherever it stands; lists repeat a few of them."""
    unit = unit_spelled(spelled)
    hit = Found(0, 0, "", None, None, unit.pascals, unit)
    try:
        figure = read_figure(written, unit)
        starts = read_figure(begins or "0", unit)
    except FigureUnclearError as unclear:
        return replace(hit, problem=str(unclear))
    if starts:
        # A scale from 0 ends at its figure; of any other range either end may be the rating.
        return replace(hit, problem=f"{whole!r} is a range: which end is meant is not said")
    pascals, notes = figure * unit.pascals, tuple[str, ...]()
    if unit.reference == "absolute":
        pascals, notes = pascals - ATMOSPHERE_PA, (WAS_ABSOLUTE,)
    step = last_place(written) * unit.pascals
    return replace(hit, low=pascals, high=pascals, step=step, notes=notes, is_range=bool(begins))


def _settle_vague(flat: str, hits: list[Found], in_context: bool) -> list[Found]:
    """Read "lbs", "#" and "kg" as pressures only beside a pressure; elsewhere they are weights."""
    plain_units = any(hit.unit.is_plain for hit in hits)
    kept = []
    for hit in hits:
        if hit.unit.is_plain:
            kept.append(hit)
            continue
        around = flat[max(0, hit.start - 24) : hit.start]
        beside = _touches_plain(flat, hit, hits) if plain_units else False
        if _WEIGHT_WORD.search(around):
            continue
        if (
            in_context
            or beside
            or _says_pressure(around)
            or _says_pressure(flat[hit.end : hit.end + 16])
        ):
            note = READ_AS_PSI if hit.unit.is_psi else READ_AS_KGF
            kept.append(replace(hit, notes=(*hit.notes, note)))
        # Common practice, no source: goods of the trade weigh less than 500 of anything.
        elif hit.low is None or hit.low >= 500 * hit.unit.pascals:
            asked = f"{flat[hit.start : hit.end]!r} may be a force, a mass or a pressure"
            kept.append(replace(hit, low=None, high=None, problem=asked))
    return kept


def _says_pressure(text: str) -> bool:
    return bool(_PRESSURE_WORD.search(text)) or bool(basis_of(text))


def _touches_plain(flat: str, hit: Found, hits: list[Found]) -> bool:
    return any(
        other.unit.is_plain
        and _is_joint(flat[min(hit.end, other.end) : max(hit.start, other.start)])
        for other in hits
    )


def _is_joint(gap: str) -> bool:
    return re.fullmatch(r"\s*[/(=,;|\[-]?\s*", gap) is not None


def _dual(flat: str, hits: list[Found]) -> list[Found]:
    """Join labels in two units: lower and higher of them, and whether they agree (handbook 1.2)."""
    joined: list[Found] = []
    for hit in hits:
        last = joined[-1] if joined else None
        if (
            last is None
            or last.unit.pascals == hit.unit.pascals
            or not _is_joint(flat[last.end : hit.start])
        ):
            joined.append(hit)
            continue
        joined[-1] = _one_label(last, hit)
    return joined


def _one_label(one: Found, two: Found) -> Found:
    if one.low is None or one.high is None or two.low is None or two.high is None:
        # One half can be read: the other, unreadable half makes the whole label a question.
        return replace(one, end=two.end, low=None, high=None, problem=one.problem or two.problem)
    low, high = min(one.low, two.low), max(one.high, two.high)
    agree = high - low < max(one.step, two.step) and DUAL_CONFLICT not in one.notes
    notes = [note for note in (*one.notes, *two.notes) if note not in (DUAL_AGREE, DUAL_CONFLICT)]
    unit = one.unit if one.low == low else two.unit
    return replace(one, end=two.end, low=low, high=high, unit=unit, step=max(one.step, two.step),
                   is_range=one.is_range or two.is_range,
                   notes=(*notes, DUAL_AGREE if agree else DUAL_CONFLICT))  # fmt: skip


def _with_bases(flat: str, hits: list[Found]) -> list[Found]:
    """Give each figure the words before or after it; in doubt the word that makes it weaker."""
    if not hits:
        return []
    before = [basis_before(flat[max(0, hits[0].start - 48) : hits[0].start])]
    after: list[str] = []
    for one, two in pairwise(hits):
        gap = flat[one.end : two.start]
        tail, head = _split_gap(gap)
        mine, yours = basis_of(tail), basis_before(head)
        if not mine and yours and not re.search(r"[,;/|)]", gap) and not before[-1]:
            mine, yours = _fairer(one, two, yours)
        after.append(mine)
        before.append(yours)
    after.append(basis_of(re.split(r"[;|]", flat[hits[-1].end : hits[-1].end + 32])[0]))
    bases = map(weaker, before, after)
    return [
        replace(hit, basis=basis) if basis else hit for hit, basis in zip(hits, bases, strict=True)
    ]


def _split_gap(gap: str) -> tuple[str, str]:
    cut = re.search(r"[,;/|)]|\band\b|\bund\b", gap)
    return (gap[: cut.start()], gap[cut.start() :]) if cut else ("", gap)


def _fairer(one: Found, two: Found, basis: str) -> tuple[str, str]:
    # "3300 psi burst 12000 psi": the word belongs to the figure that it can be true of.
    one_is_lower = (one.low or 0) <= (two.low or 0)
    return ("", basis) if (basis == "working") != one_is_lower else (basis, "")
