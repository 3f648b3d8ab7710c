"""What happens to part numbers and descriptions on their way into a supplier's list; seeded."""

from __future__ import annotations

import random
import re

_LOOKALIKE = {
    "O": "0",
    "0": "O",
    "I": "1",
    "1": "I",
    "S": "5",
    "5": "S",
    "B": "8",
    "8": "B",
    "Z": "2",
    "2": "Z",
}
_SHORT = {
    "ASSEMBLY": "ASSY", "VALVE": "VLV", "PRESSURE": "PRESS", "STAINLESS": "SS", "HIGH": "HI",
    "FITTING": "FTG", "FILTER": "FLTR", "REGULATOR": "REG", "VOLTAGE": "VOLT", "PACKAGE": "PKG",
    "CONTROLLER": "CTRL", "AMPLIFIER": "AMP", "CONVERTER": "CONV", "CONNECTOR": "CONN",
    "HOUSING": "HSG", "CYLINDER": "CYL", "OUTPUT": "OUT", "CHANNEL": "CH", "SUPPLY": "SUP",
    "PACKING": "PKNG", "TRANSISTOR": "TRANS", "TEMPERATURE": "TEMP", "LINEAR": "LIN",
}  # fmt: skip
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
PREFIXES = ("XQ-", "SLT-", "KW.")
SUFFIXES = ("-NF", "/XA")
NEAR = ("digit", "transposed", "inserted", "deleted", "revision letter")


def key(number: str) -> str:
    """Return the key as the handbook has it, written again here so as not to test it by itself."""
    return re.sub(r"[^A-Z0-9]", "", number.upper())


def damaged(number: str, kind: str, rng: random.Random) -> str | None:
    """Return the number damaged in one way, None where that cannot happen to it."""
    makers = {
        "exact": lambda: number,
        "case": lambda: number.lower() if number.lower() != number else number.upper(),
        "dash": lambda: _dashed(number, rng),
        "zero": lambda: number.lstrip("0") if number.isdigit() and number[0] == "0" else None,
        "look-alike": lambda: _lookalike(number, rng),
        "prefix": lambda: rng.choice(PREFIXES) + number,
        "suffix": lambda: number + rng.choice(SUFFIXES),
        "transposition": lambda: near_miss(number, "transposed", rng),
        "spreadsheet": lambda: _in_a_cell(number),
        "cut": lambda: number[:-2] if len(key(number)) >= 8 else None,
        "missing": lambda: "",
    }
    return makers[kind]()


def near_miss(number: str, family: str, rng: random.Random) -> str | None:
    """Return a number one edit away, None where there is none of that family."""
    at = [i for i, sign in enumerate(number) if sign.isalnum()]
    digits = [i for i in at if number[i].isdigit()]
    if family == "digit" and digits:
        i = rng.choice(digits)
        return (
            number[:i] + rng.choice([d for d in "0123456789" if d != number[i]]) + number[i + 1 :]
        )
    if family == "transposed":
        pairs = [i for i in at if i + 1 in at and number[i].upper() != number[i + 1].upper()]
        if not pairs:
            return None
        i = rng.choice(pairs)
        return number[:i] + number[i + 1] + number[i] + number[i + 2 :]
    if family == "inserted":
        i = rng.randrange(len(number) + 1)
        return number[:i] + rng.choice("0123456789") + number[i:]
    if family == "deleted" and len(at) > 4:
        i = rng.choice(at)
        return number[:i] + number[i + 1 :]
    if family == "revision letter":
        return number + rng.choice("ABCDEFGHJKLMR")
    return None


def _dashed(number: str, rng: random.Random) -> str | None:
    plain = re.sub(r"[-./ ]", "", number)
    if rng.random() < 0.5 and len(plain) > 4:
        i = rng.randrange(2, len(plain) - 1)
        plain = plain[:i] + rng.choice("- ./") + plain[i:]
    return plain if plain != number else None


def _lookalike(number: str, rng: random.Random) -> str | None:
    at = [i for i, sign in enumerate(number.upper()) if sign in _LOOKALIKE]
    if not at:
        return None
    i = rng.choice(at)
    return number[:i] + _LOOKALIKE[number[i].upper()] + number[i + 1 :]


def _in_a_cell(number: str) -> str | None:
    """Return what a cell shows of a number that it takes for a date or a value."""
    if match := re.fullmatch(r"(\d{1,2})[-/](\d{1,2})", number):
        one, two = int(match[1]), int(match[2])
        day, month = (two, one) if one <= 12 else (one, two)
        return (
            f"{day:02d}-{_MONTHS[month - 1]}" if month <= 12 and 1 <= day <= 31 and month else None
        )
    if match := re.fullmatch(r"(\d{1,4})[Ee](\d{1,2})", number):
        return f"{float(number):.2E}" if float(number) else None
    if re.fullmatch(r"[1-9]\d{11,14}", number):
        return f"{float(number):.5E}"
    if re.fullmatch(r"[1-9]\d{3,5}", number):
        return f"{int(number):,}"
    return number.lstrip("0") if re.fullmatch(r"0\d+", number) else None


def worn(description: str, rng: random.Random, *, cut: bool = False) -> str:
    """Return a description as a supplier's clerk shortens it; `cut` after thirty characters."""
    text = description.upper()
    if rng.random() < 0.6:
        words = re.split(r"(\W+)", text)
        text = "".join(_SHORT[w] if w in _SHORT and rng.random() < 0.7 else w for w in words)
    words = text.split(" ")
    if len(words) > 3 and rng.random() < 0.35:
        words.pop(rng.randrange(1, len(words)))
    text = " ".join(words)
    if len(text) > 6 and rng.random() < 0.2:
        i = rng.randrange(1, len(text) - 1)
        text = text[:i] + text[i + 1 :]
    return text[:30] if cut else text
