"""Which parts may stand in: the maker's own successors, edges, and what is amiss with a chain."""

from __future__ import annotations

import pytest
from small_shop import BY, SmallShop

from partsdb.jobs.leads import Lead, in_words, leads_from
from partsdb.rules.facts import EvidenceLevel, StandsIn
from partsdb.store import catalogue, edges
from partsdb.store.rows import SupersessionRow

WORD = EvidenceLevel.SUPPLIERS_WORD
HERE = EvidenceLevel.MEASURED_HERE


def superseded(old: int, new: int | None, serials: tuple[str, str] = ("", "")) -> None:
    edges.add_supersession(SupersessionRow(0, old, new, "2022-03-01", *serials, "QB-98"), by=BY)


def found(asked: int) -> tuple[dict[str, Lead], list[str]]:
    leads, notes = leads_from(catalogue.part_rows([asked])[asked])
    return {lead.part.number: lead for lead in leads}, notes


@pytest.fixture
def parts(small: SmallShop) -> dict[str, int]:
    return {name: small.part(name) for name in ("A", "B", "C", "D", "E")}


def test_a_part_without_any_edge_has_no_lead_and_no_note(parts):
    assert found(parts["A"]) == ({}, [])


def test_an_edge_leads_one_way_only(small, parts):
    small.edge(parts["A"], parts["B"])
    assert set(found(parts["A"])[0]) == {"B"}
    assert found(parts["B"])[0] == {}


def test_edges_lead_on_for_three_steps_and_no_further(small, parts):
    for one, two in ("AB", "BC", "CD", "DE"):
        small.edge(parts[one], parts[two])
    leads, _ = found(parts["A"])
    assert {number: len(lead.edges) for number, lead in leads.items()} == {"B": 1, "C": 2, "D": 3}


def test_a_rejected_edge_is_shown_as_rejected_and_no_detour_brings_it_back(small, parts):
    small.edge(parts["A"], parts["C"], "rejected", HERE)
    small.edge(parts["A"], parts["B"])
    small.edge(parts["B"], parts["C"])
    leads, _ = found(parts["A"])
    assert [edge.state for edge in leads["C"].edges] == ["rejected"]
    assert "rejected, measured here (QB-1)" in leads["C"].path[0]


def test_what_was_rejected_further_on_is_not_walked_over(small, parts):
    small.edge(parts["A"], parts["B"])
    small.edge(parts["B"], parts["C"], "rejected", HERE)
    assert set(found(parts["A"])[0]) == {"B"}


def test_the_newest_decision_about_a_pair_counts(small, parts):
    small.edge(parts["A"], parts["B"], "rejected", HERE)
    small.edge(parts["A"], parts["B"], "accepted")
    leads, _ = found(parts["A"])
    assert [edge.state for edge in leads["B"].edges] == ["accepted"]


def test_a_chain_of_successors_is_one_approval_by_the_maker(small, parts):
    superseded(parts["A"], parts["B"])
    superseded(parts["B"], parts["C"])
    leads, notes = found(parts["A"])
    (edge,) = leads["C"].edges
    assert (edge.state, edge.evidence) == ("accepted", "maker's document")
    assert notes == ["Quillmere A is superseded: Quillmere A → Quillmere B → Quillmere C"]


def test_what_stands_in_for_the_successor_is_a_lead_too(small, parts):
    superseded(parts["A"], parts["B"])
    small.edge(parts["B"], parts["D"], "proposed", WORD)
    leads, _ = found(parts["A"])
    assert len(leads["D"].edges) == 2


def test_a_circle_proves_nothing_and_is_said(small, parts):
    superseded(parts["A"], parts["B"])
    superseded(parts["B"], parts["A"])
    leads, notes = found(parts["A"])
    assert leads == {}
    assert len(notes) == 1
    assert notes[0].startswith("CYCLE: Quillmere A → Quillmere B → Quillmere A")


def test_an_end_without_a_successor_is_said(parts):
    superseded(parts["A"], None)
    assert found(parts["A"]) == (
        {},
        ["Quillmere A has ended: Quillmere A, and the maker names no successor"],
    )


def test_a_split_names_both_ends_each_with_its_serials(parts):
    superseded(parts["A"], parts["B"], ("", "3999"))
    superseded(parts["A"], parts["C"], ("4000", ""))
    leads, notes = found(parts["A"])
    assert {n: lead.edges[0].conditions for n, lead in leads.items()} == {
        "B": ("only for serials up to 3999",),
        "C": ("only for serials from 4000",),
    }
    assert sorted(notes) == [
        "Quillmere A is superseded: Quillmere A → Quillmere B, only for serials up to 3999",
        "Quillmere A is superseded: Quillmere A → Quillmere C, only for serials from 4000",
    ]


def test_leads_stand_in_the_order_of_their_names_whatever_was_stored_first(small):
    asked = small.part("A")
    for number in ("Z", "M", "B"):
        small.edge(asked, small.part(number))
    leads, _ = leads_from(catalogue.part_rows([asked])[asked])
    assert [lead.part.number for lead in leads] == ["B", "M", "Z"]


def test_an_edge_in_words_tells_state_evidence_conditions_and_source():
    edge = StandsIn(("Q", "1"), ("C", "2"), "accepted", HERE, ("a", "b"), "sheet 7")
    assert in_words(edge) == "Q 1 → C 2: accepted, measured here; a; b (sheet 7)"


def test_a_replacement_of_the_future_is_told_and_is_no_lead_yet(small, parts):
    row = SupersessionRow(0, parts["A"], parts["B"], "2027-01-01", "", "", "QB-98")
    edges.add_supersession(row, by=BY)
    asked = catalogue.part_rows([parts["A"]])[parts["A"]]
    assert leads_from(asked, day="2026-11-20") == (
        [],
        ["Quillmere A → Quillmere B is only from 2027-01-01: not yet on 2026-11-20"],
    )
    leads, notes = leads_from(asked, day="2027-01-01")
    assert [lead.edges[0].state for lead in leads] == ["accepted"]
    assert notes == ["Quillmere A is superseded: Quillmere A → Quillmere B"]


def test_a_replacement_that_names_no_document_is_a_lead_and_no_approval(parts):
    edges.add_supersession(SupersessionRow(0, parts["A"], parts["B"], None, "", "", ""), by=BY)
    leads, _ = found(parts["A"])
    [edge] = leads["B"].edges
    assert (edge.state, edge.evidence) == ("proposed", EvidenceLevel.INFERRED)


def test_one_branch_that_runs_in_a_circle_takes_the_approval_from_the_other(parts):
    superseded(parts["A"], parts["B"])
    superseded(parts["B"], parts["A"])
    superseded(parts["A"], parts["C"])
    leads, notes = found(parts["A"])
    assert leads == {}
    assert any(note.startswith("CYCLE") for note in notes)
