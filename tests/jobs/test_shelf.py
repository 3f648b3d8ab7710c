"""What lies on our own shelf comes before any offer, and a stopped lot is never offered."""

from __future__ import annotations

import pytest

from partsdb.jobs import bench_jobs, lots
from partsdb.jobs.answers import CandidateAnswer, InsteadAnswer
from partsdb.jobs.bench_jobs import ComebackAsk, FitAsk
from partsdb.jobs.grade import set_grade
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.rebuild import RebuildAsk, rebuild_cost
from partsdb.jobs.shelf import shelf_text
from partsdb.jobs.who import stamp
from partsdb.render.instead import instead_text
from partsdb.render.rebuild import rebuild_text

DAY = "2026-11-20"
RECIPE = "Q33 bypass rebuild"


def stock(number: str, label: str, units: int = 2, supplier: str = "Kestrow") -> None:
    lots.receive(ReceiveAsk(number, supplier, units, DAY, label=label, bin="4"), stamp())
    lots.inspect(InspectAsk(label, units, 0, {}), stamp())


def asked(qty: int = 1, by: str | None = None) -> InsteadAnswer:
    return instead(InsteadAsk("24-1180", DAY, machine="Q33", quantity=qty, by=by))


def candidate(answer: InsteadAnswer, number: str) -> CandidateAnswer:
    return next(each for each in answer.candidates if each.number == number)


def test_the_part_itself_on_the_shelf_is_said_first(in_shop_with_lists):
    assert asked().asked_shelf == ()
    stock("24-1180", "B7")
    answer = asked()
    assert [(lot.lot, lot.units, lot.bin) for lot in answer.asked_shelf] == [("B7", 2, "4")]
    text = instead_text(answer, 120)
    assert "2, lot B7 (bin 4)" in text
    assert text.index("on the shelf") < text.index("offered by")


def test_of_equal_candidates_the_one_on_the_shelf_stands_first(in_shop_with_lists):
    """The last of those that are equal in verdict and grade moves up, and past no better one."""
    before = asked().candidates
    group = [each for each in before if each.verdict == "ask first"]
    last = next(each for each in reversed(group) if each.grade == group[-1].grade)
    stock(last.number, "S1")
    after = asked().candidates
    place = [each.number for each in after].index(last.number)
    assert place < [each.number for each in before].index(last.number)
    assert all(each.verdict != "do not fit" for each in after[:place])
    fits = [each.number for each in before if each.verdict in ("fit", "fit with conditions")]
    assert [each.number for each in after][: len(fits)] == fits


def test_enough_on_the_shelf_or_it_is_no_reason_to_stand_first(in_shop_with_lists):
    before = [each.number for each in asked(3).candidates]
    stock(before[-1], "S1", units=2)
    assert [each.number for each in asked(3).candidates] == before


@pytest.mark.parametrize("action", ["hold", "bar"])
def test_a_recalled_lot_is_not_offered(in_shop_with_lists, action):
    stock("24-1180", "B7")
    stock("24-1180", "B8")
    lots.change_state(["B7"], action, "recall", stamp())
    assert [lot.lot for lot in asked().asked_shelf] == ["B8"]


def test_a_lot_that_came_later_was_not_on_the_shelf_that_day(in_shop_with_lists):
    stock("24-1180", "B7")
    before = InsteadAsk("24-1180", "2026-11-19", machine="Q33")
    assert instead(before).asked_shelf == ()


def test_a_lot_that_was_not_inspected_is_not_offered(in_shop_with_lists):
    lots.receive(ReceiveAsk("24-1180", "Kestrow", 5, DAY, label="B7"), stamp())
    assert asked().asked_shelf == ()


@pytest.mark.parametrize(
    ("kind", "subject"),
    [("supplier", "Kestrow"), ("maker", "Quillmere"), ("part", "Quillmere|24-1180")],
)
def test_what_is_barred_lies_on_no_shelf(in_shop_with_lists, kind, subject):
    stock("24-1180", "B7")
    assert asked().asked_shelf
    set_grade(kind, subject, "barred", reason="false certificate", evidence="")
    assert asked().asked_shelf == ()


def test_what_was_fitted_is_no_longer_on_the_shelf(in_shop_with_lists):
    stock("24-1180", "B7")
    job = bench_jobs.open_job("Q33", DAY, serial="1", customer="", note="", by=stamp()).job
    bench_jobs.fit(FitAsk(job, "24-1180", lot="B7"), DAY, stamp())
    assert asked().asked_shelf[0].units == 1
    bench_jobs.fit(FitAsk(job, "24-1180", lot="B7"), DAY, stamp())
    assert asked().asked_shelf == ()


def test_a_rebuild_says_what_is_on_the_shelf_before_any_option(in_shop_with_lists):
    assert rebuild_cost(RebuildAsk(RECIPE, DAY)).shelf == ()
    stock("24-1180", "B7")
    answer = rebuild_cost(RebuildAsk(RECIPE, DAY, quantity=3))
    assert answer.shelf[0].startswith("Quillmere 24-1180: 2, lot B7 (bin 4); 3 needed")
    text = rebuild_text(answer, 120)
    assert text.index("On the shelf") < text.index("1. ")


def test_a_part_that_may_not_be_fitted_is_no_use_on_the_shelf(in_shop_with_lists):
    """fixtures/shop/stands_in.csv: CW 40318 was rejected for 24-1180."""
    lots.receive(ReceiveAsk("CW 40318", "Kestrow", 5, DAY, label="X1"), stamp())
    lots.inspect(InspectAsk("X1", 5, 0, {}), stamp())
    assert not any("CW 40318" in text for text in rebuild_cost(RebuildAsk(RECIPE, DAY)).shelf)


def test_an_open_failure_of_the_pressure_boundary_is_asked_about_first(in_shop_with_lists):
    number = next(each.number for each in asked().candidates if each.verdict == "fit")
    job = bench_jobs.open_job("Q33", DAY, serial="1", customer="", note="", by=stamp()).job
    [row] = bench_jobs.fit(FitAsk(job, number), DAY, stamp()).fittings
    [back] = bench_jobs.come_back(ComebackAsk(row.id, "burst"), stamp()).comebacks
    found = candidate(asked(), number)
    assert found.verdict == "ask first"
    assert "FAILED_HERE" in {check.code for check in found.checks}
    bench_jobs.explain(back.id, "frozen by its owner", stamp())
    assert candidate(asked(), number).verdict == "fit"


def test_nothing_on_the_shelf_is_no_words():
    assert shelf_text([]) == ""
