"""Lots that were barred here: what else is fit may still not be taken from one of them."""

from __future__ import annotations

from collections.abc import Iterable

from partsdb.rules.verdict import Check, Outcome
from partsdb.store.lots import lots_of_parts

BARRED = "barred"


def barred_lots(part_ids: Iterable[int]) -> dict[int, Check]:
    """Return for each part with a barred lot the check that names the lots to leave aside."""
    named: dict[int, list[str]] = {}
    for row in lots_of_parts(part_ids):
        if row.state == BARRED:
            said = f"{row.label} of {row.supplier}, received {row.received_at[:10]}"
            named.setdefault(row.part_id, []).append(said)
    return {part_id: _check(lots) for part_id, lots in named.items()}


def _check(lots: list[str]) -> Check:
    text = f"barred here: lot {'; lot '.join(lots)}"
    condition = f"take none of lot {'; lot '.join(lots)}: it is barred here"
    outcome = Outcome.MEETS_WITH_CONDITIONS
    return Check("lot", outcome, text, code="LOT_RECALLED", conditions=(condition,))
