"""Evidence codes and the words that they stand for."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.matching.engine.decision import Way
from partsdb.matching.engine.evidence import FIELDS, MAKER_OTHER, UNSAID, explain, pack, unpack
from partsdb.matching.engine.index import Index
from partsdb.matching.engine.stored import evidence_texts, explained, reading_rows
from partsdb.matching.engine.words import PRESSURE
from tests.matching.engine.small_shop import matched

FACTS = st.fixed_dictionaries(
    {name: st.integers(0, (1 << bits) - 1) for name, (_, bits) in FIELDS.items()}
)


@given(FACTS)
def test_a_code_keeps_every_fact(facts: dict[str, int]) -> None:
    assert unpack(pack(facts)) == facts
    assert pack(facts) < 1 << 63


@pytest.mark.parametrize("way", list(Way))
def test_every_way_is_named(way: Way) -> None:
    told = explain(pack({"way": way, "explained": 90, "alone": 1}))
    assert way.name.lower() in told[0].name and told[0].text


def test_contradictions_are_vetoes_by_name() -> None:
    code = pack({"way": Way.KEY, "explained": 70, "conflict": PRESSURE, "maker": MAKER_OTHER})
    vetoes = [each.name for each in explain(code) if each.weighs == "veto"]
    assert vetoes == ["pressure contradicted", "maker"]


def test_an_edit_is_evidence_against_and_silence_is_said() -> None:
    told = explain(pack({"way": Way.EDIT, "explained": UNSAID, "alone": 1}))
    assert [each.weighs for each in told] == ["against", "against"]


def test_a_better_neighbour_is_named() -> None:
    told = explain(pack({"way": Way.KEY, "explained": 60, "rival": 95, "alone": 1}))
    assert ("neighbour", "against") in {(each.name, each.weighs) for each in told}


def test_what_is_stored_gives_the_evidence_back(index: Index) -> None:
    found = matched(
        index,
        ("24-1190", "inlet valve seat, 16 mm"),
        ("24-1191", "inlet valve seat"),
        ("TULIP-40", "flower bulbs"),
    )
    texts = evidence_texts(found)
    rows = list(reading_rows(found, texts, 501))
    assert [(row[0], row[1], row[2]) for row in rows] == [
        (501, "offer", 13),
        (502, "to review", None),
        (503, "not ours", None),
    ]
    parts = [[part for part, _ in explained(text)] for text in texts]
    assert parts[0] == [13] and parts[1][0] == 13 and parts[2] == []
    assert rows[0][3] == 1.0 and rows[2][3] == 0.0
