"""What may stand in for what, and what the makers replaced: directed, never overwritten."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsdb.errors import NotFoundError
from partsdb.store import sql
from partsdb.store.rows import EdgeDecision, EdgeRow, NewEdge, Stamp, SupersessionRow

_COLUMNS = (
    "id, asked_part_id, fitted_part_id, state, decided, evidence, source, line_id,"
    " price_list_id, made_by, made_at"
)
_EDGE = (
    "SELECT id, asked_part_id, fitted_part_id, state, evidence, source, price_list_id, made_by,"
    " made_at, decided FROM stands_in_now"
)
_SUPERSESSION = (
    "SELECT id, old_part_id, new_part_id, from_date, serial_from, serial_to, source"
    " FROM supersession WHERE withdrawn_at IS NULL"
)
MAX_PATHS = 1000


def add_edges(edges: Iterable[NewEdge], *, by: Stamp) -> list[int]:
    """Store edges and return their ids. What no price list brought is a person's decision."""
    free = sql.next_id("stands_in")
    numbered = list(enumerate(edges, start=free))
    sql.insert_many(
        "stands_in",
        _COLUMNS,
        (
            (i, e.asked_id, e.fitted_id, e.state, int(e.price_list_id is None), str(e.evidence),
             e.source, e.line_id, e.price_list_id, by.who, by.at)
            for i, e in numbered
        ),
    )  # fmt: skip
    sql.insert_many(
        "condition", "stands_in_id, text", ((i, c) for i, e in numbered for c in e.conditions)
    )
    return [i for i, _ in numbered]


def add_edge(edge: NewEdge, *, by: Stamp) -> int:
    """Store one edge and return its id."""
    return add_edges([edge], by=by)[0]


def decide_edge(edge_id: int, decision: EdgeDecision, *, by: Stamp) -> int:
    """Append a person's decision about the pair of `edge_id`, which counts from now on.

    Conditions stay unless the decision states its own. Raises NotFoundError for no such edge.
    """
    old = edge_row(edge_id)
    if old is None:
        raise NotFoundError("stands-in", str(edge_id))
    kept = old.conditions if decision.conditions is None else decision.conditions
    new = NewEdge(
        old.asked_id, old.fitted_id, decision.state, decision.evidence, kept, decision.source
    )
    return add_edge(new, by=by)


def edge_row(edge_id: int) -> EdgeRow | None:
    """Return the edge as it was written, whether or not it still counts, or None."""
    found = _edges(
        sql.rows(_EDGE.replace("stands_in_now", "stands_in") + " WHERE id = ?", (edge_id,))
    )
    return found[0] if found else None


def edges_from(part_ids: Iterable[int]) -> list[EdgeRow]:
    """Return, for the asked parts, the edge that counts of every pair, rejected ones too."""
    return _edges(sql.rows_for(_EDGE + " WHERE asked_part_id IN ({marks})", part_ids))


def edges_into(part_id: int) -> list[EdgeRow]:
    """Return the edges by which this part may be fitted in the place of another."""
    return _edges(sql.rows(_EDGE + " WHERE fitted_part_id = ?", (part_id,)))


def edge_of(asked_id: int, fitted_id: int) -> EdgeRow | None:
    """Return the edge of the pair that counts, or None."""
    found = _edges(
        sql.rows(_EDGE + " WHERE asked_part_id = ? AND fitted_part_id = ?", (asked_id, fitted_id))
    )
    return found[0] if found else None


def past_edges(asked_id: int, fitted_id: int) -> list[EdgeRow]:
    """Return every row ever stored about the pair, oldest first, taken back ones too."""
    return _edges(
        sql.rows(
            "SELECT id, asked_part_id, fitted_part_id, state, evidence, source, price_list_id,"
            " made_by, made_at, decided FROM stands_in"
            " WHERE asked_part_id = ? AND fitted_part_id = ?",
            (asked_id, fitted_id),
        )
    )


