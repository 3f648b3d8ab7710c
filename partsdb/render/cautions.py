"""Cautions where there is little room: shorter, never fewer."""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.rules.cautions import hearts


def brief(cautions: Sequence[str]) -> list[str]:
    """Return the safety texts as one line of their hearts; what else is a caution stands whole."""
    known = hearts()
    said = [known[each] for each in cautions if each in known]
    line = [f"{'; '.join(said)} (in full without --quiet)"] if said else []
    return [*line, *(each for each in cautions if each not in known)]
