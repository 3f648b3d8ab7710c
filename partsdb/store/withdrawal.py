"""Taking a price list back, with everything that only it brought."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsdb.errors import NotFoundError, UsageError
from partsdb.store import sql
from partsdb.store.events import record
from partsdb.store.rows import Stamp

# What may still need a part that the list brought. Each query gives the id of the list that needs
# it (NULL: the shop's own record does), and takes the part's id.
_NEEDED_BY = (
    "SELECT price_list_id FROM offer WHERE part_id = :part AND withdrawn_at IS NULL",
    "SELECT price_list_id FROM claim WHERE part_id = :part AND withdrawn_at IS NULL",
    "SELECT price_list_id FROM stands_in WHERE asked_part_id = :part AND withdrawn_at IS NULL",
    "SELECT price_list_id FROM stands_in WHERE fitted_part_id = :part AND withdrawn_at IS NULL",
    "SELECT l.price_list_id FROM reading r JOIN line l ON l.id = r.line_id"
    " JOIN price_list p ON p.id = l.price_list_id"
    " WHERE r.own_part_id = :part AND p.withdrawn_at IS NULL AND NOT EXISTS"
    " (SELECT 1 FROM reading n WHERE n.line_id = r.line_id AND n.id > r.id)",
    "SELECT NULL FROM position_part WHERE part_id = :part",
    "SELECT NULL FROM recipe_item WHERE part_id = :part",
    "SELECT NULL FROM supersession WHERE old_part_id = :part AND withdrawn_at IS NULL",
    "SELECT NULL FROM supersession WHERE new_part_id = :part AND withdrawn_at IS NULL",
    "SELECT NULL FROM decision WHERE part_id = :part AND taken_back_at IS NULL",
    "SELECT NULL FROM lot WHERE part_id = :part",
    "SELECT NULL FROM fitting WHERE part_id = :part",
    "SELECT NULL FROM grade WHERE subject_kind = 'part' AND subject_id = :part",
)
_NEEDS = " UNION ".join(_NEEDED_BY)


def withdraw_list(list_id: int, why: str, *, by: Stamp) -> dict[str, int]:
    """Mark a list and what it brought as withdrawn, and return how many rows of each kind.

    A part that anything else live uses stays, as a part of whatever uses it. Raises NotFoundError
    for an unknown list, UsageError for one that is withdrawn already.
    """
    head = sql.first("SELECT withdrawn_at FROM price_list WHERE id = ?", (list_id,))
    if head is None:
        raise NotFoundError("price list", str(list_id), hint="partsdb pricelist show lists them")
    if head[0]:
        raise UsageError(f"price list {list_id} was withdrawn already, on {head[0]}")
    sql.run("UPDATE price_list SET withdrawn_at = ?, withdrawn_why = ? WHERE id = ?",
            (by.at, why, list_id))  # fmt: skip
    counts = {
        name: sql.run(
            f"UPDATE {table} SET withdrawn_at = ? WHERE price_list_id = ? AND withdrawn_at IS NULL",
            (by.at, list_id),
        )
        for name, table in (("offers", "offer"), ("claims", "claim"), ("edges", "stands_in"))
    }
    counts["parts"] = _withdraw_parts(list_id, by)
    record("withdraw", ("price list", list_id), {"why": why, **counts}, by=by)
    return counts


def take_back_lines(list_id: int, line_ids: Sequence[int], *, by: Stamp) -> None:
    """Mark the offers, claims and edges of those lines of a list as withdrawn: read anew."""
    for table in ("offer", "claim", "stands_in"):
        sql.connection().executemany(
            f"UPDATE {table} SET withdrawn_at = ?"
            " WHERE price_list_id = ? AND line_id = ? AND withdrawn_at IS NULL",
            [(by.at, list_id, line_id) for line_id in line_ids],
        )


def release_parts(list_id: int, part_ids: Iterable[int], *, by: Stamp) -> int:
    """Withdraw those of the parts that the list brought and nothing uses now; return how many."""
    brought = sql.rows_for(
        f"SELECT id FROM part WHERE price_list_id = {int(list_id)} AND withdrawn_at IS NULL"
        " AND id IN ({marks})",
        part_ids,
    )
    return _release(list_id, (part_id for (part_id,) in brought), by)


def _withdraw_parts(list_id: int, by: Stamp) -> int:
    brought = sql.rows(
        "SELECT id FROM part WHERE price_list_id = ? AND withdrawn_at IS NULL", (list_id,)
    )
    return _release(list_id, (part_id for (part_id,) in brought), by)


def _release(list_id: int, part_ids: Iterable[int], by: Stamp) -> int:
    """Withdraw what nothing needs; what others need becomes theirs, unless the list needs it."""
    gone, kept = [], []
    for part_id in part_ids:
        needs = [n for (n,) in sql.connection().execute(_NEEDS, {"part": part_id})]
        if not needs:
            gone.append((by.at, part_id))
        elif list_id not in needs:
            # No list named: the shop's own record makes the part the shop's own.
            kept.append((min(needs, key=lambda need: need or 0), part_id))
    sql.connection().executemany("UPDATE part SET withdrawn_at = ? WHERE id = ?", gone)
    sql.connection().executemany("UPDATE part SET price_list_id = ? WHERE id = ?", kept)
    return len(gone)
