"""The text of a cell on one line, without what is not seen; what was lost on the way is told."""

from __future__ import annotations

import re

from importers.decoding import near_utf8

_REPLACED = "\ufffd"
# What steers a terminal or turns the direction of writing: never a part of a number or a text.
_STEERING = re.compile(r"[\x00-\x08\x0e-\x1b\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
# Blanks of no width, and the hyphen that shows only where a line breaks.
_UNSEEN = str.maketrans("", "", "\u200b\u200c\u200d\ufeff\u00ad")


def tidied(text: str, *, place: str) -> tuple[str, list[str]]:
    """Return a cell on one line with plain blanks, and what is odd about it, with its place."""
    odd = []
    if _REPLACED in text:
        odd.append(f"{place} holds a character that was lost before the file came to us")
    if meant := _misread(text):
        odd.append(
            f"{place} was read by a wrong encoding before the file came to us: {text[:40]!r} was "
            f"perhaps {meant[:40]!r}"
        )
    if not text.isprintable() and _STEERING.search(text):
        odd.append(f"{place} holds signs that steer a terminal; they are taken out")
        text = _STEERING.sub("", text)
    return " ".join(text.translate(_UNSEEN).split()), odd


def _misread(text: str) -> str:
    """Return what a text was before its UTF-8 was taken for cp1252 ("SchlÃ¤uche"), or ""."""
    try:
        return "" if text.isascii() else near_utf8(text.encode("cp1252")) or ""
    except UnicodeError:
        return ""
