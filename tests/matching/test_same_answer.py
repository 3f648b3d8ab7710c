"""The same question gets the same answer: whatever the order of lines, parts and hash seed."""

import os
import random
import subprocess
import sys
from dataclasses import replace

from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, ReadingKind

LINES = (
    LineText("1", code="24-1180", maker="Quillmere", description="Valve kit, bypass, Q33"),
    LineText("2", code="24-1183", description="Valve kit, bypass, Q33, 1/4 NPT"),
    LineText("3", code="77-100", description="Part"),
    LineText("4", code="SR 1", replaces="24-1180; 24-1181", description="Valve kit"),
    LineText("5", code="T7.2O4.145", description="Valve kit, suction, T200, M24x1.5"),
    LineText("6", description="Packing, lower, Q30, 18 mm, UHMWPE"),
    LineText("7", code="SR 2", description="Work gloves"),
    LineText("8", code="1.23457E+11", description="Nozzle, drain, 3 rear jets, G 1/4"),
)


def test_shuffled_lines_and_parts_get_the_same_readings(catalogue, context):
    asked = read_lines(LINES, catalogue, context=context)
    for seed in range(5):
        rng = random.Random(seed)
        order = rng.sample(range(len(LINES)), len(LINES))
        parts = rng.sample(catalogue, len(catalogue))
        shuffled = read_lines([LINES[at] for at in order], parts, context=context)
        assert shuffled == [asked[at] for at in order]


def test_another_hash_seed_gives_the_same_readings(catalogue, context, tmp_path):
    program = (
        "from partsdb.matching.readings import *\n"
        "from partsdb.matching.context import ListContext\n"
        "from partsdb.matching.lines import read_lines\n"
        f"lines = {list(LINES)!r}\nparts = {list(catalogue)!r}\n"
        f"context = ListContext({context.supplier!r}, {context.own_makers!r},"
        f" {dict(context.known_makers)!r})\n"
        "print(read_lines(lines, parts, context=context))\n"
    )
    said = set()
    for seed in ("0", "1", "42"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        ran = subprocess.run(
            [sys.executable, "-c", program], env=environment, capture_output=True, check=True
        )
        said.add(ran.stdout)
    assert len(said) == 1
    assert said.pop().decode().strip() == repr(read_lines(LINES, catalogue, context=context))


def test_equal_candidates_stand_in_order_of_maker_number_and_id(context):
    # Five parts that nothing tells apart; the rule is maker, then number, then id.
    words, role = "Ball, 5 mm, bronze", "ball"
    makers = ("Tarnbeck", "Ambrelle", "Vossgrund", "Corrowby", "Ambrelle")
    numbers = ("55-100", "55-100", "55-100", "55-100", "55.100")
    parts = [
        CatalogueEntry(at, maker, number, words, role)
        for at, (maker, number) in enumerate(zip(makers, numbers, strict=True), start=1)
    ]
    line = LineText("", code="55100", description=words)
    for order in (parts, parts[::-1]):
        reading = read_lines([line], order, context=context)[0]
        assert reading.kind is ReadingKind.TO_REVIEW
        assert [c.part_id for c in reading.candidates] == [2, 5, 4, 1, 3]


def test_a_duplicate_line_changes_no_other_reading(catalogue, context):
    asked = read_lines(LINES, catalogue, context=context)
    doubled = read_lines([*LINES, replace(LINES[0], place="9")], catalogue, context=context)
    assert doubled[: len(LINES)] == asked


def test_two_parts_within_the_margin_are_not_settled(context):
    # "short" stands in most descriptions, so it tells little: less than the margin.
    others = [
        CatalogueEntry(100 + at, "Quillmere", f"66-{at}", f"Rod, short, {at} mm", "rod")
        for at in range(1, 60)
    ]
    parts = [
        CatalogueEntry(1, "Tarnbeck", "55-100", "Seat, carbide, round, polished, short", "seat"),
        CatalogueEntry(2, "Vossgrund", "55-100", "Seat, carbide, round, polished", "seat"),
    ]
    far = [parts[0], replace(parts[1], description="Seat, coated, oval")]
    line = LineText("", code="55-100", description="Seat, carbide, round, polished, short")
    assert read_lines([line], [*far, *others], context=context)[0].kind is ReadingKind.OFFER
    reading = read_lines([line], [*parts, *others], context=context)[0]
    assert reading.kind is ReadingKind.TO_REVIEW


def test_two_parts_that_the_same_damage_explains_within_the_margin_are_not_settled(context):
    # "S5-100" has look-alikes for both numbers; "short" tells less than the margin.
    others = [
        CatalogueEntry(100 + at, "Quillmere", f"66-{at}", f"Rod, short, {at} mm", "rod")
        for at in range(1, 60)
    ]
    parts = [
        CatalogueEntry(1, "Tarnbeck", "55-100", "Seat, carbide, round, polished, short", "seat"),
        CatalogueEntry(2, "Vossgrund", "55-1OO", "Seat, carbide, round, polished", "seat"),
    ]
    far = [parts[0], replace(parts[1], description="Seat, coated, oval")]
    line = LineText("", code="S5-100", description="Seat, carbide, round, polished, short")
    settled = read_lines([line], [*far, *others], context=context)[0]
    assert (settled.kind, settled.damage) == (ReadingKind.OFFER, "look-alike characters")
    reading = read_lines([line], [*parts, *others], context=context)[0]
    assert reading.kind is ReadingKind.TO_REVIEW
    assert [each.part_id for each in reading.candidates] == [1, 2]
