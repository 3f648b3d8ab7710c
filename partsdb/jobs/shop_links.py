"""Loading supersessions and stands-in edges; an approval without evidence is refused here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.jobs.shop_parts import find_part
from partsdb.rules.equivalence import may_accept
from partsdb.rules.facts import EvidenceLevel, StandsIn
from partsdb.rules.sources import names_source
from partsdb.rules.verdict import Outcome
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


def refusal(edge: StandsIn, roles: Iterable[str], evidence: EvidenceLevel, source: str) -> str:
    """Return why `edge`, as it stands, cannot be accepted on that evidence, or "".

    The rule is asked for the role of either part: the stricter one counts.
    """
    if not names_source(source):
        return "an approval must name its source: the document and page, or the bench sheet"
    checks = (may_accept(edge, role, evidence) for role in roles)
    return next((c.text for c in checks if c.outcome is not Outcome.MEETS), "")


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
        detail = {"is": row._asdict(), "was": [old._asdict() for old in was]}
        events.record("supersede", ("part", row.old_id), detail, by=by)
    return LoadCount(table.name, len(fresh) - changed, len(wanted) - len(fresh), changed)


def _bare(row: SupersessionRow) -> SupersessionRow:
    return row._replace(id=0)


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
    wanted: dict[tuple[int, int], tuple[Row, NewEdge]] = {}
    for row in table.rows:
        edge = _read_edge(row)
        if edge and wanted.setdefault((edge.asked_id, edge.fitted_id), (row, edge))[1] != edge:
            row.bad("fitted_number", "this pair stands twice, and differs")
    stored = edges.edges_from({asked for asked, _ in wanted})
    known = {(old.asked_id, old.fitted_id): old for old in stored}
    pairs = [(known.get(pair), row, edge) for pair, (row, edge) in wanted.items()]
    news = [
        (old, row, edge)
        for old, row, edge in pairs
        if old is None or not (_says(old, edge) or _is_outdated(table, row, old, edge))
    ]
    _refuse_weak(news)
    table.refuse_if_bad()
    edges.add_edges([edge for _, _, edge in news], by=by)
    said = (
        ("part", edge.asked_id, {"is": edge._asdict(), "was": old._asdict() if old else {}})
        for old, _, edge in news
    )
    events.record_many("decide", said, by=by)
    changed = sum(old is not None for old, _, _ in news)
    same = len(wanted) - len(news)
    return LoadCount(table.name, len(news) - changed, same, changed, tuple(table.cautions))


def _refuse_weak(news: Sequence[tuple[EdgeRow | None, Row, NewEdge]]) -> None:
    """Note every approval that the evidence does not carry as a problem of its row."""
    approvals = [each for each in news if each[2].state == "accepted"]
    parts = catalogue.part_rows(i for _, _, e in approvals for i in (e.asked_id, e.fitted_id))
    for old, row, edge in approvals:
        asked, fitted = parts[edge.asked_id], parts[edge.fitted_id]
        stands = StandsIn(
            (asked.maker, asked.number),
            (fitted.maker, fitted.number),
            old.state if old else "proposed",
            EvidenceLevel(old.evidence) if old else EvidenceLevel.INFERRED,
            source=old.source if old else "",
        )
        roles = (fitted.role, asked.role)
        if why := refusal(stands, roles, EvidenceLevel(edge.evidence), edge.source):
            row.bad("state" if names_source(edge.source) else "source", why)


def _is_outdated(table: Table, row: Row, old: EdgeRow, edge: NewEdge) -> bool:
    """Say, with a caution, that a file's row was overtaken by what was decided here since.

    A file that is loaded again must not undo a rejection, nor bring back what it said before.
    """
    if table.is_typed or not old.decided:
        return False
    if not any(_says(each, edge) for each in edges.past_edges(*_pair(old))):
        return False
    table.cautions.append(
        f"{table.name} row {row.row}: left out, for the pair was decided otherwise since: "
        f"{old.state} on {old.evidence} ({old.source or 'no source'}), {old.made_at[:10]}; "
        "partsdb part accept changes it"
    )
    return True


def _pair(edge: EdgeRow) -> tuple[int, int]:
    return edge.asked_id, edge.fitted_id


def _says(old: EdgeRow, edge: NewEdge) -> bool:
    said = (old.state, old.evidence, old.conditions, old.source)
    return old.decided and said == (edge.state, edge.evidence, edge.conditions, edge.source)


def _read_edge(row: Row) -> NewEdge | None:
    asked = find_part(row, "asked_maker", "asked_number")
    fitted = find_part(row, "fitted_maker", "fitted_number")
    state, evidence = row.choice("state", STATES), row.choice("evidence", EvidenceLevel)
    if asked is None or fitted is None or not (state and evidence):
        return None
    if asked == fitted:
        row.bad("fitted_number", "a part does not stand in for itself")
        return None
    return NewEdge(asked, fitted, state, evidence, row.several("conditions"), row.text("source"))
