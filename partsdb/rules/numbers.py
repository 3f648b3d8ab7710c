"""Part numbers: the key under which a printed number is found, and its look-alike fold.

A key match is evidence, never proof: dropping the punctuation merges numbers that are different
parts (1.2-2.0 and 12-2.0), so a part is always a maker and its number as printed.
"""

from __future__ import annotations

import re
import unicodedata

_NOT_KEY = re.compile(r"[^A-Z0-9]+")

# Cyrillic and Greek capitals that print like Latin ones: a price list typed on another keyboard.
_LOOKALIKE_SCRIPT = str.maketrans(
    "АВЕКМНОРСТУХІЈЅΑΒΕΖΗΙΚΜΝΟΡΤΥΧ",
    "ABEKMHOPCTYXIJSABEZHIKMNOPTYX",
)
# Characters that a reader or a scanner takes for each other.
_FOLD = str.maketrans("OISBZ", "01582")


def number_key(number: str) -> str:
    """Return `number` in upper case with nothing but A-Z and 0-9 (full-width forms included)."""
    plain = unicodedata.normalize("NFKC", number).upper().translate(_LOOKALIKE_SCRIPT)
    return _NOT_KEY.sub("", plain)


def number_fold(number: str) -> str:
    """Return the key with look-alikes folded (O0 I1 S5 B8 Z2) and leading zeros gone."""
    return number_key(number).translate(_FOLD).lstrip("0")
