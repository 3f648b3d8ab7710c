"""Edges and paths between parts: one way, conditional, as strong as their weakest evidence."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.equivalence import (
    MOST_EDGES,
    EdgePath,
    adapter_doubt,
    adapter_named,
    check_edge,
    check_path,
    may_accept,
    paths,
)
from partsdb.rules.facts import EVIDENCE_RANK, EvidenceLevel, StandsIn
from partsdb.rules.verdict import GRAVITY, Outcome

MAKER, MEASURED = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.MEASURED_HERE
PROVEN, PAPER = EvidenceLevel.PROVEN_HERE, EvidenceLevel.SUPPLIERS_DOCUMENT
WORD, GUESS = EvidenceLevel.SUPPLIERS_WORD, EvidenceLevel.INFERRED


def edge(
    asked: str,
    fitted: str,
    state: str = "accepted",
    evidence: EvidenceLevel = MAKER,
    *conditions: str,
) -> StandsIn:
    return StandsIn(("Quillmere", asked), ("Corrowby", fitted), state, evidence, conditions, "QB-1")


def linked(*names: str, evidence: EvidenceLevel = MAKER) -> list[StandsIn]:
    return [
        StandsIn(("M", one), ("M", two), "accepted", evidence, (f"from {one}",), "QB-1")
        for one, two in pairwise(names)
    ]


@pytest.mark.parametrize("evidence", [MAKER, MEASURED, PROVEN])
def test_an_accepted_edge_on_strong_evidence_meets(evidence: EvidenceLevel) -> None:
    assert check_edge(edge("A", "B", "accepted", evidence), "valve kit").outcome == Outcome.MEETS


@pytest.mark.parametrize("evidence", [PAPER, WORD, GUESS])
def test_a_pressure_part_accepted_on_weak_evidence_is_not_shown(evidence: EvidenceLevel) -> None:
    found = check_edge(edge("A", "B", "accepted", evidence), "valve kit")
    assert (found.outcome, found.code) == (Outcome.NOT_SHOWN, "EVIDENCE_WEAK")
    assert "holds pressure" in found.text


@pytest.mark.parametrize(
    ("role", "evidence", "outcome"),
    [
        ("handle", PAPER, Outcome.MEETS),
        ("packing", PAPER, Outcome.MEETS),
        ("handle", WORD, Outcome.NOT_SHOWN),
        ("valve kit", PAPER, Outcome.NOT_SHOWN),
        ("valve kit", PROVEN, Outcome.MEETS),
        ("gizmo", PAPER, Outcome.NOT_SHOWN),
        ("", PAPER, Outcome.NOT_SHOWN),
    ],
)
def test_what_may_be_accepted(role: str, evidence: EvidenceLevel, outcome: Outcome) -> None:
    """Handbook 4: a pressure part needs a maker's document or a measurement here, directly."""
    assert may_accept(edge("A", "B", "proposed", WORD), role, evidence).outcome == outcome


@pytest.mark.parametrize(
    ("said", "now", "outcome"),
    [
        (MEASURED, WORD, Outcome.FAILS),
        (MEASURED, MEASURED, Outcome.FAILS),
        (MEASURED, MAKER, Outcome.MEETS),
        (WORD, MEASURED, Outcome.MEETS),
    ],
)
def test_a_rejection_gives_way_to_stronger_evidence_alone(
    said: EvidenceLevel, now: EvidenceLevel, outcome: Outcome
) -> None:
    """Handbook 4: "tried, leaked" beats any positive of a lower level."""
    assert may_accept(edge("A", "B", "rejected", said), "valve kit", now).outcome == outcome


@pytest.mark.parametrize(
    ("state", "outcome"),
    [
        ("proposed", Outcome.NOT_SHOWN),
        ("rejected", Outcome.FAILS),
        ("approved by mail", Outcome.NOT_SHOWN),
    ],
)
def test_only_an_accepted_edge_is_an_approval(state: str, outcome: Outcome) -> None:
    assert check_edge(edge("A", "B", state, MAKER), "valve kit").outcome == outcome


@pytest.mark.parametrize(
    ("condition", "code"),
    [
        ("from serial 4000", "SERIAL_RANGE"),
        ("needs adapter AQF-14-18S", "NEEDS_ADAPTER"),
        ("only with the maker's sealant", "NEEDS_SEALANT"),
        ("old-style block only", "OLD_BLOCK"),
        ("water-borne paints only", ""),
    ],
)
def test_conditions_travel_with_their_reason(condition: str, code: str) -> None:
    found = check_edge(edge("A", "B", "accepted", MAKER, condition), "valve kit")
    assert found.outcome == Outcome.MEETS_WITH_CONDITIONS
    assert (found.conditions, found.code) == ((condition,), code)


def test_an_adapter_is_known_by_its_number() -> None:
    assert adapter_named(["from serial 4", "needs adapter AQF-14-18S."]) == "AQF-14-18S"
    assert adapter_named(["no adapter needed", "use an adapter"]) == ""


@pytest.mark.parametrize(
    "condition",
    [
        *("needs adaptor AQF-14", "Adaptor: AQF-14", "with adapter no. AQF-14", "adapter (AQF-14)"),
        *("mit Adapter Nr. AQF-14", "ADAPTER AQF-14.", "needs adapter part number AQF-14"),
    ],
)
def test_an_adapter_is_named_in_whatever_spelling(condition: str) -> None:
    """British and American spelling of one word."""
    assert adapter_named([condition]) == "AQF-14"
    assert adapter_doubt([condition]) == ""
    assert check_edge(edge("A", "B", "accepted", MAKER, condition), "gun").code == "NEEDS_ADAPTER"


