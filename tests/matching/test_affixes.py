"""A prefix or suffix that a supplier puts on every number is learned from the list itself."""

import pytest

from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, ReadingKind
from partsdb.rules.numbers import number_key

OFFER = ReadingKind.OFFER
# What is left behind an affix must be four signs long at least: "3-05" is too short.
SHORT = 3


def long_numbers(catalogue):
    return [entry for entry in catalogue if len(number_key(entry.number)) > SHORT][:11]


def prefixed(entries, prefix="XQ-", **fields):
    return [
        LineText("", code=prefix + entry.number, description=entry.description, **fields)
        for entry in entries
    ]


def test_a_prefix_on_most_numbers_is_learned(catalogue, context):
    entries = long_numbers(catalogue)
    readings = read_lines(prefixed(entries), catalogue, context=context)
    assert [reading.part_id for reading in readings] == [entry.part_id for entry in entries]
    assert {reading.kind for reading in readings} == {OFFER}
    assert "prefix XQ" in readings[0].damage


def test_a_suffix_on_most_numbers_is_learned(catalogue, context):
    lines = [
        LineText("", code=entry.number + "-SX", description=entry.description)
        for entry in long_numbers(catalogue)
    ]
    readings = read_lines(lines, catalogue, context=context)
    assert {reading.kind for reading in readings} == {OFFER}


def test_a_prefix_on_a_few_numbers_is_not_believed(catalogue, context):
    readings = read_lines(prefixed(catalogue[:4]), catalogue, context=context)
    assert OFFER not in {reading.kind for reading in readings}


def test_a_prefix_whose_words_do_not_agree_is_not_believed(catalogue, context):
    lines = [
        LineText("", code="XQ-" + entry.number, description="Hose, suction, clear PVC, 2 in")
        for entry in catalogue[:8]
    ]
    readings = read_lines([*prefixed(catalogue[8:14]), *lines], catalogue, context=context)
    assert OFFER not in {reading.kind for reading in readings}


def test_what_tells_two_parts_of_ours_apart_is_no_affix(context):
    # Half of our own numbers bear "AA": it is part of the number, not the supplier's.
    plain = [
        CatalogueEntry(at, "Quillmere", f"24-1{at:03}", f"Ball, {at} mm, bronze", "ball")
        for at in range(1, 20)
    ]
    marked = [
        CatalogueEntry(100 + e.part_id, e.maker, e.number + "AA", e.description, e.role)
        for e in plain[:6]
    ]
    lines = [
        LineText("", code=entry.number + "AA", description=entry.description) for entry in plain[6:]
    ]
    readings = read_lines(lines, [*plain, *marked], context=context)
    assert OFFER not in {reading.kind for reading in readings}


@pytest.mark.parametrize(
    ("code", "description"),
    [
        ("XQ-CW 50434", "Packing kit, solvent, Q33E, 22 mm, PTFE"),
        ("XQ-CW 50434", "Packing kit, compatible, solvent, Q33E, 18 mm, PTFE"),
        ("XQ-CW 50434", "Packing kit"),
        ("XQ-CW 50435", "Packing kit, solvent, Q33E, 18 mm, PTFE"),
        ("XQ-T7.310.530", "Hose, washer, DN 8 x 30 m, M22x1.5, 100 bar"),
    ],
)
def test_behind_a_learned_prefix_the_description_must_agree(catalogue, context, code, description):
    line = LineText("", code=code, description=description)
    readings = read_lines([*prefixed(catalogue[:8]), line], catalogue, context=context)
    assert readings[0].kind is OFFER
    assert readings[-1].kind is not OFFER
