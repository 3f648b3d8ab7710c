"""Recalls in the invented shop: who has it, who may have it, what is left."""

from __future__ import annotations

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs import bench_jobs, lots
from partsdb.jobs.bench_jobs import ComebackAsk, FitAsk
from partsdb.jobs.cards import part_card
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.trace import TraceAsk, trace_recall
from partsdb.jobs.trace_answers import TraceAnswer
from partsdb.jobs.who import stamp

DAY, TODAY = "2026-06-01", "2026-11-20"


def stock(label: str, number="24-1180", units=5, supplier="Kestrow", day=DAY, **more) -> None:
    lots.receive(ReceiveAsk(number, supplier, units, day, label=label, **more), stamp())
    lots.inspect(InspectAsk(label, units, 0, {}), stamp())


def fit(serial: str, lot="", number="24-1180", customer="C-1", machine="Q33", at=DAY) -> int:
    job = bench_jobs.open_job(machine, at, serial=serial, customer=customer, note="", by=stamp())
    card = bench_jobs.fit(FitAsk(job.job, number, lot=lot), at, stamp())
    return card.fittings[-1].id


def traced(**what: object) -> TraceAnswer:
    return trace_recall(TraceAsk(TODAY, **what))


@pytest.fixture
def two_lots(in_shop):
    stock("B7", bin="4", order_ref="PO 31/2", document="cert 88, p. 2")
    stock("B8")
    fit("4711", "B7", customer="C-17")
    fit("4712", "B7", customer="C-9")
    fit("4713", "B8", customer="C-17")


def test_a_lot_leads_to_its_machines_serials_and_customers_and_no_others(two_lots):
    found = traced(lot="b7")
    assert [(m.customer_ref, m.serial, m.lot) for m in found.machines] == [
        ("C-17", "4711", "B7"),
        ("C-9", "4712", "B7"),
    ]
    assert found.customers == ("C-17", "C-9")
    assert {m.machine for m in found.machines} == {"Quillmere Q33"}
    assert {m.position for m in found.machines} == {"bypass valve"}


def test_the_chain_from_the_order_to_the_bin_is_on_the_sheet(two_lots):
    """Handbook 7: supplier, PO line, receipt, lot, bin, job line, serial, customer."""
    [lot] = traced(lot="B7").lots
    assert (lot.supplier, lot.order_ref, lot.received_at, lot.bin) == (
        "Kestrow", "PO 31/2", DAY, "4",
    )  # fmt: skip
    assert (lot.document, lot.on_hand, lot.state) == ("cert 88, p. 2", 3, "accepted")


def test_what_is_left_is_counted_and_a_gap_is_reported(two_lots):
    lots.take_out("B7", "written off", 1, "cut open", stamp())
    lots.count("B7", 1, stamp())
    found = traced(lot="B7")
    assert (found.total.received, found.total.fitted, found.total.written_off) == (5, 2, 1)
    assert (found.on_hand, found.total.gap) == (1, 1)
    assert any("does not balance: look for 1" in each for each in found.to_do)
    assert any("take 1 unit off the shelf (bin 4)" in each for each in found.to_do)


def test_a_fitting_that_names_no_lot_may_carry_it(two_lots):
    fit("4714", "", customer="C-3", at="2026-07-01")
    fit("4700", "", customer="C-2", at="2026-05-31")  # a day before the lot came
    found = traced(lot="B7")
    assert [m.serial for m in found.may_carry] == ["4714"]
    assert any("without a lot" in each for each in found.to_do)


def test_a_second_receipt_of_the_same_label_is_recalled_as_well(two_lots):
    lots.receive(ReceiveAsk("24-1180", "Kestrow", 4, "2026-07-01", label="B7"), stamp())
    found = traced(lot="B7")
    assert [lot.lot for lot in found.lots] == ["B7", "B7/2"]
    assert found.total.received == 9
    assert [lot.lot for lot in traced(lot="B7/2").lots] == ["B7/2"]


def test_a_comeback_is_on_the_sheet(two_lots):
    bench_jobs.come_back(ComebackAsk(1, "burst"), stamp())
    found = traced(lot="B7")
    assert found.machines[0].came_back.startswith("burst")
    assert not found.machines[1].came_back


