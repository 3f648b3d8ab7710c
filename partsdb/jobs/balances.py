"""The units of a stored lot, as the rules count them."""

from __future__ import annotations

from partsdb.rules.shelf import Balance
from partsdb.store.rows_bench import LotRow


def balance_of(row: LotRow) -> Balance:
    """Return the units of a lot."""
    return Balance(
        row.units, row.fitted, row.returned, row.written_off, row.missing, row.built_in,
        row.taken_apart,
    )  # fmt: skip
