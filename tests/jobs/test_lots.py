"""Receiving, inspecting, holding and counting lots in the invented shop."""

from __future__ import annotations

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs import lots as job
from partsdb.jobs.grade import set_grade
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.named import the_part
from partsdb.jobs.who import stamp
from partsdb.store import bench_record, events
from partsdb.store.connect import open_database

PACKING, O_RING = "25-1258", "29-1234"


def receive(number="24-1180", units=12, supplier="Kestrow", **more) -> job.LotCard:
    return job.receive(ReceiveAsk(number, supplier, units, "2026-11-20", **more), stamp())


def inspect(lot: str, sampled: int, rejected: int = 0, **found: int) -> job.LotCard:
    return job.inspect(InspectAsk(lot, sampled, rejected, found), stamp())


def test_a_receipt_says_how_many_to_take_and_what_to_measure(in_shop):
    card = receive(label="B7", document="cert 88")
    assert (card.lot, card.state, card.on_hand, card.may_be_used) == ("B7", "held", 12, 0)
    assert card.plan.n == 11  # N 12, one bad: C(11,n)/C(12,n) = (12-n)/12 <= 0.10, by hand
    assert "hardness of the ball" in {m.check for m in card.measure}
    assert card.inspections == ()


def test_a_receipt_without_certificate_says_so(in_shop):
    assert any("certificate" in note for note in receive().notes)
    assert not any("certificate" in note for note in receive(document="cert 88").notes)


def test_a_clean_sample_accepts_the_lot(in_shop):
    receive(label="B7")
    card = inspect("B7", 11)
    assert (card.state, card.may_be_used) == ("accepted", 12)
    assert card.inspections[0].decision == "accept"


def test_too_small_a_sample_leaves_the_lot_on_hold(in_shop):
    receive(label="B7")
    card = inspect("B7", 10)
    assert (card.state, card.inspections[0].decision) == ("held", "hold")


def test_one_reject_sends_a_pressure_lot_back(in_shop):
    receive(label="B7")
    card = inspect("B7", 11, 1, thread=1)
    assert (card.inspections[0].decision, card.may_be_used) == ("return", 0)
    assert card.inspections[0].found == {"thread": 1}
    back = job.take_out("B7", "returned", 12, "thread", stamp())
    assert (back.state, back.on_hand) == ("returned", 0)


def test_a_later_failure_takes_an_accepted_lot_off_the_shelf(in_shop):
    receive(label="B7")
    inspect("B7", 11)
    assert inspect("B7", 12, 1).may_be_used == 0


def test_switching_is_kept_per_source_and_kind_of_part(in_shop):
    for number in range(2):
        receive(PACKING, 20, label=f"P{number}")
        inspect(f"P{number}", 20, 20)
    assert receive(PACKING, 200).plan.severity == "tightened"
    # Another source, and another class of part of the same source, are a first lot still.
    assert receive(PACKING, 200, "Saltreeve").plan.scheme == "zero acceptance"
    assert receive(O_RING, 200).plan.scheme == "zero acceptance"


def test_the_plan_of_an_inspected_lot_does_not_change_with_what_comes_after(in_shop):
    receive(PACKING, 200, label="P0")
    before = inspect("P0", 200).plan
    for number in range(1, 4):
        receive(PACKING, 20, label=f"P{number}")
        inspect(f"P{number}", 20, 20)
    assert job.lot_card("P0").plan == before


def test_a_supplier_graded_d_has_every_piece_inspected(in_shop):
    assert receive(units=200, supplier="Ninefold").plan.n == 200


def test_a_barred_supplier_leaves_nothing_to_use(in_shop):
    receive(label="B7")
    assert inspect("B7", 11).may_be_used == 12
    set_grade("supplier", "Kestrow", "barred", reason="false certificate", evidence="")
    assert job.lot_card("B7").may_be_used == 0


