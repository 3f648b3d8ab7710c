"""Part numbers: the key under which a printed number is found, how it breaks, how two differ.

A key match is evidence, never proof: dropping the punctuation merges numbers that are different
parts (1.2-2.0 and 12-2.0), so a part is always a maker and its number as printed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from partsdb.rules.spreadsheet import damages as damages
from partsdb.rules.spreadsheet import plain_cell
from partsdb.rules.spreadsheet import spreadsheet_forms as spreadsheet_forms

_NOT_KEY = re.compile(r"[^A-Z0-9]+")

# Cyrillic and Greek capitals that print like Latin ones: a price list typed on another keyboard.
_LOOKALIKE_SCRIPT = str.maketrans(
    "АВЕКМНОРСТУХІЈЅΑΒΕΖΗΙΚΜΝΟΡΤΥΧ",
    "ABEKMHOPCTYXIJSABEZHIKMNOPTYX",
)
# Characters that a reader or a scanner takes for each other.
_FOLD = str.maketrans("OISBZ", "01582")

LOOKALIKES = "look-alike characters"
OTHER_SCRIPT = "letters of another script"
CUT = "digits cut off"

_RUN = re.compile(r"[A-Z]+|[0-9]+")


@dataclass(frozen=True, slots=True)
class NumberDifference:
    """How number `a` differs from `b`: a kind, and the differing runs in words.

    `kind` is "same", "punctuation", "look-alike", "substituted digit", "substituted letter",
    "transposed", "inserted", "deleted", "revision letter", "prefix", "suffix" or "several".
    """

    kind: str
    text: str


def number_key(number: str) -> str:
    """Return `number` in upper case with nothing but A-Z and 0-9 (full-width forms included)."""
    if number.isascii():
        plain = number.upper()
        return plain if plain.isalnum() else _NOT_KEY.sub("", plain)
    return _NOT_KEY.sub("", _in_latin(number))


def number_identity(number: str) -> str:
    """Return the key with the letters and figures that it drops, of whatever script, left in.

    A key that lost a letter is no evidence of the number: "Ü24-1369" is not 24-1369.
    """
    if number.isascii():
        return number_key(number)
    return "".join(filter(str.isalnum, _in_latin(number)))


def _in_latin(text: str) -> str:
    """Return a text in capitals, letters of another script that print like Latin ones as these."""
    return unicodedata.normalize("NFKC", text).upper().translate(_LOOKALIKE_SCRIPT)


def stands_in(number: str, text: str) -> bool:
    """Say whether a text names this very number, whole: "24-1180" stands in no "24-11805".

    Points, strokes and blanks within it count for nothing; a hyphen binds what follows, for
    "24-1180-A" may be another part.
    """
    signs = number_identity(number)
    if not signs:
        return False
    spelt = r"[ ./_-]{0,3}".join(map(re.escape, signs))
    whole = rf"(?<![^\W_])(?<![^\W_]-){spelt}(?!-?[^\W_])"
    return re.search(whole, _in_latin(text)) is not None


def letters_beyond(number: str) -> str:
    """Return the letters and figures of a number that no key holds, mostly none."""
    if number.isascii():
        return ""
    return "".join(sign for sign in number_identity(number) if not sign.isascii())


def number_fold(number: str) -> str:
    """Return the key with look-alikes folded (O0 I1 S5 B8 Z2) and leading zeros gone."""
    return number_key(number).translate(_FOLD).lstrip("0")


def number_runs(number: str) -> tuple[str, ...]:
    """Return the alphabetic and numeric runs as printed: "R-78B1.2" gives R, 78, B, 1, 2."""
    return tuple(_RUN.findall(plain_cell(number).translate(_LOOKALIKE_SCRIPT)))


def has_other_script(code: str) -> bool:
    """Say whether `code` holds Cyrillic or Greek letters that print like Latin ones."""
    plain = plain_cell(code)
    return not plain.isascii() and plain != plain.translate(_LOOKALIKE_SCRIPT)


def difference(a: str, b: str) -> NumberDifference:
    """Return how `a` differs from `b`, run by run: "…-258 against …-259", with its kind."""
    kind = _difference_kind(number_identity(a), number_identity(b), a == b)
    return NumberDifference(kind, _runs_text(a, b))


def one_edit_keys(key: str) -> Iterator[str]:
    """Yield each key that one substitution, transposition, insertion or deletion makes of `key`."""
    for at in range(len(key)):
        head, tail = key[:at], key[at + 1 :]
        yield head + tail
        for sign in _SIGNS:
            yield head + sign + tail
            yield head + sign + key[at:]
        if tail and tail[0] != key[at]:
            yield head + tail[0] + key[at] + tail[1:]
    for sign in _SIGNS:
        yield key + sign


_SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def _difference_kind(a: str, b: str, same_text: bool) -> str:
    """Return the kind of difference between two keys, the first that explains it."""
    if a == b:
        return "same" if same_text else "punctuation"
    if a.translate(_FOLD) == b.translate(_FOLD):
        return "look-alike"
    if len(a) == len(b):
        return _equal_length_kind(a, b)
    shorter, longer = sorted((a, b), key=len)
    added = longer[len(shorter) :]
    if longer.startswith(shorter) and added.isalpha() and len(added) < 3:
        return "revision letter"
    if len(longer) - len(shorter) == 1 and any(
        longer[:at] + longer[at + 1 :] == shorter for at in range(len(longer))
    ):
        return "inserted" if longer == a else "deleted"
    if longer.startswith(shorter):
        return "suffix"
    return "prefix" if longer.endswith(shorter) else "several"


def _equal_length_kind(a: str, b: str) -> str:
    """Return the kind of difference between two keys of one length."""
    at = [i for i, (x, y) in enumerate(zip(a, b, strict=True)) if x != y]
    if len(at) == 1:
        x, y = a[at[0]], b[at[0]]
        if x.isdecimal() and y.isdecimal():
            return "substituted digit"
        return "revision letter" if at[0] == len(a) - 1 else "substituted letter"
    swapped = len(at) == 2 and at[1] == at[0] + 1
    return "transposed" if swapped and a[at[0]] == b[at[1]] and a[at[1]] == b[at[0]] else "several"


def _runs_text(a: str, b: str) -> str:
    """Return the part of both numbers where they differ, widened to whole runs."""
    a, b = plain_cell(a), plain_cell(b)
    start = 0
    while start < min(len(a), len(b)) and a[start] == b[start]:
        start += 1
    while start and a[start - 1].isalnum():
        start -= 1
    start = max(0, start - 1)
    mark = "…" if start else ""
    return f"{mark}{a[start:]} against {mark}{b[start:]}"
