"""Sizes and threads as a description writes them: exact fractions, inch kept apart from metric."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from partsdb.rules.words import matched_lower

INCH_MM = Fraction(254, 10)

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
           "⅓": "1/3", "⅔": "2/3"}  # fmt: skip
_SIGNS = str.maketrans("×″”“„′’‘⁄\xa0–−øØ", 'x""""\'\'\'/ --  ') | {
    ord(sign): f" {fraction}" for sign, fraction in _VULGAR.items()
}
_COMMA = re.compile(r"(?<=\d),(?=\d)")
# A mixed number ("1-1/4", "1 1/4"), a fraction, or a decimal; never the tail of a longer number.
_START = r"(?<![\d./A-WYZa-wyz_#-])"
_FIGURE = r"(?:\d{1,2}[- ]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d+(?:\.\d+)?)(?!\d|/\d)"
_FRACTION = r"(?:\d{1,2}[- ]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|[1-4](?![\d./]))"
_PIPE = r"NPTF|NPT|NPSM|BSPP|BSPT|BSP"
_FAMILIES = {"BSPP": "G", "BSPT": "R", "RC": "R", "RP": "R"}
_NAMED_AFTER = re.compile(
    rf'(?<![\d./A-WYZa-wyz_])({_FRACTION})\s*(?:"|in\b|inch\b|zoll\b)?\s*-?\s*(?:(\d\d(?:\.5)?)\s*-?)?\s*'
    rf"({_PIPE})(?![A-EG-LN-Z])[MF]?",
    re.IGNORECASE,
)
_NAMED_BEFORE = re.compile(
    rf"(?<![A-Z0-9])({_PIPE}|Rc|Rp|G|R)\s*-?\s*({_FRACTION})(?![\d/])(?:\s*\"|\s*zoll\b|\s*in\b)?",
    re.IGNORECASE,
)
_METRIC = re.compile(
    r"(?<![A-Z0-9])M\s?(\d{1,2}(?:\.\d)?)(?:\s*x\s*(\d+(?:\.\d+)?))?(?:\s*x\s*(\d+(?:\.\d+)?))?"
    r"(?:\s*mm\b)?(?![\w/])",
    re.IGNORECASE,
)
_UNIFIED = re.compile(
    r'(?<![\d./A-WYZa-wyz_-])(#\d{1,2}|\d{1,2}[- ]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d)\s*(")?\s*-\s*'
    r"(\d{1,2}(?:\.5)?)(?![\d/.])\s*(UNJF|UNF|UNC|UNEF|UNS|UN|JIC|ORB|SAE)?(?![A-Z])",
    re.IGNORECASE,
)
_FLARE = re.compile(rf"(?<![\d./A-WYZa-wyz_])({_FRACTION})\s*\"?\s*(JIC|ORB|SAE)\b", re.IGNORECASE)
_UNITS = {
    "mm": ("mm", Fraction(1)), "cm": ("mm", Fraction(10)), "m": ("m", Fraction(1000)),
    "mtr": ("m", Fraction(1000)), "meter": ("m", Fraction(1000)), "metre": ("m", Fraction(1000)),
    "metres": ("m", Fraction(1000)), '"': ("in", INCH_MM), "in": ("in", INCH_MM),
    "inch": ("in", INCH_MM), "inches": ("in", INCH_MM), "zoll": ("in", INCH_MM),
    "''": ("in", INCH_MM), "ft": ("ft", INCH_MM * 12), "feet": ("ft", INCH_MM * 12),
    "foot": ("ft", INCH_MM * 12), "'": ("ft", INCH_MM * 12),
}  # fmt: skip
_UNIT = r"(?:mm|cm|mtr|meter|metres|metre|m|inches|inch|in|zoll|feet|foot|ft)\b(?!/)|\"|''|'"
_LINKED = rf"#?{_FIGURE}\s*(?:{_UNIT})?"
_CHAIN = re.compile(rf"{_START}{_LINKED}(?:\s*x\s*{_LINKED})*(?![\w/])", re.IGNORECASE)
_LINK = re.compile(rf"(#?)({_FIGURE})\s*({_UNIT})?", re.IGNORECASE)
_INCH_PARTS = (2, 4, 8, 16, 32, 64)


