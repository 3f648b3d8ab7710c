"""When the block is worn no kit helps: finds the block that is to be priced instead."""

from __future__ import annotations

from collections.abc import Sequence

from partsdb.errors import NotFoundError, UsageError
from partsdb.store import catalogue, machines
from partsdb.store.rows import PartRow, PositionRow

BLOCK = "pump block"


def block_instead(
    asked: PartRow, positions: Sequence[PositionRow]
) -> tuple[PartRow, tuple[PositionRow, ...], str]:
    """Return the one block of the machines in question, its positions, and why it is asked for.

    Raises NotFoundError where no block is known, UsageError where the machines differ.
    """
    ids = {row.machine_id for row in positions}
    places = [row for row in machines.positions_by_role([BLOCK], ids) if row.part_ids]
    named = ", ".join(sorted({row.machine for row in positions})) or "no machine"
    if not places:
        raise NotFoundError(
            "pump block",
            named,
            hint="name the machine with --machine, or add the position of its block",
        )
    parts = catalogue.part_rows([part_id for row in places for part_id in row.part_ids])
    if len(parts) > 1:
        of_each = "; ".join(f"{row.machine}: {parts[row.part_ids[0]].number}" for row in places)
        raise UsageError(
            f"these machines have different blocks ({of_each})", hint="say which with --machine"
        )
    [block] = parts.values()
    why = (
        f"the block is worn, so no {asked.role or 'part'} is the answer in place of "
        f"{asked.maker} {asked.number}: the block is priced instead"
    )
    return block, tuple(places), why
