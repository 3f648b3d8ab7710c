"""Stands-in edges and supersessions: directed, append-only, and a decision outranks a proposal."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.errors import NotFoundError
from partsdb.store import catalogue, edges, lists, makers, sql
from partsdb.store.rows import EdgeDecision, NewEdge, NewPart, Stamp, SupersessionRow
from partsdb.store.rows_lists import NewList

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


@pytest.fixture
def batch(shop) -> int:
    supplier = makers.add_supplier("Saltreeve")
    return lists.add_list(NewList(supplier, "a.csv", "00", "csv"), by=BY)


def proposal(shop, batch: int, *conditions: str) -> NewEdge:
    return NewEdge(shop.kit, shop.copy, "proposed", "supplier's word", conditions,
                   "a.csv row 3", price_list_id=batch)  # fmt: skip


def states(shop) -> list[str]:
    return [edge.state for edge in edges.edges_from([shop.kit])]


def test_an_edge_has_one_direction(shop):
    edges.add_edge(NewEdge(shop.kit, shop.copy, "accepted", "maker's document"), by=BY)
    assert edges.edges_from([shop.copy]) == []
    assert [edge.asked_id for edge in edges.edges_into(shop.copy)] == [shop.kit]


def test_a_decision_keeps_the_conditions_unless_it_states_its_own(shop, batch):
    edge = edges.add_edge(proposal(shop, batch, "only with the maker's sealant"), by=BY)
    edges.decide_edge(edge, EdgeDecision("accepted", "measured here", "sheet 7"), by=BY)
    (now,) = edges.edges_from([shop.kit])
    assert (now.state, now.conditions) == ("accepted", ("only with the maker's sealant",))
    edges.decide_edge(
        edge, EdgeDecision("accepted", "measured here", "sheet 8", ("from serial 4000",)), by=BY
    )
    assert edges.edge_of(shop.kit, shop.copy).conditions == ("from serial 4000",)


def test_a_later_proposal_of_a_supplier_does_not_undo_a_rejection(shop, batch):
    edge = edges.add_edge(proposal(shop, batch), by=BY)
    edges.decide_edge(edge, EdgeDecision("rejected", "measured here", "leaked"), by=BY)
    edges.add_edge(proposal(shop, batch), by=BY)
    assert states(shop) == ["rejected"]


def test_the_newest_decision_counts(shop, batch):
    edge = edges.add_edge(proposal(shop, batch), by=BY)
    for state in ("accepted", "rejected", "proposed"):
        edges.decide_edge(edge, EdgeDecision(state, "maker's document", "QB-114"), by=BY)
    assert states(shop) == ["proposed"]
    assert sql.first("SELECT count(*) FROM stands_in") == (4,)


def test_nothing_decided_is_ever_overwritten(shop, batch):
    edge = edges.add_edge(proposal(shop, batch), by=BY)
    with pytest.raises(sqlite3.IntegrityError, match="never overwritten"):
        sql.run("UPDATE stands_in SET state = 'accepted' WHERE id = ?", (edge,))


def test_a_part_does_not_stand_in_for_itself(shop):
    with pytest.raises(sqlite3.IntegrityError):
        edges.add_edge(NewEdge(shop.kit, shop.kit, "proposed", "inferred"), by=BY)


def test_deciding_about_no_edge_is_refused(shop):
    with pytest.raises(NotFoundError):
        edges.decide_edge(99, EdgeDecision("accepted", "maker's document"), by=BY)


def paths(part: int, max_edges: int = 3) -> list[list[int]]:
    return [[edge.fitted_id for edge in path] for path in edges.edges_reaching(part, max_edges)]


def test_paths_go_outward_stop_at_three_edges_and_never_return(shop):
    chain = [shop.kit, shop.copy, shop.better, shop.hose]
    far = catalogue.add_part(NewPart(shop.quillmere, "far"), by=BY)
    steps = [*zip(chain, [*chain[1:], far], strict=True), (shop.copy, shop.kit)]
    edges.add_edges([NewEdge(a, f, "proposed", "inferred") for a, f in steps], by=BY)
    assert paths(shop.kit) == [chain[1:2], chain[1:3], chain[1:4]]
    assert paths(shop.kit, 4)[-1] == [*chain[1:], far]
    assert paths(far) == []


def test_a_rejected_edge_leads_nowhere(shop):
    edges.add_edge(NewEdge(shop.kit, shop.copy, "rejected", "measured here"), by=BY)
    edges.add_edge(NewEdge(shop.copy, shop.better, "accepted", "maker's document"), by=BY)
    assert paths(shop.kit) == []


def test_a_web_of_edges_is_bounded(shop):
    ids = catalogue.add_parts([NewPart(shop.quillmere, f"w{n}") for n in range(40)], by=BY)
    edges.add_edges(
        [NewEdge(a, f, "proposed", "inferred") for a in ids for f in ids if a != f], by=BY
    )
    found = edges.edges_reaching(ids[0])
    assert len(found) == edges.MAX_PATHS
    assert len(found[0]) == 1


def test_a_chain_of_supersessions_is_found_from_any_of_its_numbers(shop):
    steps = [(shop.kit, shop.copy), (shop.copy, shop.better), (shop.hose, None)]
    for old, new in steps:
        edges.add_supersession(SupersessionRow(0, old, new, "2022-03-01", "", "", "QB-98"), by=BY)
    for start in (shop.kit, shop.copy, shop.better):
        found = edges.supersessions_around([start])
        assert [(row.old_id, row.new_id) for row in found] == steps[:2]
    (ended,) = edges.supersessions_touching([shop.hose])
    assert ended.new_id is None


def test_a_circle_of_supersessions_ends(shop):
    for old, new in ((shop.kit, shop.copy), (shop.copy, shop.kit)):
        edges.add_supersession(SupersessionRow(0, old, new, None, "", "", ""), by=BY)
    assert len(edges.supersessions_around([shop.kit])) == 2


def test_a_withdrawn_supersession_is_gone(shop):
    row = edges.add_supersession(SupersessionRow(0, shop.kit, None, None, "", "", ""), by=BY)
    edges.withdraw_supersession(row, by=BY)
    assert edges.supersessions_touching([shop.kit]) == []
