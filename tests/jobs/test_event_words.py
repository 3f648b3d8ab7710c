"""The history in words: names for ids, money with its currency, what changed and nothing else."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_shop import BY, SmallShop

from partsdb.jobs.event_names import EventNames
from partsdb.jobs.event_words import words_of
from partsdb.store import events, makers
from partsdb.store.rows import EventRow


@pytest.fixture
def ids(small: SmallShop) -> dict[str, int]:
    parts = {number: small.part(number) for number in ("24-1180", "24-1182")}
    maker = makers.find_maker("Quillmere")
    assert maker is not None
    return parts | {"maker": maker.id, "supplier": small.supplier("Kestrow")}


def told(action: str, subject: tuple[str, int | None], detail: dict[str, object]) -> str:
    """Record the event and return subject and words."""
    events.record(action, subject, detail, by=BY)
    [event] = events.history(limit=1)
    names = EventNames([event])
    return f"{names.subject(event)}: {words_of(event, names)}"


def test_a_decision_about_two_parts_names_both_with_evidence_and_conditions(ids):
    edge = {"asked_id": ids["24-1180"], "fitted_id": ids["24-1182"], "state": "accepted",
            "evidence": "measured here", "source": "sheet 51", "conditions": ["dry fit"],
            "line_id": None, "price_list_id": None}  # fmt: skip
    was = {**edge, "state": "proposed", "evidence": "supplier's word"}
    assert told("decide", ("part", ids["24-1180"]), {"is": edge, "was": was}) == (
        "part Quillmere 24-1180: Quillmere 24-1182 for Quillmere 24-1180: accepted, measured here"
        " (sheet 51); dry fit; was proposed, supplier's word"
    )


@pytest.mark.parametrize(
    ("new", "words"),
    [
        ("24-1182", "is replaced by Quillmere 24-1182, from 2026-03-01, from serial 4000 (QB-98)"),
        (None, "has ended, from 2026-03-01, from serial 4000 (QB-98)"),
    ],
)
def test_a_supersession_says_what_comes_after_and_from_when(ids, new, words):
    row = {"id": 0, "old_id": ids["24-1180"], "new_id": ids[new] if new else None,
           "from_date": "2026-03-01", "serial_from": "4000", "serial_to": "", "source": "QB-98"}  # fmt: skip
    said = told("supersede", ("part", ids["24-1180"]), {"is": row, "was": []})
    assert said == f"part Quillmere 24-1180: Quillmere 24-1180 {words}"


def test_claims_and_contents_are_told_piece_by_piece(ids):
    claim = {"kind": "rating", "basis": "working", "value": "3300 psi",
             "evidence": "maker's document", "source": "QH-7"}  # fmt: skip
    part = ("part", ids["24-1180"])
    assert told("claim", part, {"claims": [claim]}).endswith(
        ": rating working 3300 psi (maker's document)"
    )
    ball = {"item": "Ball", "kind": "wear item", "material": "440C", "quantity": 1,
            "role": "ball", "size": "3/8 in"}  # fmt: skip
    seat = {"item": "Seat", "kind": "wear item", "material": "", "quantity": 0, "role": "seat"}
    said = told("contents", part, {"is": [ball, seat], "was": [ball]})
    assert said.endswith(": 1 x Ball (440C, 3/8 in), Seat; was: 1 x Ball (440C, 3/8 in)")


@pytest.mark.parametrize(
    ("detail", "words"),
    [
        ({"was": "B", "is": "A", "reason": "clean"}, "was B; is A; reason clean"),
        ({"was": "", "is": "A", "reason": "clean"}, "A; reason clean"),
        ({"file": "list.csv", "sha256": "ace7"}, "file list.csv"),
        (
            {"why": "wrong", "offers": 547, "claims": 1, "edges": 0, "parts": 172},
            "1 claim, 0 edges, 547 offers, 172 parts, why wrong",
        ),
        ({"was": "held", "reason": "cracked body"}, "was held; reason cracked body"),
        ({"is": {"hourly_minor": 6800, "currency": "EUR"}}, "currency EUR, hourly 68.00 EUR"),
        ({"is": {"hourly_minor": 6800, "currency": "JPY"}}, "currency JPY, hourly 6800 JPY"),
        (
            {"is": {"brokerage_minor": 950, "brokerage_currency": "GBP", "currency": "USD"}},
            "brokerage 9.50 GBP, currency USD",
        ),
        (
            {"was": {"role": "ball", "origin": "GB"}, "is": {"role": "seat", "origin": "GB"}},
            "role was ball, is seat",
        ),
        ({"was": {"origin": "", "n": 1}, "is": {"origin": "GB", "n": 1}}, "origin GB"),
        ({"was": {"origin": "GB"}, "is": {"origin": ""}}, "origin was GB, is gone"),
        ({"is": {"serviced": True, "fluids": ["water", "oil"]}}, "fluids water; oil, serviced yes"),
        ({"is": {"materials": [["ball", "440C"], ["seat", "WC"]]}}, "materials ball 440C; seat WC"),
        ({"is": [{"rate": str(n)} for n in range(10)]}, "; ".join(
            f"rate {n}" for n in range(8)) + "; and 2 more"),
        ({"customer": "C-17", "serial": ""}, "customer C-17"),
        ({}, ""),
    ],
)  # fmt: skip
def test_any_other_event_is_told_by_its_facts_without_code(ids, detail, words):
    assert told("x", ("supplier", ids["supplier"]), detail) == f"supplier Kestrow: {words}"


def test_ids_of_makers_and_parts_become_names(ids):
    detail = {"is": {"maker_id": ids["maker"], "part_id": ids["24-1180"]}}
    assert told("x", ("price list", 3), detail) == (
        "batch 3: maker Quillmere, part Quillmere 24-1180"
    )


@pytest.mark.parametrize("kind", ["part", "lot", "position", "recipe", "colour"])
def test_a_thing_that_is_not_stored_any_more_keeps_its_number(ids, kind):
    assert told("x", (kind, 9999), {}) == f"{kind} 9999: "
    assert told("set", ("setting", None), {"name": "n", "was": "1", "is": "2"}).startswith(
        "setting: "
    )


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-9, 9_999) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(
            ["is", "was", "part_id", "maker_id", "hourly_minor", "currency", "claims", "lines",
             "conditions", "items", "source"]
        ),
        inner,
        max_size=4,
    ),
    max_leaves=8,
)  # fmt: skip


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from(["is", "was", "lines", "why", "part_id"]), JSON))
def test_whatever_an_event_holds_is_told_in_words(in_shop, detail):
    event = EventRow(1, BY.at, BY.who, "x", "supplier", 1, detail)
    said = words_of(event, EventNames([event]))
    assert isinstance(said, str)
    assert said == words_of(event, EventNames([event]))


def test_no_event_of_the_demo_shop_shows_code_or_a_bare_id(in_shop_with_lists):
    rows: list[EventRow] = events.history(limit=100_000)
    names = EventNames(rows)
    for event in rows:
        said = f"{names.subject(event)} {words_of(event, names)}"
        assert not set(said) & set("{}[]\\"), said
        assert "_id" not in said and "_minor" not in said and "None" not in said, said
        assert "smallest coins" not in said
