"""Grades age: without a fitting for so long an A, B or C counts as none (trade handbook 6.4)."""

from __future__ import annotations

import datetime as dt

import pytest
from small_shop import DAY, SmallShop

from partsdb.jobs import aged_grades
from partsdb.jobs.grade import grades_shown
from partsdb.jobs.landing import offer_answers
from partsdb.jobs.settings import change_setting
from partsdb.jobs.weigh import grades_of, supplier_grade
from partsdb.jobs.who import stamp
from partsdb.store import bench_record, catalogue, grades, known, offers
from partsdb.store.rows import Stamp

TODAY = dt.date(2026, 11, 20)
OLD, YOUNG = "2024-11-18", "2024-11-19"  # 24 x 30.44 = 731 days before, by hand


@pytest.fixture(autouse=True)
def on_that_day(monkeypatch):
    monkeypatch.setattr(aged_grades, "today", lambda: TODAY)


def graded(kind: str, subject: int, grade: str, day: str) -> None:
    by = Stamp("Ilse", f"{day}T09:00:00Z")
    grades.set_grade((kind, subject), grade, reason="bench", evidence="", by=by)


def fitted(part: int, day: str) -> None:
    job = bench_record.open_job(day, None, serial="", customer_ref="", note="")
    bench_record.add_fitting(job, part, lot_id=None, place=None, units=1, at=day)


def of_part(part: int):
    return grades_of([catalogue.part_rows([part])[part]])[part]


@pytest.mark.parametrize(
    ("grade", "day", "counts"),
    [
        ("A", YOUNG, "A"),
        ("A", OLD, ""),
        ("C", OLD, ""),
        ("D", OLD, "D"),
        ("barred", OLD, "barred"),
    ],
)
def test_a_good_grade_ages_and_a_bad_one_does_not(small: SmallShop, grade, day, counts):
    part = small.part("24-1")
    graded("part", part, grade, day)
    assert of_part(part).grade == counts


def test_the_reason_says_that_it_has_aged(small):
    part = small.part("24-1")
    graded("part", part, "A", OLD)
    assert of_part(part).reason == (
        "the A of 2024-11-18 has aged, nothing of it was fitted since: confirm it"
    )


@pytest.mark.parametrize(("day", "counts"), [(YOUNG, "A"), (OLD, "")])
def test_a_fitting_keeps_it_young(small, day, counts):
    part = small.part("24-1")
    graded("part", part, "A", "2020-01-01")
    fitted(part, day)
    assert of_part(part).grade == counts


def test_a_fitting_of_any_of_his_parts_keeps_a_makers_grade_young(small):
    old, other = small.part("24-1"), small.part("24-2")
    maker = catalogue.part_rows([old])[old].maker_id
    graded("maker", maker, "B", OLD)
    assert of_part(old).grade == ""
    fitted(other, YOUNG)
    assert of_part(old).grade == "B"


def test_a_grade_that_has_not_aged_counts_before_one_that_has(small):
    part = small.part("24-1")
    graded("part", part, "A", OLD)
    graded("maker", catalogue.part_rows([part])[part].maker_id, "C", YOUNG)
    assert of_part(part).grade == "C"


def test_the_shop_says_after_how_many_months(small):
    part = small.part("24-1")
    graded("part", part, "A", OLD)
    change_setting("grade_months", "36", stamp())
    assert of_part(part).grade == "A"


def test_a_suppliers_aged_grade_stands_beside_no_offer(small):
    part, seller = small.part("24-1"), small.supplier("Kestrow")
    small.offer(seller, part, "10.00")
    [row] = catalogue.part_rows([part]).values()
    for day, counts in ((OLD, ""), (YOUNG, "A")):
        graded("supplier", seller, "A", day)
        [answer] = offer_answers(row, offers.live_offers([part], DAY), 1, DAY)
        assert answer.grade == counts
        found = supplier_grade(seller, "Kestrow")
        assert found is not None and found.grade == counts


@pytest.mark.parametrize(
    ("as_of", "counts"), [("2024-12-01", "A"), ("2026-11-19", "A"), ("2026-11-20", "")]
)
def test_an_answer_as_of_a_day_is_not_changed_by_a_grade_that_aged_since(small, as_of, counts):
    """By hand: 731 days after 2024-11-18 is 2026-11-19, the last day of it."""
    part, seller = small.part("24-1"), small.supplier("Kestrow")
    graded("part", part, "A", OLD)
    graded("supplier", seller, "A", OLD)
    known.look_back(as_of)
    assert of_part(part).grade == counts
    found = supplier_grade(seller, "Kestrow")
    assert found is not None and found.grade == counts
    assert bool(grades_shown("supplier", "Kestrow")[0].note) is (not counts)
