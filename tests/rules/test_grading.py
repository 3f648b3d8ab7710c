"""The shop's grades: which one counts, and what it allows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.grading import Grade, check_grade, effective_grade
from partsdb.rules.verdict import Outcome


def test_the_most_specific_grade_counts() -> None:
    grades = [
        Grade("supplier", "Saltreeve", "D"), Grade("maker", "Corrowby", "B"),
        Grade("part", "Corrowby|CW 40311", "A"),
    ]  # fmt: skip
    assert effective_grade(grades) == grades[2]
    lot = Grade("lot", "L-7", "C")
    assert effective_grade([lot, *grades]) == lot


def test_barred_anywhere_counts_most() -> None:
    barred = Grade("supplier", "Ninefold", "barred", "certificates forged")
    assert effective_grade([barred, Grade("part", "x", "A"), Grade("lot", "L-7", "A")]) == barred


def test_of_one_subject_the_latest_counts_so_that_a_bar_can_be_lifted() -> None:
    lifted = Grade("supplier", "Ninefold", "C", "cleared")
    assert effective_grade([Grade("supplier", "Ninefold", "barred"), lifted]) == lifted


def test_no_grade_is_no_grade() -> None:
    assert effective_grade([]) is None


@pytest.mark.parametrize(
    ("grade", "outcome"),
    [
        ("A", Outcome.MEETS), ("B", Outcome.MEETS), ("C", Outcome.MEETS), ("", Outcome.MEETS),
        ("D", Outcome.MEETS_WITH_CONDITIONS), ("barred", Outcome.FAILS),
    ],
)  # fmt: skip
def test_what_a_grade_allows(grade: str, outcome: Outcome) -> None:
    """Common practice, no source: D asks for every piece to be inspected."""
    found = check_grade(grade, "late twice")
    assert found.outcome == outcome
    if grade == "barred":
        assert found.code == "SUPPLIER_BLOCKED"


GRADES = st.builds(
    Grade,
    st.sampled_from(["supplier", "maker", "part", "lot"]),
    st.sampled_from("XYZ"),
    st.sampled_from(["A", "B", "C", "D", "barred"]),
)


@given(st.lists(GRADES, unique_by=lambda grade: (grade.subject_kind, grade.subject)), st.randoms())
def test_of_different_subjects_the_order_changes_nothing(grades, random) -> None:
    shuffled = grades[:]
    random.shuffle(shuffled)
    found, again = effective_grade(grades), effective_grade(shuffled)
    assert found == again
    assert (found is not None and found.grade == "barred") == any(
        grade.grade == "barred" for grade in grades
    )