@dataclass(frozen=True, slots=True, order=True)
class Size:
    """One length: exact millimetres, and the unit it was written in (mm, m, in or ft)."""

    unit: str
    mm: Fraction
    text: str = field(compare=False)


@dataclass(frozen=True, slots=True, order=True)
class Thread:
    """One thread: family (NPT, NPTF, NPSM, G, R, BSP, M, UN), diameter name in mm, pitch in mm.

    For pipe threads `size_mm` is the nominal inch size, not a diameter. `pitch_mm` is 0 when the
    text does not give it. `use` is JIC, ORB or SAE where the text says which joint is meant.
    """

    family: str
    size_mm: Fraction
    pitch_mm: Fraction = Fraction(0)
    use: str = ""
    text: str = field(default="", compare=False)


_Reader = Callable[[re.Match[str]], tuple[Thread, Size | None] | None]


@dataclass(frozen=True, slots=True)
class Measures:
    """What a text says in sizes; `rest` is the text with them blanked out."""

    threads: tuple[Thread, ...]
    sizes: tuple[Size, ...]
    chains: tuple[tuple[Size, ...], ...]
    rest: str


def plain_measures(text: str) -> str:
    """Return `text` with fractions, inch marks and decimal commas in one plain spelling."""
    plain = text if text.isascii() else text.translate(_SIGNS)
    return _COMMA.sub(".", plain)


@lru_cache(maxsize=4096)
def fraction_of(text: str) -> Fraction:
    """Return the exact value of "1-1/4", "1 1/4", "3/8" or "12.5"; 0 for a part of nothing."""
    whole, _, part = text.strip().replace("-", " ").rpartition(" ")
    top, _, bottom = part.partition("/")
    if bottom and int(bottom) == 0:
        return Fraction(0)
    value = Fraction(top) / Fraction(bottom) if bottom else Fraction(top)
    return value + Fraction(whole or 0)


def screw_gauge_mm(gauge: int) -> Fraction:
    """Return the diameter of a numbered screw: 0.060 in + 0.013 in a number (ASME B18.6.1)."""
    return (Fraction(60, 1000) + gauge * Fraction(13, 1000)) * INCH_MM


def measures_in(plain: str) -> Measures:
    """Return the threads and sizes in `plain` (as `plain_measures` gives it), in order of place."""
    found: list[tuple[int, Thread]] = []
    lengths: list[Size] = []
    upper = plain.upper()
    for needs, pattern, make in _THREAD_READERS:
        if any(need in upper for need in needs):
            plain = _taken(plain, pattern, make, found, lengths)
    chains = []
    rest = plain
    for match in _CHAIN.finditer(plain):
        if chain := _chain_of(match[0]):
            chains.append(chain)
            rest = rest[: match.start()] + " " * len(match[0]) + rest[match.end() :]
    sizes = (*lengths, *(size for chain in chains for size in chain))
    threads = tuple(thread for _, thread in sorted(found, key=lambda each: each[0]))
    return Measures(threads, sizes, tuple(chains), rest)


def _taken(
    plain: str,
    pattern: re.Pattern[str],
    make: _Reader,
    found: list[tuple[int, Thread]],
    lengths: list[Size],
) -> str:
    """Take every thread of one pattern out of the text; what is no thread stays where it is."""
    for match in pattern.finditer(plain):
        made = make(match)
        if made is None:
            continue
        thread, length = made
        found.append((match.start(), thread))
        if length:
            lengths.append(length)
        plain = plain[: match.start()] + " " * len(match[0]) + plain[match.end() :]
    return plain


def _named_after(match: re.Match[str]) -> tuple[Thread, Size | None]:
    return _pipe(match[3], match[1], match[0]), None


