"""The safety texts that an answer must carry, by the situation that it is about (handbook 9)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from partsdb.errors import UsageError
from partsdb.tables import rows


def hearts() -> Mapping[str, str]:
    """Return the heart of each text in a few words, by the text, for where it cannot all stand."""
    return {row["text"]: row["heart"] for row in rows("cautions")}


def cautions_for(situations: Iterable[str]) -> tuple[str, ...]:
    """Return the texts of `situations`, gravest first, each once; "any" is always among them.

    Raises UsageError for a situation that the table does not know: no caution may go missing.
    """
    wanted = {"any", *situations}
    table = rows("cautions")
    unknown = wanted - {row["situation"] for row in table}
    if unknown:
        raise UsageError(f"no caution is known for {sorted(unknown)[0]!r}")
    chosen = [row for row in table if row["situation"] in wanted]
    return tuple(row["text"] for row in sorted(chosen, key=lambda row: int(row["order"])))
