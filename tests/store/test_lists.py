"""Price lists: stored in bulk, found by hash, and taken back with what only they brought."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PositionDemand
from partsdb.store import (
    catalogue,
    claims,
    edges,
    events,
    lists,
    machines,
    makers,
    offers,
    sql,
)
from partsdb.store.connect import open_database
from partsdb.store.machines import add_position, call_for
from partsdb.store.rows import EdgeDecision, NewClaim, NewEdge, NewOffer, NewPart, Stamp
from partsdb.store.rows_lists import NewDecision, NewLine, NewList, NewReading
from partsdb.store.withdrawal import withdraw_list

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


@pytest.fixture
def saltreeve(shop) -> int:
    return makers.add_supplier("Saltreeve", maker_id=shop.corrowby)


def batch(supplier: int, sha256: str = "00") -> int:
    new = NewList(supplier, "a.csv", sha256, "csv", "GBP", profiles=({"header_row": 3},),
                  assumptions=("decimal mark ','",), skipped=("hidden sheet Intern",))  # fmt: skip
    return lists.add_list(new, by=BY)


def test_a_list_comes_back_whole_and_is_found_by_its_hash(saltreeve):
    number = batch(saltreeve, "ab")
    found = lists.find_list(saltreeve, "ab")
    assert (found.id, found.supplier, found.currency) == (number, "Saltreeve", "GBP")
    assert found.profiles == ({"header_row": 3},)
    assert found.skipped == ("hidden sheet Intern",)
    assert lists.find_list(saltreeve, "cd") is None


def test_one_file_of_a_supplier_is_live_only_once(saltreeve):
    batch(saltreeve)
    with pytest.raises(sqlite3.IntegrityError):
        batch(saltreeve)


def test_a_withdrawn_list_may_be_read_again(saltreeve):
    withdraw_list(batch(saltreeve), "wrong column", by=BY)
    assert lists.find_list(saltreeve, "00") is None
    assert batch(saltreeve) == 2


def test_lines_keep_their_order_their_text_and_their_place(saltreeve):
    number = batch(saltreeve)
    new = [NewLine("Blatt 1", row, "item", {"price": "1,50", "row": row}, code="s-0 1",
                   description="Ventil", notes=("odd",)) for row in (7, 5, 6)]  # fmt: skip
    ids = lists.add_lines(number, new)
    stored = lists.lines_of(number)
    assert [line.id for line in stored] == ids == sorted(ids)
    assert [line.row for line in stored] == [7, 5, 6]
    assert stored[0].fields == {"price": "1,50", "row": 7}
    assert (stored[0].code, stored[0].code_key, stored[0].notes) == ("s-0 1", "S01", ("odd",))


def test_the_newest_reading_of_a_line_counts(shop, saltreeve):
    number = batch(saltreeve)
    first, second = lists.add_lines(number, [NewLine("", n, "item", {}) for n in (2, 3)])
    lists.add_readings(
        [
            NewReading(second, "not ours", 0.5, 1),
            NewReading(first, "to review", 0.4, 1, evidence=({"name": "digits lost"},)),
            NewReading(first, "offer", 0.9, 2, part_id=shop.kit),
        ]
    )
    found = lists.readings_of(number)
    assert [(r.line_id, r.kind, r.part_id) for r in found] == [
        (first, "offer", shop.kit),
        (second, "not ours", None),
    ]


def test_layouts_are_remembered_by_key(saltreeve):
    for profile in ({"a": 1}, {"a": 2}):
        lists.save_profile(saltreeve, "code|price", profile, by=BY)
    lists.save_profile(saltreeve, "other", [1], by=BY)
    assert lists.saved_profiles(saltreeve) == {"code|price": {"a": 2}, "other": [1]}


def test_a_layout_that_was_replaced_or_forgotten_is_known_on_the_days_when_it_stood(path):
    days = ("2026-03-02", "2026-04-07", "2026-05-11")
    first, second, third = (Stamp("Ilse", f"{day}T09:00:00Z") for day in days)
    with open_database(path, write=True):
        supplier = makers.add_supplier("Saltreeve")
        lists.save_profile(supplier, "code|price", {"a": 1}, by=first)
        lists.save_profile(supplier, "code|price", {"a": 1}, by=second)
        lists.save_profile(supplier, "code|price", {"a": 2}, by=second)
        lists.save_profile(supplier, "other", [1], by=second)
        lists.forget_profile(supplier, "code|price", by=third)
        assert lists.saved_profiles(supplier) == {"other": [1]}
    seen = {}
    for day in ("2026-03-01", *days):
        with open_database(path, known_on=day):
            seen[day] = lists.saved_profiles(supplier)
    assert seen == {
        "2026-03-01": {},
        "2026-03-02": {"code|price": {"a": 1}},
        "2026-04-07": {"code|price": {"a": 2}, "other": [1]},
        "2026-05-11": {"other": [1]},
    }


def test_a_layout_that_came_back_stands_once(path):
    days = ("2026-03-02", "2026-03-03", "2026-03-04")
    made, gone, back = (Stamp("Ilse", f"{day}T09:00:00Z") for day in days)
    with open_database(path, write=True):
        supplier = makers.add_supplier("Saltreeve")
        lists.save_profile(supplier, "code|price", {"a": 1}, by=made)
        lists.forget_profile(supplier, "code|price", by=gone)
        lists.save_profile(supplier, "code|price", {"a": 3}, by=back)
    found = []
    for day in days:
        with open_database(path, known_on=day):
            found.append(lists.saved_profiles(supplier))
    assert found == [{"code|price": {"a": 1}}, {}, {"code|price": {"a": 3}}]


def test_a_database_that_kept_no_layouts_of_before_keeps_those_it_has(before_migration):
    place = before_migration("list_profile_past")
    with sqlite3.connect(place) as raw:
        raw.execute("INSERT INTO supplier (name, name_key) VALUES ('Saltreeve', 'SALTREEVE')")
        raw.execute(
            "INSERT INTO list_profile VALUES (1, 'code|price', '{\"a\": 1}', '2026-03-02T09:00:00Z')"
        )
    with open_database(place, write=True):
        assert lists.saved_profiles(1) == {"code|price": {"a": 1}}
        later = Stamp("Ilse", "2026-04-07T09:00:00Z")
        lists.save_profile(1, "code|price", {"a": 2}, by=later)
    with open_database(place, known_on="2026-03-02"):
        assert lists.saved_profiles(1) == {"code|price": {"a": 1}}


def test_a_decision_that_is_taken_back_is_gone(shop, saltreeve):
    keep = lists.add_decision(NewDecision(saltreeve, "S1", "kit", "offer", shop.kit), by=BY)
    gone = lists.add_decision(NewDecision(saltreeve, "S2", "cap", "not ours"), by=BY)
    lists.take_back_decision(gone, by=BY)
    assert [d.id for d in lists.decisions(saltreeve)] == [keep]


def brought_by(number: int, supplier: int, shop, code: str) -> int:
    """Store what reading a line as `replacement` brings, and return the supplier's own part."""
    (line,) = lists.add_lines(number, [NewLine("", 2, "item", {}, code=code)])
    own = catalogue.add_part(NewPart(shop.corrowby, code), by=BY, price_list_id=number)
    offers.add_offers(
        [NewOffer(supplier, own, 5, "GBP", code=code, line_id=line, price_list_id=number)], by=BY
    )
    edges.add_edge(
        NewEdge(shop.kit, own, "proposed", "supplier's word", price_list_id=number), by=BY
    )
    said = Claim(ClaimKind.RATING, "3300 psi", EvidenceLevel.SUPPLIERS_WORD)
    claims.add_claims([NewClaim(own, said, line, number)], by=BY)
    return own