@pytest.mark.parametrize(
    ("conditions", "said"),
    [
        (["use an adapter"], "does not name the adapter"),
        (["needs an adaptor"], "does not name the adapter"),
        (["needs adapter AQF 14"], "does not name the adapter"),
        (["needs adapter AQF-14", "needs adaptor CQ-2"], "more than one adapter"),
        (["needs adapters AQF-14 and CQ-2"], "more than one adapter"),
        (["no adapter needed"], ""),
        (["ohne Adapter", "from serial 4000"], ""),
        ([], ""),
    ],
)
def test_an_adapter_that_is_not_named_is_in_doubt(conditions: list[str], said: str) -> None:
    found = adapter_doubt(conditions)
    assert said in found
    assert bool(found) is bool(said)


def test_an_edge_runs_one_way() -> None:
    """Handbook 4: a 5000 psi hose replaces a 3000 one; not the reverse."""
    there = linked("3000", "5000")
    assert [path.parts[-1] for path in paths(("M", "3000"), there)] == [("M", "5000")]
    assert paths(("M", "5000"), there) == []


def test_a_path_carries_all_conditions_and_its_weakest_evidence() -> None:
    walked = [
        *linked("A", "B"),
        *linked("B", "C", evidence=WORD),
        *linked("C", "D", evidence=MEASURED),
    ]
    longest = paths(("M", "A"), walked)[-1]
    assert longest.parts[-1] == ("M", "D")
    assert longest.conditions == ("from A", "from B", "from C")
    assert longest.evidence == WORD
    found = check_path(longest.edges)
    assert (found.outcome, found.conditions) == (Outcome.NOT_SHOWN, longest.conditions)


def test_a_path_of_makers_documents_is_still_only_a_lead() -> None:
    walked = linked("A", "B", "C")
    assert check_path(walked).outcome == Outcome.NOT_SHOWN


def test_a_path_has_at_most_three_edges() -> None:
    reached = [path.parts[-1][1] for path in paths(("M", "A"), linked("A", "B", "C", "D", "E"))]
    assert reached == ["B", "C", "D"]


def test_what_was_rejected_is_neither_walked_nor_reached_by_a_detour() -> None:
    rejected = StandsIn(("M", "A"), ("M", "C"), "rejected", MEASURED)
    reached = [
        path.parts[-1][1] for path in paths(("M", "A"), [*linked("A", "B", "C", "D"), rejected])
    ]
    assert reached == ["B"]
    assert check_path([*linked("A", "B"), rejected]).outcome == Outcome.FAILS


def test_of_two_ways_the_accepted_and_stronger_one_is_shown() -> None:
    strong = [*linked("A", "X"), *linked("X", "Z")]
    weak = [*linked("A", "B", evidence=WORD), *linked("B", "Z", evidence=WORD)]
    [found] = [path for path in paths(("M", "A"), [*weak, *strong]) if path.parts[-1] == ("M", "Z")]
    assert found.parts[1] == ("M", "X")


LEVELS, STATES = (
    st.sampled_from(list(EvidenceLevel)),
    st.sampled_from(["accepted", "proposed", "rejected"]),
)
NAMES = st.sampled_from("ABCDEF")
EDGES = st.lists(
    st.builds(
        lambda one, two, state, level, condition: StandsIn(
            ("M", one), ("M", two), state, level, (condition,) if condition else ()
        ),
        NAMES, NAMES, STATES, LEVELS, st.sampled_from(["", "sealant", "serial 4"]),
    ),
    max_size=14,
)  # fmt: skip


@given(EDGES, NAMES, st.randoms())
def test_paths_hold_their_laws_in_whatever_order_edges_come(edges, asked, random) -> None:
    found = paths(("M", asked), edges)
    shuffled = edges[:]
    random.shuffle(shuffled)
    assert [path.parts for path in paths(("M", asked), shuffled)] == [path.parts for path in found]
    for path in found:
        assert 1 <= len(path.edges) <= MOST_EDGES
        assert len(set(path.parts)) == len(path.parts)
        assert all(
            EVIDENCE_RANK[path.evidence] >= EVIDENCE_RANK[each.evidence] for each in path.edges
        )
        assert {text for each in path.edges for text in each.conditions} == set(path.conditions)
        assert all(each.state != "rejected" for each in path.edges)


@given(LEVELS, STATES, st.sampled_from(["valve kit", "handle", "packing"]))
def test_an_edge_with_a_condition_more_is_never_judged_better(level, state, role) -> None:
    bare = check_edge(edge("A", "B", state, level), role)
    bound = check_edge(edge("A", "B", state, level, "from serial 4000"), role)
    assert GRAVITY[bound.outcome] >= GRAVITY[bare.outcome]


@given(LEVELS, LEVELS, STATES, st.sampled_from(["valve kit", "handle", "packing"]))
def test_weaker_evidence_never_improves_an_accepted_edge(one, two, state, role) -> None:
    if state == "rejected":
        return
    strong, weak = sorted((one, two), key=EVIDENCE_RANK.__getitem__)
    better, worse = (check_edge(edge("A", "B", state, level), role) for level in (strong, weak))
    assert GRAVITY[worse.outcome] >= GRAVITY[better.outcome]


@given(EDGES)
def test_a_path_of_more_than_one_edge_is_never_an_approval(edges) -> None:
    if len(edges) > 1:
        found = check_path(EdgePath(tuple(edges)).edges)
        assert found.outcome in (Outcome.NOT_SHOWN, Outcome.FAILS)
