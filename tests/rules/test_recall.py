"""Causes of comebacks, and which document a source names."""

from __future__ import annotations

import pytest

from partsdb.errors import UsageError
from partsdb.rules.recall import boundary_failed, cause_named, causes, document_of


@pytest.mark.parametrize(
    ("source", "document"),
    [
        ("Quillmere parts handbook QH-7, p. 3", "Quillmere parts handbook QH-7"),
        ("QB-114, p. 2, line 5", "QB-114"),
        ("Quillmere supersession list 2018, line 3", "Quillmere supersession list 2018"),
        ("kestrow.csv, row 33", "kestrow.csv"),
        ("saltreeve.xlsx, Sheet1 row 17", "saltreeve.xlsx"),
        ("Fennel Quay bench sheet 2026-044: tried, leaked", "Fennel Quay bench sheet 2026-044"),
        ("Fennel Quay bench sheet 2026-031", "Fennel Quay bench sheet 2026-031"),
        ("  cert 88  ", "cert 88"),
        ("", ""),
    ],
)
def test_a_document_is_named_without_the_place_in_it(source, document):
    assert document_of(source) == document


def test_two_pages_of_a_document_are_one_document_and_two_sheets_are_two():
    assert document_of("QH-7, p. 3") == document_of("QH-7, p. 12-14")
    assert document_of("bench sheet 2026-031") != document_of("bench sheet 2026-032")


@pytest.mark.parametrize("cause", ["burst", "pulled out"])
@pytest.mark.parametrize("said", [True, False, None])
def test_a_burst_is_a_failed_boundary_whatever_was_said(cause, said):
    assert boundary_failed(cause_named(cause), said)


@pytest.mark.parametrize("cause", ["leak", "unknown"])
def test_where_the_cause_leaves_it_open_somebody_must_say(cause):
    with pytest.raises(UsageError, match="pressure boundary"):
        boundary_failed(cause_named(cause), None)
    assert boundary_failed(cause_named(cause), True)
    assert not boundary_failed(cause_named(cause), False)


def test_our_own_mistake_does_not_blame_the_part():
    blameless = {code for code, cause in causes().items() if not cause.blames_part}
    assert blameless == {"fitted wrongly", "misused", "other cause"}


def test_an_unknown_cause_is_refused_with_those_there_are():
    with pytest.raises(UsageError) as refused:
        cause_named("gremlins")
    assert "burst" in refused.value.hint
    assert cause_named("  Pulled  OUT ").code == "pulled out"
