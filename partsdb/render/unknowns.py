"""The ledger of unknowns as text: a block for each harm, the gravest first."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import listing, paragraphs, section

_SHOWN = ("subject", "about", "unknown", "settles", "fitted", "positions")
FIRST = 25


def unknowns_text(rows: Sequence[object], width: int, *, every: bool = False) -> str:
    """Return the ledger; of each harm only the first 25 unless `every`."""
    facts: list[dict[str, Any]] = [plain(row) for row in rows]
    blocks = []
    for (_, what), group in groupby(facts, key=lambda row: (row["harm"], row["what_may_happen"])):
        found = list(group)
        shown = found if every else found[:FIRST]
        more = len(found) - len(shown)
        table = listing(
            [{name: row[name] for name in _SHOWN} for row in shown],
            width,
            wrap=("unknown", "settles", "subject"),
        )
        rest = f"\nand {more} more: --all shows them" if more else ""
        blocks.append(section(f"{what} ({len(found)})", table + rest))
    return paragraphs(blocks) or "nothing that we look for is unknown of the parts in use"
