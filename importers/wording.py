"""Counts in sentences: "1 cell", "2 cells"."""

from __future__ import annotations


def counted(count: int, word: str, plural: str = "") -> str:
    """Return a count with its word; `plural` where it is not the word with an s."""
    return f"{count} {word if count == 1 else plural or f'{word}s'}"
