"""Fittings and comebacks as the bench records them."""

from __future__ import annotations

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs import bench_jobs, lots
from partsdb.jobs.bench_jobs import ComebackAsk, FitAsk, JobCard
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.who import stamp

DAY = "2026-11-20"


@pytest.fixture
def job(in_shop) -> int:
    lots.receive(ReceiveAsk("24-1180", "Kestrow", 5, DAY, label="B7"), stamp())
    lots.inspect(InspectAsk("B7", 5, 0, {}), stamp())
    card = bench_jobs.open_job("Q33", DAY, serial=" 4711 ", customer="C-17", note="", by=stamp())
    return card.job


def fit(job: int, number="24-1180", **more) -> JobCard:
    return bench_jobs.fit(FitAsk(job, number, **more), DAY, stamp())


def test_a_fitting_is_taken_off_its_lot(job):
    card = fit(job, lot="B7", position="bypass valve", units=2)
    [row] = card.fittings
    assert (row.machine, row.serial, row.customer_ref) == ("Quillmere Q33", "4711", "C-17")
    assert (row.lot, row.position, row.units) == ("B7", "bypass valve", 2)
    assert lots.lot_card("B7").on_hand == 3
    assert card.notes == ()
    assert any("injection" in caution for caution in card.cautions)


def test_the_one_position_that_calls_for_the_part_is_found(job):
    assert fit(job, lot="B7").fittings[0].position == "bypass valve"


def test_no_more_is_fitted_than_the_lot_holds(job):
    with pytest.raises(UsageError, match="5 on hand, not 6"):
        fit(job, lot="B7", units=6)


@pytest.mark.parametrize("action", ["hold", "bar"])
def test_a_lot_held_or_barred_is_not_fitted(job, action):
    lots.change_state(["B7"], action, "complaint", stamp())
    with pytest.raises(UsageError, match="may not be used"):
        fit(job, lot="B7")


def test_a_lot_of_another_part_is_refused(job):
    with pytest.raises(UsageError, match="lot B7 is Quillmere 24-1180"):
        fit(job, "24-1182", lot="B7")


def test_a_fitting_without_a_lot_is_recorded_and_said(job):
    notes = " ".join(fit(job).notes)
    assert "no trace" in notes
    assert "lots of it on the shelf: B7" in notes


def test_fitting_what_leaked_once_is_recorded_with_a_warning(job):
    """fixtures/shop/stands_in.csv: CW 40318 was rejected for 24-1180."""
    notes = " ".join(fit(job, "CW 40318", position="bypass valve").notes)
    assert "do not fit" in notes
    assert "leaked" in notes


def test_fitting_what_is_accepted_with_a_condition_says_the_condition(job):
    """fixtures/shop/stands_in.csv: CW 40311 only with the maker's sealant."""
    notes = " ".join(fit(job, "CW 40311", position="bypass valve").notes)
    assert "sealant" in notes


def test_a_failed_pressure_boundary_holds_the_lot_at_once(job):
    [row] = fit(job, lot="B7").fittings
    card = bench_jobs.come_back(ComebackAsk(row.id, "leak", True), stamp())
    assert card.comebacks[0].pressure_boundary
    assert lots.lot_card("B7").state == "held"
    assert any("B7 is on hold" in note for note in card.notes)
    assert any("injection" in caution for caution in card.cautions)


def test_a_worn_seal_holds_nothing(job):
    [row] = fit(job, lot="B7").fittings
    bench_jobs.come_back(ComebackAsk(row.id, "worn early"), stamp())
    assert lots.lot_card("B7").state == "accepted"


def test_a_comeback_without_lot_says_that_every_lot_may_be_the_one(job):
    [row] = fit(job).fittings
    card = bench_jobs.come_back(ComebackAsk(row.id, "burst"), stamp())
    assert any("hold every lot" in note for note in card.notes)


def test_an_explanation_is_kept_with_the_comeback(job):
    [row] = fit(job, lot="B7").fittings
    [back] = bench_jobs.come_back(ComebackAsk(row.id, "burst"), stamp()).comebacks
    with pytest.raises(UsageError, match="says what was found"):
        bench_jobs.explain(back.id, " ", stamp())
    card = bench_jobs.explain(back.id, "relief valve was plugged", stamp())
    assert card.comebacks[0].explained == "relief valve was plugged"


def test_what_is_not_there_is_refused(job):
    with pytest.raises(NotFoundError, match="job '99'"):
        fit(99)
    with pytest.raises(NotFoundError, match="fitting '99'"):
        bench_jobs.come_back(ComebackAsk(99, "burst"), stamp())
    with pytest.raises(NotFoundError, match="comeback '99'"):
        bench_jobs.explain(99, "x", stamp())
    with pytest.raises(NotFoundError, match="position"):
        fit(job, position="rudder")
    with pytest.raises(UsageError, match="not fitted"):
        fit(job, units=0)


def test_a_job_without_machine_has_no_position(job):
    bare = bench_jobs.open_job(None, DAY, serial="", customer="", note="", by=stamp()).job
    assert fit(bare, lot="B7").fittings[0].position == ""
    with pytest.raises(UsageError, match="names no machine"):
        fit(bare, position="bypass valve")


def test_the_newest_job_stands_first(job):
    bench_jobs.open_job(None, DAY, serial="2", customer="", note="", by=stamp())
    assert [row["serial"] for row in bench_jobs.job_list()] == ["2", "4711"]


@pytest.mark.parametrize("number", ["24-1178", "CW 40318", "25-1258"])
def test_a_part_for_which_the_record_knows_no_place_is_told_to_be_unchecked(job, number):
    card = fit(job, number, position="packing set" if number == "25-1258" else "")
    told = [note for note in card.notes if "not checked" in note]
    assert bool(told) is (number != "25-1258")
    assert all("Quillmere Q33" in note and "--position" in note for note in told)


def test_on_a_job_without_a_machine_nothing_is_checked_and_that_is_said(in_shop):
    bare = bench_jobs.open_job(None, DAY, serial="", customer="", note="", by=stamp()).job
    assert any("names no machine" in note for note in fit(bare).notes)