def test_withdrawing_takes_back_offers_claims_edges_and_own_parts(shop, saltreeve):
    number = batch(saltreeve)
    own = brought_by(number, saltreeve, shop, "S-1")
    counts = withdraw_list(number, "prices of last year", by=BY)
    assert counts == {"offers": 1, "claims": 1, "edges": 1, "parts": 1}
    assert catalogue.find_parts("S-1") == []
    assert offers.live_offers([own], "2026-03-10") == []
    assert claims.claims_of([own]) == []
    assert edges.edges_from([shop.kit]) == []
    assert lists.list_row(number).withdrawn_why == "prices of last year"
    assert events.history("price list", number)[0].action == "withdraw"


def test_what_was_there_before_stays(shop, saltreeve):
    number = batch(saltreeve)
    offers.add_offers([NewOffer(saltreeve, shop.kit, 5, "GBP", price_list_id=number)], by=BY)
    withdraw_list(number, "", by=BY)
    assert catalogue.find_parts("24-1180") != []


def test_a_part_that_another_list_offers_stays_as_a_part_of_that_list(shop, saltreeve):
    first, second = batch(saltreeve, "01"), batch(saltreeve, "02")
    own = brought_by(first, saltreeve, shop, "S-1")
    brought_by(second, saltreeve, shop, "S-1")
    assert withdraw_list(first, "", by=BY)["parts"] == 0
    assert catalogue.part_rows([own])[own].price_list_id == second
    assert withdraw_list(second, "", by=BY)["parts"] == 1