def test_stock_that_nobody_touched_for_a_year_is_forgotten_stock(in_shop):
    stock("OLD", day="2025-01-10")
    stock("NEW")
    found = {lot.lot: lot.forgotten for lot in traced(part="24-1180").lots}
    assert found == {"OLD": True, "NEW": False}


def test_lots_still_on_offer_are_told_to_be_stopped(two_lots):
    assert 'partsdb lot hold "B7" --reason' in traced(lot="B7").to_do[0]
    lots.change_state(["B7"], "hold", "recall", stamp())
    assert not any("lot hold" in each for each in traced(lot="B7").to_do)


def test_a_part_a_supplier_or_a_span_of_days_are_traced(two_lots):
    stock("S1", supplier="Saltreeve", day="2026-07-01")
    stock("H1", number="27-1243")
    assert {lot.lot for lot in traced(part="24-1180").lots} == {"B7", "B8", "S1"}
    assert {lot.lot for lot in traced(supplier="Kestrow").lots} == {"B7", "B8", "H1"}
    assert {lot.lot for lot in traced(since="2026-06-15").lots} == {"S1"}
    assert {lot.lot for lot in traced(until="2026-06-15").lots} == {"B7", "B8", "H1"}
    both = traced(part="24-1180", supplier="Kestrow", since=DAY, until=DAY)
    assert {lot.lot for lot in both.lots} == {"B7", "B8"}
    assert len(both.machines) == 3


def test_a_serial_leads_back_to_every_lot_in_the_machine(two_lots):
    stock("H1", number="27-1243")
    fit("4711", "H1", number="27-1243")
    found = traced(serial="4711")
    assert {lot.lot for lot in found.lots} == {"B7", "H1"}
    assert {m.part for m in found.machines} == {"Quillmere 24-1180", "Quillmere 27-1243"}
    assert found.may_carry == ()
    with pytest.raises(NotFoundError, match="serial"):
        traced(serial="4711", machine="Q28")


def test_other_lots_of_the_same_certificate_are_named(two_lots):
    stock("H1", number="27-1243", document="cert 88, p. 5")
    stock("H2", number="27-1243", document="cert 881")
    found = traced(lot="B7")
    assert [(e.part, e.what, e.document) for e in found.same_evidence] == [
        ("Quillmere 27-1243", "lot H1", "cert 88")
    ]


def test_what_was_accepted_on_the_same_bench_sheet_is_named(in_shop):
    """fixtures/shop/stands_in.csv: CW 40311 for 24-1180 on bench sheet 2026-031."""
    stock("C1", number="CW 40311")
    fit("4711", "C1", number="CW 40311")
    found = traced(lot="C1").same_evidence
    assert ("Corrowby CW 40311", "accepted for Quillmere 24-1180") in {
        (each.part, each.what) for each in found
    }
    assert {each.document for each in found} == {"Fennel Quay bench sheet 2026-031"}
    assert next(e.fitted for e in found if e.part == "Corrowby CW 40311") == 1


def test_a_false_claim_leads_to_the_part_and_to_all_that_rests_on_its_document(two_lots):
    """fixtures/shop/claims.csv: the rating of 24-1180 stands in handbook QH-7, as those of others."""
    claim = next(c for c in part_card("24-1180", None, as_of=TODAY).claims if c.kind == "rating")
    found = traced(claim=claim.claim)
    assert {lot.lot for lot in found.lots} == {"B7", "B8"}
    assert len(found.machines) == 3
    parts = {each.part for each in found.same_evidence}
    assert {"Quillmere 24-1180", "Quillmere 24-1180A"} <= parts
    assert {each.document for each in found.same_evidence} >= {"Quillmere parts handbook QH-7"}


def test_nothing_to_trace_by_and_what_is_not_there_are_refused(in_shop):
    with pytest.raises(UsageError, match="nothing to trace by"):
        traced()
    for what in ({"lot": "Z9"}, {"claim": 10**9}, {"serial": "0"}, {"part": "99-9"}):
        with pytest.raises(NotFoundError):
            traced(**what)


def test_a_recall_changes_nothing(two_lots):
    before = lots.lot_list()
    traced(lot="B7")
    assert lots.lot_list() == before


def test_the_answer_warns_of_injection(two_lots):
    assert any("injection" in caution for caution in traced(lot="B7").cautions)
