"""What counts as the name of a source, and what people type where they have none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.sources import names_source


@pytest.mark.parametrize(
    "text",
    ["QH-7, p. 3", "bench sheet 4", "sheet 4", "see sheet 4", "x", "1", "list of 2026-10, row 47"],
)
def test_a_name_that_can_be_looked_up_is_a_source(text: str) -> None:
    assert names_source(text)


@pytest.mark.parametrize(
    "text",
    ["", " ", "-", "?", "...", "n/a", "N.A.", "none", "unknown", "not known", "TBD", "k. A.",
     "keine Quelle", "unbekannt", "no source"],
)  # fmt: skip
def test_what_stands_for_nothing_is_none(text: str) -> None:
    """Common practice, no source."""
    assert not names_source(text)


@given(st.text(st.characters(categories=["P", "S", "Z"])))
def test_signs_alone_name_nothing(text: str) -> None:
    assert not names_source(text)
