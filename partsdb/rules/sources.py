"""Does a statement name what it rests on? What nobody can look up shows nothing."""

from __future__ import annotations

from functools import lru_cache

# What people type where a source is asked for and they have none. Common practice, no source.
_LISTED = (
    "na n a none no nil null unknown not known unsure tbd tbc todo source document various misc "
    "keine kein keiner quelle angabe unbekannt ka k ohne diverse siehe see above"
)
_NO_NAMES = frozenset(_LISTED.split())


@lru_cache(maxsize=4096)
def names_source(text: str) -> bool:
    """Say whether `text` names a source: "sheet 4" does; "", "-", "?", "n/a", "unknown" do not."""
    words = "".join(sign if sign.isalnum() else " " for sign in text.casefold()).split()
    return bool(words) and not _NO_NAMES.issuperset(words)
