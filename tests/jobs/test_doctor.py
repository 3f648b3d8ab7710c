"""The check-up: every kind of fault and gap is found, named, and said what to do about."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from partsdb.jobs.doctor import DoctorAnswer, Finding, cycles, doctor
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PositionDemand
from partsdb.rules.pressure import demand
from partsdb.store import catalogue, claims, edges, lists, machines, makers, offers, sql, terms
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import FxRow, NewClaim, NewEdge, NewOffer, NewPart, Stamp, Terms
from partsdb.store.rows_lists import NewList

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")
DAY = "2026-03-10"


@pytest.fixture
def parts(tmp_path: Path) -> Iterator[list[int]]:
    """A valve kit, its copy and a hose, in an open database that is sound."""
    place = tmp_path / "shop.db"
    init_database(place)
    with open_database(place, write=True):
        maker = makers.add_maker("Quillmere")
        rows = [("24-1180", "valve kit"), ("24-1182", "valve kit"), ("27-1", "hose")]
        ids = catalogue.add_parts([NewPart(maker, n, "", role) for n, role in rows], by=BY)
        for part_id in ids[:2]:
            claims.set_contents(part_id, [])
        yield ids


def found(check: str) -> Finding:
    (finding,) = [each for each in doctor(DAY).findings if each.check == check]
    assert finding.hint
    assert finding.message
    return finding


def test_a_sound_database_has_no_findings(parts):
    answer = doctor(DAY)
    assert answer == DoctorAnswer(True, (), answer.rows)
    assert answer.rows["part"] == 3


def test_a_stored_key_that_is_wrong_is_a_fault(parts):
    sql.run("UPDATE part SET number_key = 'X' WHERE id = ?", (parts[0],))
    finding = found("keys")
    assert (finding.level, finding.examples) == ("fault", ("Quillmere 24-1180",))
    assert doctor(DAY).is_sound is False


def test_a_row_that_refers_to_nothing_is_a_fault(parts):
    sql.run("PRAGMA defer_foreign_keys = 1")
    sql.insert("maker_alias", "alias_key, alias, maker_id", ("x", "x", 999))
    assert "maker_alias refers to a missing maker" in found("file").examples[0]
    sql.run("DELETE FROM maker_alias")


@pytest.mark.parametrize(
    ("evidence", "source", "is_weak"),
    [
        ("supplier's word", "row 7", True),
        ("supplier's document", "sheet", True),
        ("maker's document", "", True),
        ("maker's document", "QB-114", False),
        ("measured here", "sheet 7", False),
    ],
)
def test_an_approval_of_a_pressure_part_without_evidence_is_a_fault(
    parts, evidence, source, is_weak
):
    """Trade handbook 4: a maker's document or a measurement here, and every figure has a source."""
    edges.add_edge(NewEdge(*parts[:2], "accepted", evidence, source=source), by=BY)
    weak = [f for f in doctor(DAY).findings if f.check == "approvals"]
    assert bool(weak) is is_weak
    if weak:
        assert weak[0].examples == ("Quillmere 24-1180 -> Quillmere 24-1182",)


@pytest.mark.parametrize(
    ("pairs", "circles"),
    [
        ([], []),
        ([("a", "b"), ("b", "c")], []),
        ([("b", "c"), ("c", "a"), ("a", "b")], ["a -> b -> c -> a"]),
        ([("a", "b"), ("b", "a"), ("b", "c"), ("c", "b")], ["a -> b -> a", "b -> c -> b"]),
        ([("x", "a"), ("a", "a")], ["a -> a"]),
        ([("a", "c"), ("b", "c"), ("c", "d")], []),
    ],
)
def test_each_circle_of_successors_is_named_once(pairs, circles):
    assert cycles(pairs) == circles
    assert cycles(pairs[::-1]) == circles


def test_a_long_chain_of_successors_is_walked_to_its_end():
    chain = [(f"{n:05}", f"{n + 1:05}") for n in range(3000)]
    assert cycles(chain) == []
    assert len(cycles([*chain, ("03000", "00000")])) == 1


def test_what_a_pressure_position_calls_for_must_be_rated(parts):
    maker = makers.find_maker("Quillmere").id
    q33 = machines.add_machine(maker, "Q33")
    place = machines.add_position(q33, PositionDemand("Q33", "hose", "hose", demand("3300 psi")))
    machines.call_for(place, parts[2])
    assert found("ratings").examples == ("Quillmere 27-1",)
    rated = Claim(ClaimKind.RATING, "3300 psi", EvidenceLevel.MAKERS_DOCUMENT, source="QH-7")
    claims.add_claims([NewClaim(parts[2], rated)], by=BY)
    assert doctor(DAY).findings == ()


def test_a_pressure_position_must_state_its_demand(parts):
    q33 = machines.add_machine(makers.find_maker("Quillmere").id, "Q33")
    machines.add_position(q33, PositionDemand("Q33", "gun", "gun"))
    machines.add_position(q33, PositionDemand("Q33", "lever", "handle"))
    assert found("demands").examples == ("Q33: gun",)


def test_a_rating_that_shows_nothing_is_a_gap(parts):
    said = Claim(ClaimKind.RATING, "heavy duty", EvidenceLevel.SUPPLIERS_WORD)
    claims.add_claims([NewClaim(parts[2], said)], by=BY)
    assert found("readings").examples == ("Quillmere 27-1: heavy duty",)


def test_a_kit_without_contents_and_a_part_without_role_are_gaps(parts):
    maker = makers.find_maker("Quillmere").id
    catalogue.add_parts([NewPart(maker, "25-1", "", "packing kit"), NewPart(maker, "9", "")], by=BY)
    assert found("contents").examples == ("Quillmere 25-1",)
    assert found("roles").examples == ("no role (1)",)


def test_only_five_examples_are_shown_and_all_are_counted(parts):
    maker = makers.find_maker("Quillmere").id
    catalogue.add_parts([NewPart(maker, f"25-{n}", "", "packing kit") for n in range(9)], by=BY)
    finding = found("contents")
    assert (finding.count, len(finding.examples)) == (9, 5)


def test_prices_that_cannot_be_landed_are_gaps(parts):
    ninefold = makers.add_supplier("Ninefold")
    new = NewList(ninefold, "a.csv", "00", "csv", "USD", valid_to="2026-03-09")
    number = lists.add_list(new, by=BY)
    offers.add_offers([NewOffer(ninefold, parts[0], 5, "USD", price_list_id=number)], by=BY)
    assert found("terms").examples == ("Ninefold",)
    assert found("rates").examples == ("USD: none",)
    assert found("lists").examples == ("Ninefold: a.csv (to 2026-03-09)",)
    terms.add_terms(Terms(ninefold, "2026-01-01", "USD"), by=BY)
    terms.add_fx_rates([FxRow("2026-03-02", "USD", "1.08", "x")])
    assert found("rates").examples == ("USD: last of 2026-03-02",)
    terms.add_fx_rates([FxRow("2026-03-03", "USD", "1.08", "x")])
    assert [f.check for f in doctor(DAY).findings] == ["lists"]
