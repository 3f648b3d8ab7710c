"""Loading supersessions and stands-in edges; an approval without evidence is refused here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict

from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.jobs.shop_parts import find_part
from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.roles import role_named
from partsdb.store import catalogue, edges, events
from partsdb.store.rows import EdgeRow, NewEdge, Stamp, SupersessionRow

SUPERSESSIONS = FileFormat(
    "supersessions.csv",
    ("old_maker", "old_number", "new_maker", "new_number"),
    ("from_date", "serial_from", "serial_to", "source"),
)
STANDS_IN = FileFormat(
    "stands_in.csv",
    ("asked_maker", "asked_number", "fitted_maker", "fitted_number", "state", "evidence"),
    ("conditions", "source"),
)
STATES = ("proposed", "accepted", "rejected")
# Trade handbook 4: a pressure part needs a maker's document or a measurement here, directly.
_SHOWS_PRESSURE_PART = (EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.MEASURED_HERE)


def refusal(state: str, roles: Iterable[str], evidence: str, source: str) -> str:
    """Return why an edge between parts of those roles cannot be in that state, or ""."""
    if state != "accepted":
        return ""
    if not source.strip():
        return "an approval must name its source: the document and page, or the bench sheet"
    if evidence in (*_SHOWS_PRESSURE_PART, "") or not any(map(_holds_pressure, roles)):
        return ""
    return (
        f"{evidence} does not approve a part that holds pressure; it takes a maker's document"
        " or a measurement here. Leave it proposed until there is one"
    )


def _holds_pressure(role: str) -> bool:
    return role_named(role).holds_pressure  # an unknown or empty role counts as holding pressure


def load_supersessions(table: Table, by: Stamp) -> LoadCount:
    """Store the makers' replacements of numbers; a corrected row takes the old one's place."""
    wanted = list(dict.fromkeys(row for each in table.rows if (row := _read_supersession(each))))
    table.refuse_if_bad()
    stored = edges.supersessions_touching({row.old_id for row in wanted})
    live = {_bare(row): row for row in stored}
    fresh = [row for row in wanted if row not in live]
    stale: dict[tuple[object, ...], list[SupersessionRow]] = {}
    for bare, row in live.items():
        if bare not in wanted:
            stale.setdefault((row.old_id, row.new_id), []).append(row)
    changed = 0
    for row in fresh:
        was = stale.pop((row.old_id, row.new_id), [])
        changed += bool(was)
        for old in was:
            edges.withdraw_supersession(old.id, by=by)
        edges.add_supersession(row, by=by)
        detail = {"is": asdict(row), "was": [asdict(old) for old in was]}
        events.record("supersede", ("part", row.old_id), detail, by=by)
    return LoadCount(table.name, len(fresh) - changed, len(wanted) - len(fresh), changed)


def _bare(row: SupersessionRow) -> SupersessionRow:
    return SupersessionRow(0, *(getattr(row, name) for name in SupersessionRow.__slots__[1:]))


def _read_supersession(row: Row) -> SupersessionRow | None:
    old = find_part(row, "old_maker", "old_number")
    ends = not row.text("new_number")
    new = None if ends else find_part(row, "new_maker", "new_number")
    from_date = row.day("from_date")
    if old is None or (new is None and not ends):
        return None
    if old == new:
        row.bad("new_number", "a number cannot be replaced by itself")
    serials = row.text("serial_from"), row.text("serial_to")
    return SupersessionRow(0, old, new, from_date, *serials, row.text("source"))


def load_stands_in(table: Table, by: Stamp) -> LoadCount:
    """Store what may stand in for what, each row a person's decision about the pair."""
    wanted: dict[tuple[int, int], NewEdge] = {}
    for row in table.rows:
        edge = _read_edge(row)
        if edge and wanted.setdefault((edge.asked_id, edge.fitted_id), edge) != edge:
            row.bad("fitted_number", "this pair stands twice, and differs")
    table.refuse_if_bad()
    stored = edges.edges_from({asked for asked, _ in wanted})
    known = {(old.asked_id, old.fitted_id): old for old in stored}
    news = [(known.get(pair), edge) for pair, edge in wanted.items()]
    news = [(old, edge) for old, edge in news if old is None or not _says(old, edge)]
    edges.add_edges([edge for _, edge in news], by=by)
    events.record_many(
        "decide",
        (("part", e.asked_id, {"is": asdict(e), "was": asdict(o) if o else {}}) for o, e in news),
        by=by,
    )
    changed = sum(old is not None for old, _ in news)
    return LoadCount(table.name, len(news) - changed, len(wanted) - len(news), changed)


def _says(old: EdgeRow, edge: NewEdge) -> bool:
    said = (old.state, old.evidence, old.conditions, old.source)
    return old.decided and said == (edge.state, edge.evidence, edge.conditions, edge.source)


def _read_edge(row: Row) -> NewEdge | None:
    asked = find_part(row, "asked_maker", "asked_number")
    fitted = find_part(row, "fitted_maker", "fitted_number")
    state, evidence = row.choice("state", STATES), row.choice("evidence", EvidenceLevel)
    conditions, source = row.several("conditions"), row.text("source")
    if asked is None or fitted is None:
        return None
    if asked == fitted:
        row.bad("fitted_number", "a part does not stand in for itself")
    roles = [part.role for part in catalogue.part_rows([asked, fitted]).values()]
    if why := refusal(state, roles, evidence, source):
        row.bad("state", why)
    return NewEdge(asked, fitted, state, evidence, conditions, source)
