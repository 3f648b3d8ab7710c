"""What one word of a description states: a measure with its kind, a unit, a material, a side.

A word is read once, however many lines hold it. Measures of one kind are compared by value, so
that "3/8" and "3/8 IN" agree and "250 BAR" contradicts "3000 PSI"; letters before or after a
figure make a kind of their own ("AP450", "60MESH").
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from partsdb.matching.engine.hashing import text_hash
from partsdb.rules.pressure_units import units_by_spelling

PRESSURE, LENGTH, VOLTAGE, THREAD, MATERIAL, SIDE, DECIMAL, INTEGER = range(1, 9)
# Kinds made of letters beside a figure lie above these numbers.
FIRST_OF_LETTERS = 16

KIND_NAMES = {
    PRESSURE: "pressure",
    LENGTH: "size",
    VOLTAGE: "voltage",
    THREAD: "thread",
    MATERIAL: "material",
    SIDE: "side",
    DECIMAL: "decimal figure",
    INTEGER: "figure",
    15: "figure with its letters",
}

_LENGTHS = {"MM": 1.0, "CM": 10.0, "M": 1000.0, "IN": 25.4, "INCH": 25.4, "INCHES": 25.4,
            "ZOLL": 25.4, '"': 25.4, "FT": 304.8, "FOOT": 304.8, "FEET": 304.8}  # fmt: skip
_VOLTS = {"V": 1.0, "VAC": 1.0, "VDC": 1.0, "VOLT": 1.0, "VOLTS": 1.0, "KV": 1000.0, "MV": 0.001}
# A figure beside one of these counts pieces; it says nothing about the piece itself.
_COUNTS = frozenset(
    ("PC", "PCS", "PCE", "PK", "PKT", "PACK", "PAIR", "EA", "SET", "STK", "STCK", "QTY", "X", "OFF")
)
# Common practice, no source: words that name one of several opposite things.
_THREADS = {"NPT": 1, "NPTF": 1, "NPSM": 2, "BSPP": 3, "BSPT": 4, "JIC": 5, "UNF": 6, "UNC": 7}
_MATERIALS = {
    word: code
    for code, words in enumerate(
        ("BRASS MESSING", "STAINLESS INOX EDELSTAHL SS VA", "ALUMINIUM ALUMINUM ALU",
         "PTFE", "FKM FPM", "NBR NITRILE", "EPDM", "LEATHER LEDER",
         "UHMW UHMWPE", "CERAMIC KERAMIK", "CARBIDE HARTMETALL CARB", "CHROME CHROMED"), start=1
    )
    for word in words.split()
}  # fmt: skip
_SIDES = {
    word: code
    for code, words in enumerate(
        ("UPPER OBEN OBERE", "LOWER UNTEN UNTERE", "INLET EINLASS", "OUTLET AUSLASS", "LEFT LINKS",
         "RIGHT RECHTS", "MALE AG", "FEMALE IG", "FRONT", "REAR"), start=1
    )
    for word in words.split()
}  # fmt: skip
_WORD_KINDS = ((_THREADS, THREAD), (_MATERIALS, MATERIAL), (_SIDES, SIDE))

_FIGURE = r"-?\d+(?:\.\d+)*(?:/\d+)?"
_PLAIN = re.compile(_FIGURE)
_BEFORE = re.compile(rf"({_FIGURE})([A-Z\"]+)")
_AFTER = re.compile(r"([A-Z]{1,6})(\d{1,9}(?:\.\d+)?)(?:X\d.*|/\d.*)?")


@dataclass(frozen=True, slots=True)
class WordSense:
    """What a word states: `kind` and `value` its own, `unit` and `scale` for a figure before it."""

    kind: int = 0
    value: float = 0.0
    unit: int = 0
    scale: float = 1.0


_NOTHING = WordSense()
# A unit that takes the figure before it out of every comparison.
COUNTED = -1


@lru_cache(maxsize=65536)
def word_sense(word: str) -> WordSense:
    """Return what one word of a description, as `texts.text_words` cuts it, states."""
    if word.isalpha() or not any(sign.isdigit() for sign in word):
        return _letters_sense(word)
    if _PLAIN.fullmatch(word):
        return _figure_sense(word)
    if match := _BEFORE.fullmatch(word):
        unit = _letters_sense(match[2])
        if unit.unit == COUNTED:
            return _NOTHING
        if unit.unit:
            return WordSense(unit.unit, _value(match[1]) * unit.scale)
        return WordSense(_letters_kind(match[2], "after"), _value(match[1]))
    if match := _AFTER.fullmatch(word):
        return WordSense(_letters_kind(match[1], "before"), float(match[2]))
    return _NOTHING


def _figure_sense(word: str) -> WordSense:
    if "/" in word:
        return WordSense(LENGTH, _value(word) * 25.4)
    return WordSense(DECIMAL if "." in word else INTEGER, _value(word))


@cache
def _units() -> dict[str, WordSense]:
    """Return the words that are units, with their kind and scale."""
    found = {word: WordSense(unit=LENGTH, scale=scale) for word, scale in _LENGTHS.items()}
    found |= {word: WordSense(unit=VOLTAGE, scale=scale) for word, scale in _VOLTS.items()}
    found |= {word: WordSense(unit=COUNTED) for word in _COUNTS}
    for spelling, unit in units_by_spelling().items():
        if unit.is_plain and spelling.isalpha() and spelling not in ("Pa", "atm"):
            scale = float(unit.pascals) / 100_000
            found[spelling.upper()] = WordSense(unit=PRESSURE, scale=scale)
    return found


def _letters_sense(word: str) -> WordSense:
    for table, kind in _WORD_KINDS:
        if word in table:
            return WordSense(kind, float(table[word]))
    return _units().get(word, _NOTHING)


def _letters_kind(letters: str, side: str) -> int:
    """Return the number of the kind that letters beside a figure make."""
    return FIRST_OF_LETTERS + text_hash(f"{side} {letters}") % (1 << 30)


def _value(figure: str) -> float:
    """Return the value of a figure; 1.2.3 counts as its first two runs."""
    whole, _, under = figure.partition("/")
    parts = whole.split(".")
    number = float(".".join(parts[:2]))
    return number / float(under) if under and float(under) else number