@pytest.mark.parametrize(("action", "state"), [("hold", "held"), ("bar", "barred")])
def test_a_lot_held_or_barred_is_released_only_with_a_reason(in_shop, action, state):
    receive(label="B7")
    inspect("B7", 11)
    with pytest.raises(UsageError, match="without a reason"):
        job.change_state(["B7"], action, " ", stamp())
    [card] = job.change_state(["B7"], action, "customer complaint", stamp())
    assert (card.state, card.may_be_used) == (state, 0)
    [card] = job.change_state(["B7"], "release", "our own mistake", stamp())
    assert (card.state, card.may_be_used) == ("accepted", 12)
    assert [note.split(":")[0] for note in card.notes][-2:] == [action, "release"]


def test_a_lot_never_inspected_is_not_released(in_shop):
    receive(label="B7")
    with pytest.raises(UsageError, match="never inspected"):
        job.change_state(["B7"], "release", "in a hurry", stamp())


def test_a_barred_lot_is_not_inspected_back_into_use(in_shop):
    receive(label="B7")
    inspect("B7", 11)
    job.change_state(["B7"], "bar", "recall", stamp())
    with pytest.raises(UsageError, match="barred"):
        inspect("B7", 12)


def test_a_count_short_of_the_books_is_reported_and_not_offered(in_shop):
    receive(label="B7")
    inspect("B7", 11)
    job.take_out("B7", "written off", 2, "cut open", stamp())
    card = job.count("B7", 7, stamp())
    assert (card.balance.gap, card.on_hand, card.may_be_used) == (3, 7, 7)
    assert any("3 units are not accounted for" in note for note in card.notes)
    found_again = job.count("B7", 10, stamp())
    assert (found_again.balance.gap, found_again.on_hand) == (0, 10)


def test_no_more_leaves_a_lot_than_it_holds(in_shop):
    receive(label="B7")
    for units in (13, 0, -1):
        with pytest.raises(UsageError, match="12 are on hand"):
            job.take_out("B7", "written off", units, "", stamp())


def test_an_unknown_lot_supplier_or_check_is_refused(in_shop):
    with pytest.raises(NotFoundError, match="lot 'B7'"):
        job.lot_card("B7")
    with pytest.raises(NotFoundError, match="supplier"):
        receive(supplier="Nobody")
    receive(label="B7")
    with pytest.raises(UsageError, match="'colour' is not looked at"):
        inspect("B7", 11, 1, colour=1)
    with pytest.raises(UsageError, match="none"):
        receive(units=0)


def test_the_lots_are_listed_by_part_supplier_and_state(in_shop):
    receive(label="B7")
    receive(PACKING, 5, "Saltreeve", label="P1")
    inspect("B7", 11)
    assert [row["lot"] for row in job.lot_list()] == ["B7", "P1"]
    assert [row["lot"] for row in job.lot_list("24-1180")] == ["B7"]
    assert [row["lot"] for row in job.lot_list(supplier="Saltreeve")] == ["P1"]
    assert [row["lot"] for row in job.lot_list(state="accepted")] == ["B7"]


def test_everything_done_to_a_lot_is_in_the_history(in_shop):
    receive(label="B7")
    inspect("B7", 11)
    job.take_out("B7", "returned", 1, "", stamp())
    job.count("B7", 11, stamp())
    actions = [event.action for event in events.history("lot")]
    assert actions == ["count", "returned", "inspect", "receive"]


def test_an_old_day_knows_only_what_was_received_and_taken_by_then(shop):
    with open_database(shop, write=True):
        receive(label="B7")
        inspect("B7", 11)
        job.receive(ReceiveAsk("24-1180", "Kestrow", 3, "2026-12-01", label="B8"), stamp())
        part = the_part("24-1180")
        row = job.the_lot("B7")
        work = bench_record.open_job("2026-12-01", None, serial="", customer_ref="", note="")
        bench_record.add_fitting(work, part.id, lot_id=row.id, place=None, units=2, at="2026-12-01")
    for day, lots, left in (("2026-11-30", ["B7"], 12), ("2026-12-02", ["B7", "B8"], 10)):
        with open_database(shop, known_on=day):
            assert [each["lot"] for each in job.lot_list()] == lots
            assert job.lot_list()[0]["on_hand"] == left