def test_a_part_that_the_shop_decided_about_becomes_the_shops_own(shop, saltreeve):
    number = batch(saltreeve)
    own = brought_by(number, saltreeve, shop, "S-1")
    edge = edges.edge_of(shop.kit, own)
    edges.decide_edge(edge.id, EdgeDecision("accepted", "measured here", "sheet 9"), by=BY)
    withdraw_list(number, "", by=BY)
    assert [p.price_list_id for p in catalogue.find_parts("S-1")] == [None]
    assert [e.state for e in edges.edges_from([shop.kit])] == ["accepted"]


def test_a_part_that_a_machine_calls_for_stays(shop, saltreeve):
    number = batch(saltreeve)
    own = brought_by(number, saltreeve, shop, "S-1")
    q33 = machines.add_machine(shop.quillmere, "Q33")
    call_for(add_position(q33, PositionDemand("Q33", "bypass", "valve kit")), own)
    assert withdraw_list(number, "", by=BY)["parts"] == 0


def test_a_part_comes_back_with_the_list_that_brings_it_again(shop, saltreeve):
    first = batch(saltreeve, "01")
    own = brought_by(first, saltreeve, shop, "S-1")
    withdraw_list(first, "", by=BY)
    second = batch(saltreeve, "02")
    assert brought_by(second, saltreeve, shop, "S-1") == own
    assert [p.price_list_id for p in catalogue.find_parts("S-1")] == [second]


def test_withdrawing_twice_or_nothing_is_refused(saltreeve):
    number = batch(saltreeve)
    withdraw_list(number, "", by=BY)
    with pytest.raises(UsageError, match="withdrawn already"):
        withdraw_list(number, "", by=BY)
    with pytest.raises(NotFoundError):
        withdraw_list(99, "", by=BY)


def test_the_history_cannot_be_changed(opened):
    events.record("add", ("part", 1), {"number": "24-1180"}, by=BY)
    for statement in ("UPDATE event SET who = 'x'", "DELETE FROM event"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            sql.run(statement)


def test_a_setting_tells_what_it_was(opened):
    assert events.setting("home_currency", "EUR") == "EUR"
    for value in ("EUR", "GBP"):
        events.set_setting("home_currency", value, by=BY)
    assert events.setting("home_currency") == "GBP"
    assert events.history("setting")[0].detail == {
        "name": "home_currency", "was": "EUR", "is": "GBP",
    }  # fmt: skip