def edges_reaching(part_id: int, max_edges: int = 3) -> list[tuple[EdgeRow, ...]]:
    """Return the paths of edges outward from the asked part, shortest first, at most 1000.

    No path visits a part twice or takes a rejected edge. A path of several edges is a lead to
    check, never an approval.
    """
    found = sql.rows(
        "WITH RECURSIVE path (fitted, edges, parts, length) AS ("
        " SELECT ?, '', ',' || ? || ',', 0"
        " UNION ALL"
        " SELECT e.fitted_part_id, path.edges || ',' || e.id,"
        "  path.parts || e.fitted_part_id || ',', path.length + 1"
        " FROM path JOIN stands_in_now e ON e.asked_part_id = path.fitted"
        " WHERE path.length < ? AND e.state <> 'rejected'"
        "  AND instr(path.parts, ',' || e.fitted_part_id || ',') = 0"
        " ORDER BY 4, 2 LIMIT ?)"
        " SELECT edges FROM path WHERE length > 0 ORDER BY length, edges",
        (part_id, part_id, max_edges, MAX_PATHS + 1),
    )
    paths = [tuple(int(i) for i in edges.strip(",").split(",")) for (edges,) in found]
    wanted = {i for path in paths for i in path}
    rows = {e.id: e for e in _edges(sql.rows_for(_EDGE + " WHERE id IN ({marks})", wanted))}
    return [tuple(rows[i] for i in path) for path in paths]


def _edges(found: Sequence[tuple[object, ...]]) -> list[EdgeRow]:
    texts: dict[object, list[str]] = {}
    rows = sorted(found, key=lambda row: int(str(row[0])))
    for edge_id, text in sql.rows_for(
        "SELECT stands_in_id, text FROM condition WHERE stands_in_id IN ({marks}) ORDER BY id",
        (row[0] for row in rows),
    ):
        texts.setdefault(edge_id, []).append(text)
    return [_edge(row, tuple(texts.get(row[0], ()))) for row in rows]


def _edge(row: Sequence[object], conditions: tuple[str, ...]) -> EdgeRow:
    edge_id, asked, fitted, state, evidence, source, price_list, who, at, decided = row
    values = (edge_id, asked, fitted, state, evidence, conditions, source, price_list, who, at)
    return EdgeRow(*values, bool(decided))  # type: ignore[arg-type]


def add_supersession(row: SupersessionRow, *, by: Stamp) -> int:
    """Store that the maker replaced a number (or ended it); the id of `row` is ignored."""
    return sql.insert(
        "supersession",
        "old_part_id, new_part_id, from_date, serial_from, serial_to, source, made_by, made_at",
        (row.old_id, row.new_id, row.from_date, row.serial_from, row.serial_to, row.source,
         by.who, by.at),
    )  # fmt: skip


def withdraw_supersession(supersession_id: int, *, by: Stamp) -> None:
    """Take a supersession back."""
    sql.run("UPDATE supersession SET withdrawn_at = ? WHERE id = ?", (by.at, supersession_id))


def supersessions_touching(part_ids: Iterable[int]) -> list[SupersessionRow]:
    """Return the supersessions in which any of the parts is the old or the new number."""
    ids = list(part_ids)
    found = {
        row
        for side in ("old_part_id", "new_part_id")
        for row in sql.rows_for(f"{_SUPERSESSION} AND {side} IN ({{marks}})", ids)
    }
    return [SupersessionRow(*row) for row in sorted(found)]


def supersessions_around(part_ids: Iterable[int], max_steps: int = 50) -> list[SupersessionRow]:
    """Return every supersession of the chains that the parts stand in, both ways."""
    known: dict[int, SupersessionRow] = {}
    seen: set[int] = set()
    front = set(part_ids)
    for _ in range(max_steps):
        if not front:
            break
        seen |= front
        fresh = [row for row in supersessions_touching(front) if row.id not in known]
        known.update((row.id, row) for row in fresh)
        ends = {i for row in fresh for i in (row.old_id, row.new_id) if i is not None}
        front = ends - seen
    return [known[i] for i in sorted(known)]
