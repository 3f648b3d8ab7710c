"""Letters of a text whose encoding nobody knows: words that no language writes so are asked about.

Bytes that are no UTF-8 are read as cp1252, which reads almost any; what it makes of another
encoding shows in the words ("fŸr" for "für"). Which words look so is common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from itertools import islice

from importers.raw import RawFile
from importers.rows import Alarm, Profile, place_of

LETTERS = "letters"
GUESSED = "cp1252"
_WORD = re.compile(r"[^\s;,|()\"]*[^\x00-\x7f][^\s;,|()\"]*")
# Signs that do stand between letters: apostrophes, dashes, marks of trade, times.
_BETWEEN = frozenset("’‘´–—·°®©™×÷•…\u00a0\u00ad\ufeff")
_TRIED = ("mac-roman", "cp850", "cp1251")
_OFTEN = 5  # one word in so many
_MOST = 20_000  # words that are looked at


def letter_doubts(raw: RawFile, profiles: Iterable[Profile]) -> list[Alarm]:
    """Doubt the letters of a text that was read as cp1252 for want of anything better."""
    if raw.encoding != GUESSED or any(LETTERS in p.settled for p in profiles):
        return []
    words = list(islice(_words(raw), _MOST))
    odd = [(place, word) for place, word in words if _is_odd(word)]
    if len(odd) * _OFTEN <= len(words):
        return []
    place, word = odd[0]
    told = f'the letters are not certain: read as {GUESSED}, {place} shows "{word}"'
    return [Alarm(f"{told}: {_remedy(word)}", LETTERS)]


def _words(raw: RawFile) -> Iterable[tuple[str, str]]:
    for sheet in raw.sheets:
        for row in sheet.rows:
            for cell in row.cells:
                if not cell.isascii():
                    for found in _WORD.finditer(cell):
                        yield place_of(sheet.name, row.number), found.group()


def _remedy(word: str) -> str:
    read = [(name, text) for name in _TRIED if _is_plain(text := _read_as(word, name))]
    shown = ", ".join(f'--encoding {name} reads "{text}"' for name, text in read)
    return shown or "name it with --encoding, or ask for the list as .xlsx or as CSV UTF-8"


def _read_as(word: str, encoding: str) -> str:
    try:
        return word.encode(GUESSED).decode(encoding)
    except UnicodeError:
        return ""


def _is_plain(word: str) -> bool:
    """Say whether a word is of letters that do follow each other, besides plain signs."""
    return bool(word) and not _is_odd(word) and all(s.isascii() or s.isalpha() for s in word)


def _is_odd(word: str) -> bool:
    """Say whether no language writes a word so: capitals or signs within it, scripts mixed."""
    if "ƒ" in word and len(word) > 1:  # the sign of a guilder, and no letter of a language
        return True
    scripts = {unicodedata.name(sign, "?").split()[0] for sign in word if sign.isalpha()}
    if len(scripts - {"MICRO", "FEMININE", "MASCULINE"}) > 1:
        return True
    within = zip(word, word[1:], word[2:], strict=False)
    if any(not each[1].isascii() and _breaks(*each) for each in within):
        return True
    return "LATIN" in scripts and _has_run(word)


def _breaks(before: str, sign: str, after: str) -> bool:
    if not (before.isalpha() and after.isalpha()):
        return False
    if sign.isalpha():
        return sign.isupper() and before.islower() and after.islower()
    return sign not in _BETWEEN


def _has_run(word: str) -> bool:
    """Say whether three Latin letters with marks follow each other, as in no word of the West."""
    marked = [sign.isalpha() and not sign.isascii() for sign in word]
    return any(all(three) for three in zip(marked, marked[1:], marked[2:], strict=False))
