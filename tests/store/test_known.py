"""What was known on a day: whatever was entered, corrected or withdrawn later changes nothing."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from partsdb.errors import UsageError
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.store import (
    catalogue,
    claims,
    edges,
    events,
    grades,
    known,
    makers,
    offers,
    sql,
    terms,
)
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import (
    DutyRow,
    EdgeDecision,
    FxRow,
    NewClaim,
    NewEdge,
    NewOffer,
    NewPart,
    Stamp,
    SupersessionRow,
    Terms,
)

THEN, LATER = "2026-03-02", "2026-04-07"
FIRST, SECOND = Stamp("Ilse", f"{THEN}T09:30:00Z"), Stamp("Ilse", f"{LATER}T08:00:00Z")
DOCUMENT = EvidenceLevel.MAKERS_DOCUMENT


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A database in which everything that was known in March is otherwise in April."""
    path = tmp_path / "shop.db"
    init_database(path)
    with open_database(path, write=True):
        _march()
        _april()
    return path


def _march() -> None:
    maker, seller = makers.add_maker("Quillmere"), makers.add_supplier("Kestrow")
    catalogue.add_parts([NewPart(maker, n) for n in ("A", "B")], by=FIRST)
    offers.add_offers([NewOffer(seller, 1, 100_000, "EUR", "K1")], by=FIRST)
    claims.add_claims([NewClaim(1, Claim(ClaimKind.RATING, "3300 psi", DOCUMENT))], by=FIRST)
    edges.add_edge(NewEdge(1, 2, "accepted", DOCUMENT, ("from serial 4000",)), by=FIRST)
    grades.set_grade(("supplier", seller), "A", reason="new", evidence="", by=FIRST)
    terms.add_terms(Terms(seller, "2026-01-01", "EUR", freight_minor=500), by=FIRST)
    terms.add_fx_rates([FxRow("2026-03-02", "USD", "1.10", "bank")], at=FIRST.at)
    terms.add_duty_rates([DutyRow("8424.90", "", "0.017", "2026-01-01", None, "law")], at=FIRST.at)


def _april() -> None:
    # Dated back, as a correction is: the day that it speaks of lies before the day it was entered.
    seller = 1
    catalogue.add_parts([NewPart(1, "C")], by=SECOND)
    offers.add_offers([NewOffer(seller, 1, 50_000, "EUR", "K1", valid_from=THEN)], by=SECOND)
    new = Claim(ClaimKind.RATING, "2500 psi", DOCUMENT)
    claims.add_claims([NewClaim(1, new, supersedes_id=1)], by=SECOND)
    edges.decide_edge(1, EdgeDecision("rejected", DOCUMENT), by=SECOND)
    edges.add_supersession(SupersessionRow(0, 1, 3, THEN, "", "", "sheet"), by=SECOND)
    grades.set_grade(("supplier", seller), "barred", reason="late", evidence="", by=SECOND)
    terms.add_terms(Terms(seller, "2026-01-01", "EUR", freight_minor=900), by=SECOND)
    terms.add_fx_rates([FxRow("2026-03-02", "USD", "1.20", "corrected")], at=SECOND.at)
    terms.add_duty_rates([DutyRow("8424.90", "", "0.05", "2026-01-01", None, "law")], at=SECOND.at)


@pytest.fixture(params=["", THEN])
def known_on(request: pytest.FixtureRequest, place: Path) -> Iterator[str]:
    with open_database(place, known_on=request.param):
        yield request.param


def test_offers_entered_later_are_not_there(known_on):
    (offer,) = offers.live_offers([1], THEN)
    assert offer.price_e4 == (100_000 if known_on else 50_000)


def test_claims_superseded_later_still_stand(known_on):
    (claim,) = claims.claims_of([1])
    assert claim.claim.value == ("3300 psi" if known_on else "2500 psi")
    assert claims.part_facts([1])[1].claims == (claim.claim,)


def test_decisions_taken_later_are_not_taken(known_on):
    (edge,) = edges.edges_from([1])
    assert edge.state == ("accepted" if known_on else "rejected")
    assert edge.conditions == ("from serial 4000",)
    assert len(edges.supersessions_around([1])) == (0 if known_on else 1)


def test_grades_given_later_are_not_given(known_on):
    assert grades.grades_for_suppliers([1])[1].grade == ("A" if known_on else "barred")