def _named_before(match: re.Match[str]) -> tuple[Thread, Size | None] | None:
    # "R 2" and "G 3" alone are more often a revision or a grade than a pipe size.
    if len(match[1]) == 1 and "/" not in match[2] and not match[0].rstrip().endswith('"'):
        return None
    return _pipe(match[1], match[2], match[0]), None


@lru_cache(maxsize=4096)
def _pipe(family: str, size: str, text: str) -> Thread:
    family = family.upper()
    size_mm = fraction_of(size) * INCH_MM
    return Thread(_FAMILIES.get(family, family), size_mm, text=text.strip())


def _metric(match: re.Match[str]) -> tuple[Thread, Size | None] | None:
    size, second, third = match[1], match[2], match[3]
    # ISO 261 has no pitch above 6 mm: a larger second figure is the length.
    pitch = Fraction(second) if second and Fraction(second) <= 6 else Fraction(0)
    length = third or (second if second and not pitch else None)
    thread = Thread("M", Fraction(size), pitch, text=match[0].strip())
    return thread, Size("mm", Fraction(length), f"{length} mm") if length else None


def _unified(match: re.Match[str]) -> tuple[Thread, Size | None] | None:
    size, mark, tpi, use = match[1], match[2], match[3], (match[4] or "").upper()
    if "/" not in size and not size.startswith("#") and not mark and not use:
        return None
    if not 4 <= Fraction(tpi) <= 80:
        return None
    size_mm = screw_gauge_mm(int(size[1:])) if size[0] == "#" else fraction_of(size) * INCH_MM
    joint = use if use in ("JIC", "ORB", "SAE") else ""
    return Thread("UN", size_mm, INCH_MM / Fraction(tpi), joint, match[0].strip()), None


def _flare(match: re.Match[str]) -> tuple[Thread, Size | None]:
    use = match[2].upper()
    return Thread(use, fraction_of(match[1]) * INCH_MM, use=use, text=match[0].strip()), None


# In order; the pattern is tried where one of the first texts stands in capitals.
_THREAD_READERS: tuple[tuple[tuple[str, ...], re.Pattern[str], _Reader], ...] = (
    (("NP", "BSP"), _NAMED_AFTER, _named_after),
    (("NP", "BSP", "R", "G"), _NAMED_BEFORE, _named_before),
    (("M",), _METRIC, _metric),
    (("-",), _UNIFIED, _unified),
    (("JIC", "ORB", "SAE"), _FLARE, _flare),
)


@lru_cache(maxsize=16384)
def _chain_of(text: str) -> tuple[Size, ...]:
    """Return the sizes of "16 x 2.5 mm"; empty when nothing says that the figures are sizes."""
    links = [(m[1], m[2], matched_lower(m[3] or "")) for m in _LINK.finditer(text)]
    units = [unit for _, _, unit in links]
    has_fraction = any("/" in number for _, number, _ in links)
    if not any(units) and not has_fraction and not any(mark for mark, _, _ in links):
        return ()
    if not any(units) and not all(_is_inch_fraction(number) for _, number, _ in links):
        return ()
    return tuple(_linked(links, units))


def _is_inch_fraction(number: str) -> bool:
    return "/" not in number or int(number.rpartition("/")[2]) in _INCH_PARTS


def _linked(links: list[tuple[str, str, str]], units: list[str]) -> Iterator[Size]:
    """Yield the sizes of a chain; a figure without a unit takes the next one's, or the last's."""
    last = next((unit for unit in reversed(units) if unit), '"')
    for at, (mark, number, unit) in enumerate(links):
        if mark:
            yield Size("in", screw_gauge_mm(int(fraction_of(number))), f"#{number}")
            continue
        own = unit or next((u for u in units[at:] if u), last)
        name, factor = _UNITS[own] if "/" not in number or unit else ("in", INCH_MM)
        yield Size(name, fraction_of(number) * factor, f"{number} {own}")
