"""What a heading means: the table of header words, and the unit that a heading names."""

from __future__ import annotations

import csv
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

_UNITS = (
    # (pattern in the casefolded heading, unit)
    (r"\bbar\b", "bar"),
    (r"\bpsi\b|\blbs?\b(?!\.? ?ft)|\bpounds?\b|#$", "psi"),
    (r"\bmpa\b", "MPa"),
    (r"\beuros?\b|\beur\b|€", "EUR"),
    (r"\bgbp\b|£", "GBP"),
    (r"\busd\b|us\$|\$", "USD"),
    (r"\bchf\b|\bsfr\b", "CHF"),
    (r"\bburst\b|\bberst\w*|\bbp\b", "burst"),
    (r"\bproof\b|\btest pressure\b|\bprüfdruck\b", "proof"),
    (r"\bkg\b", "kg"),
    (r"\bg\b|\bgramm?\b", "g"),
)
CURRENCIES = ("EUR", "GBP", "USD", "CHF")
PRESSURE_UNITS = ("bar", "psi", "MPa")
_PER = re.compile(
    r"(?:\bper\b|\bje\b|\bpro\b|/|\bp\.?/?|\bfor\b)\s?(10000?|1000|100|10)\b"
    r"|\b(hundred|hundert|thousand|tausend)\b|(%|‰)"
)
_PER_WORDS = {"hundred": "100", "hundert": "100", "thousand": "1000", "tausend": "1000"}
_FROM = re.compile(
    r"(?:\bab\b|\bfrom\b|≥|>=?)\s?([0-9]{1,6})\b|\b([0-9]{1,6})\s?\+|\b([0-9]{1,6})\s?-\s?[0-9]+\b"
)
_NOISE = re.compile(r"[^\w%#€$£+/]+")
_MAX_HEADING = 60


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading says: its meaning, its unit words, and how sure (2 exact, 1 contained)."""

    meaning: str
    unit: str
    strength: int


@lru_cache(maxsize=1)
def header_words() -> dict[str, tuple[str, str]]:
    """Return the normalised header words with (meaning, unit), read from header_words.csv."""
    text = resources.files("importers").joinpath("header_words.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {_plain(row["words"]): (row["meaning"], row["unit"]) for row in rows}


def sample_words(meaning: str) -> list[str]:
    """Return six words that are looked for, as printed in lists: three German, three English."""
    text = resources.files("importers").joinpath("header_words.csv").read_text(encoding="utf-8")
    rows = [row for row in csv.DictReader(text.splitlines()) if row["meaning"] == meaning]
    return [
        word
        for language in ("de", "en")
        for word in [row["words"] for row in rows if row["language"] == language][:3]
    ]


def _plain(text: str) -> str:
    """Return a heading in lower case with single blanks for everything that is no letter."""
    folded = unicodedata.normalize("NFKC", text).casefold().replace("­", "")
    return _NOISE.sub(" ", folded).strip()


@lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading | None:
    """Return what a heading means, or None when no header word is in it."""
    if not text or len(text) > _MAX_HEADING:
        return None
    plain = _plain(text)
    if not plain or plain[0].isdecimal():
        return None
    found = header_words().get(plain)
    if found:
        return Heading(found[0], _joined(found[1], plain), 2)
    words = _without_units(plain).split()
    found = header_words().get(" ".join(words))
    if found:
        return Heading(found[0], _joined(found[1], plain), 2)
    return _contained(words, plain) if len(words) <= 6 else None


def _contained(words: list[str], plain: str) -> Heading | None:
    """Find the longest run of words that is a header word; the earlier of two equals wins."""
    for length in range(min(len(words), 4), 0, -1):
        for start in range(len(words) - length + 1):
            found = header_words().get(" ".join(words[start : start + length]))
            if found and found[0] != "other":
                return Heading(found[0], _joined(found[1], plain), 1)
    return None


def _without_units(plain: str) -> str:
    rest = _PER.sub(" ", _FROM.sub(" ", plain))
    for pattern, _ in _UNITS[:7]:
        rest = re.sub(pattern, " ", rest)
    return re.sub(r"[%#€$£+/]", " ", rest)


def _joined(first: str, plain: str) -> str:
    """Return the unit words of a heading in a fixed order, blank-separated."""
    units = [unit for pattern, unit in _UNITS if re.search(pattern, plain)]
    if first and first not in units:
        units.append(first)
    if per := price_basis(plain):
        units.append(f"per {per}")
    if least := break_quantity(plain):
        units.append(f"from {least}")
    return " ".join(units)


def units_of(text: str) -> str:
    """Return the unit words that a heading, or a part of it, names; "" for none."""
    return _joined("", _plain(text))


def is_only_units(text: str) -> bool:
    """Say whether a cell holds unit words and nothing else: "bar", "(EUR)", "per 100"."""
    plain = _plain(text)
    return bool(_joined("", plain)) and not _without_units(plain).strip()


def price_basis(plain: str) -> str:
    """Return "100" for "per 100", "je 100", "/100", "%", "" where no basis is named."""
    found = _PER.search(plain)
    if not found:
        return ""
    number, word, sign = found.groups()
    if sign:
        return ""  # a percentage in a heading is a discount far more often than a basis
    return number or _PER_WORDS[word]


def break_quantity(plain: str) -> str:
    """Return "10" for "ab 10", "from 10", "10+", "10-49"; "" where no quantity is named."""
    found = _FROM.search(plain)
    return next((group for group in found.groups() if group), "") if found else ""