def test_terms_and_rates_corrected_later_are_as_they_were(known_on):
    assert terms.terms_as_of(1, THEN).freight_minor == (500 if known_on else 900)
    assert terms.fx_rates("USD", THEN).per_eur == ("1.10" if known_on else "1.20")
    assert [row.per_eur for row in terms.latest_fx(LATER)] == ["1.10" if known_on else "1.20"]
    assert terms.duty_rate("8424.90", "GB", THEN).rate == ("0.017" if known_on else "0.05")


def test_parts_stay_for_the_machines_and_recipes_that_call_for_them(known_on):
    assert len(catalogue.find_parts("C")) == 1


def test_what_was_withdrawn_later_is_not_withdrawn_yet(tmp_path, place):
    other = Path(shutil.copy(place, tmp_path / "other.db"))
    with open_database(other, write=True):
        claims.withdraw_claim(1, by=SECOND)
        edges.withdraw_supersession(1, by=SECOND)
    with open_database(other, known_on=THEN):
        assert [row.claim.value for row in claims.claims_of([1])] == ["3300 psi"]
    with open_database(other, known_on=LATER):
        assert [row.claim.value for row in claims.claims_of([1])] == ["2500 psi"]


def test_nothing_was_known_before_the_first_entry(place):
    with open_database(place, known_on="2026-03-01"):
        assert offers.live_offers([1], THEN) == []
        assert claims.claims_of([1]) == []


def test_the_end_of_the_day_is_in_it_and_the_next_opening_sees_all(place):
    with open_database(place, known_on=LATER):
        assert offers.live_offers([1], THEN)[0].price_e4 == 50_000
    with open_database(place):
        assert len(catalogue.find_parts("C")) == 1


def test_the_past_is_not_written_to(place):
    with (
        pytest.raises(UsageError, match="cannot be changed"),
        open_database(place, write=True, known_on=THEN),
    ):
        pass


def test_what_is_no_day_is_refused(place):
    with pytest.raises(UsageError, match="is no date"), open_database(place, known_on="soon' --"):
        pass


def test_an_offer_that_was_let_through_later_still_waits(tmp_path, place):
    other = Path(shutil.copy(place, tmp_path / "other.db"))
    with open_database(other, write=True):
        listed = _a_list_with_a_held_offer()
        assert offers.held_offers(listed) == {1: "price +30 %"}
        offers.release_offers([1])
        detail = {"lines": {"K9": "price +30 %"}}
        events.record("accept changes", ("price list", listed), detail, by=SECOND)
    with open_database(other, known_on=THEN):
        assert offers.held_offers(listed) == {1: "price +30 %"}
        assert offers.live_offers([2], THEN) == []
    with open_database(other, known_on=LATER):
        assert [offer.code for offer in offers.live_offers([2], THEN)] == ["K9"]


def _a_list_with_a_held_offer() -> int:
    sql.run(
        "INSERT INTO price_list (id, supplier_id, file_name, sha256, reader, read_at, read_by)"
        " VALUES (1, 1, 'k.csv', 'x', 'csv', ?, 'Ilse')",
        (FIRST.at,),
    )
    sql.run(
        "INSERT INTO line (id, price_list_id, sheet, row, kind, code, fields)"
        " VALUES (1, 1, '', 2, 'item', 'K9', '{}')"
    )
    waits = NewOffer(1, 2, 90_000, "EUR", "K9", line_id=1, price_list_id=1, held="price +30 %")
    offers.add_offers([waits], by=FIRST)
    return 1


def test_a_setting_is_what_it_was_and_what_was_never_set_is_not(tmp_path, place):
    other = Path(shutil.copy(place, tmp_path / "other.db"))
    with open_database(other, write=True):
        for name, value, by in (("vat_rate", "0.1", FIRST), ("vat_rate", "0.2", SECOND),
                                ("vat_rate", "0.3", SECOND), ("price_jump", "0.5", SECOND)):  # fmt: skip
            events.set_setting(name, value, by=by)
    with open_database(other, known_on=THEN):
        assert [events.setting(name) for name in ("vat_rate", "price_jump")] == ["0.1", ""]
    with open_database(other, known_on=LATER):
        assert [events.setting(name) for name in ("vat_rate", "price_jump")] == ["0.3", "0.5"]


@pytest.mark.parametrize(
    ("day", "by", "after"),
    [("2026-03-01", False, True), (THEN, True, True), (LATER, True, False)],
)
def test_what_was_entered_by_a_day_and_after_it(place, day, by, after):
    with open_database(place):
        assert (known.entered_by(day), known.entered_after(day)) == (by, after)
