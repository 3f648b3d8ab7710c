"""Which kind of pressure the words beside a figure say it is: burst, proof or working."""

from __future__ import annotations

import re
from functools import lru_cache

_BASES = {
    "burst": r"burst(?:ing|s|ed)?|b\.?p\.?|berst\w*|platz\w*|spreng\w*|bruch\w*|zerstör\w*"
    r"|destruction|rupture|rotura|scoppio|éclatement",
    "proof": r"(?<!explosion )(?<!explosion-)proof|test(?:ed)?|prüf\w*|pruef\w*|geprüft|t\.?p\.?",
    "working": r"work(?:ing)?|w\.?p\.?|m\.?w\.?p\.?|m\.?a\.?w\.?p\.?|max(?:imum|imal)?|rated"
    r"|operating|service|\w*betriebsdruck|arbeitsdruck|nenndruck|zul(?:ässiger|aessiger)?|(?-i:PS)|(?-i:PN)",
}
_BASIS = {
    basis: re.compile(rf"(?<![^\W\d_])(?:{words})(?![^\W_])", re.IGNORECASE)
    for basis, words in _BASES.items()
}
_DIGIT = re.compile(r"[1-9]")


def is_basis(word: str) -> bool:
    """Say whether a word alone names a basis: "max.", "WP"."""
    return any(pattern.fullmatch(word.rstrip(".")) for pattern in _BASIS.values())


def basis_of(text: str) -> str:
    """Return the weakest basis that a text names, "" for none: burst, then proof, then working."""
    return _basis_in(_DIGIT.sub("0", text))


@lru_cache(maxsize=65536)
def _basis_in(text: str) -> str:
    """Return the basis named in a text whose figures are all noughts: many texts share it."""
    return next((basis for basis, words in _BASIS.items() if words.search(text)), "")


def basis_before(text: str) -> str:
    """Return the basis that the text in front of a figure gives it."""
    basis = basis_of(text.rsplit(";", 1)[-1])
    if basis != "working":
        return basis
    # "max temp 80 °C, 250 bar": a word that would strengthen the figure must stand right by it.
    return basis_of(re.split(r"[,;|]", text)[-1])


def weaker(first: str, last: str) -> str:
    """Return the one of two bases that makes a figure weaker."""
    return next((basis for basis in _BASIS if basis in (first, last)), "")
