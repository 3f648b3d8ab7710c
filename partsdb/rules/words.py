"""Words as keys: case, accents, German letters and punctuation taken out of a name."""

from __future__ import annotations

import re
import unicodedata

# German first: ä is ae there, while é, ñ or ç only lose their mark.
_LETTERS = str.maketrans(
    {
        "ä": "ae",
        "ö": "oe",
        "ü": "ue",
        "ß": "ss",
        "æ": "ae",
        "œ": "oe",
        "ø": "oe",
        "ł": "l",
        "đ": "d",
    }
)
_DOT_IN_ABBREVIATION = re.compile(r"(?<=[a-z])\.(?=[a-z])|(?<=\b[a-z])\.")
_APOSTROPHE = re.compile(r"(?<=\w)['’`´](?=\w)")
_NOT_WORD = re.compile(r"[^a-z0-9.]+|(?<!\d)\.|\.(?!\d)")

# What a pattern that heeds no case takes for i, k and s besides ("PSİ" off a Turkish keyboard).
_TAKEN_FOR = str.maketrans("İıKſ", "iiks")


def matched_lower(text: str) -> str:
    """Return in lower case what a pattern that heeds no case has matched, to look it up by."""
    return text.translate(_TAKEN_FOR).lower()


def plain_words(text: str) -> tuple[str, ...]:
    """Return the words of `text` in lower case, without accents and punctuation.

    A dot stays between digits ("1.4404") and joins single letters ("B.V." is "bv").
    """
    folded = text.lower() if text.isascii() else _folded(text)
    folded = _DOT_IN_ABBREVIATION.sub("", _APOSTROPHE.sub("", folded))
    return tuple(_NOT_WORD.sub(" ", folded).split())


def _folded(text: str) -> str:
    # Composed first: an umlaut may come as a letter and a separate mark.
    folded = unicodedata.normalize("NFKC", text).casefold().translate(_LETTERS)
    if folded.isascii():
        return folded
    parts = unicodedata.normalize("NFKD", folded)
    return "".join(sign for sign in parts if not unicodedata.combining(sign))
