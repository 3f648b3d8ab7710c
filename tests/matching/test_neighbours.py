"""A number one slip away that fits the line as well takes the number into doubt."""

from __future__ import annotations

import random

import pytest

from partsdb.matching.context import ListContext
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, ReadingKind

OFFER, REVIEW = ReadingKind.OFFER, ReadingKind.TO_REVIEW
MAKERS = ("Quillmere", "Tarnbeck", "Ambrelle")
CONTEXT = ListContext("Saltreeve", frozenset(), {name: name for name in MAKERS})
# Words enough in other descriptions that none of those below is rare.
OTHERS = tuple(
    CatalogueEntry(100 + at, "Tarnbeck", f"8{at}-4{at}77", f"Gauge, {at} mm, G 1/2, 10 bar", "gauge")
    for at in range(40)
)


def kind_of(line: LineText, *parts: CatalogueEntry) -> ReadingKind:
    (reading,) = read_lines([line], [*parts, *OTHERS], context=CONTEXT)
    assert reading.kind is not OFFER or reading.part_id == 1
    return reading.kind


def part(number: str, description: str, at: int = 1, maker: str = "Quillmere") -> CatalogueEntry:
    return CatalogueEntry(at, maker, number, description)


SAME = "Gland ring, bronze, standard series"
# Every family of slip, and the look-alike of one.
NEIGHBOURS = ("24-1181", "24-1810", "24-11800", "24-118", "24-1180A", "Z4-1181")


@pytest.mark.parametrize("number", NEIGHBOURS)
def test_two_numbers_one_slip_apart_with_the_same_words_are_a_question(number: str):
    line = LineText("1", "24-1180", SAME)
    assert kind_of(line, part("24-1180", SAME)) is OFFER
    assert kind_of(line, part("24-1180", SAME), part(number, SAME, 2)) is REVIEW
    assert kind_of(line, part("24-1180", SAME), part("24-1399", SAME, 2)) is OFFER


@pytest.mark.parametrize(
    "fields",
    [
        {"maker": "Quillmere", "description": SAME},
        {"maker": "QUILLMERE GmbH", "description": SAME},
        {"description": f"Quillmere {SAME}"},
    ],
)
def test_a_maker_named_beside_the_number_lets_it_stand(fields: dict[str, str]):
    line = LineText("1", "24-1180", **fields)
    assert kind_of(line, part("24-1180", SAME), part("24-1181", SAME, 2)) is OFFER


def test_a_maker_named_does_not_outweigh_a_neighbour_that_explains_more():
    line = LineText("1", "24-1180", f"{SAME}, polished, short", "Quillmere")
    parts = (part("24-1180", SAME), part("24-1181", f"{SAME}, polished, short", 2))
    assert kind_of(line, *parts) is REVIEW


def test_a_neighbour_of_another_maker_than_the_line_names_is_no_rival():
    line = LineText("1", "24-1180", f"{SAME}, polished", "Quillmere")
    rival = part("24-1181", f"{SAME}, polished", 2, "Tarnbeck")
    assert kind_of(line, part("24-1180", SAME), rival) is OFFER


@pytest.mark.parametrize(
    ("mine", "theirs", "kind"),
    [
        # Both explain every word of the line; it says all of the one and half of the other.
        (SAME, f"{SAME}, polished, short, knurled", OFFER),
        (f"{SAME}, polished, short, knurled", SAME, REVIEW),
        # The very words in their order against the same words in another.
        (SAME, "Standard series, gland ring, bronze", OFFER),
        ("Standard series, gland ring, bronze", SAME, REVIEW),
    ],
)
def test_where_both_explain_the_line_the_part_counts_that_it_describes(
    mine: str, theirs: str, kind: ReadingKind
):
    line = LineText("1", "24-1180", SAME)
    assert kind_of(line, part("24-1180", mine), part("24-1181", theirs, 2)) is kind


def test_a_contradiction_that_both_parts_share_hides_no_neighbour():
    # The line's model is neither's; its words are those of the neighbour.
    line = LineText("1", "24-1180", "Gland ring, bronze, long, Q44")
    mine, theirs = "Gland ring, bronze, short, Q33", "Gland ring, bronze, long, Q33"
    assert kind_of(line, part("24-1180", mine), part("24-1181", theirs, 2)) is REVIEW
    assert kind_of(line, part("24-1180", mine), part("24-1399", theirs, 2)) is OFFER


def test_a_neighbour_that_the_line_contradicts_is_no_rival():
    line = LineText("1", "24-1180", "Gland ring, 18 mm, bronze")
    parts = (part("24-1180", "Gland ring, 18 mm, bronze"),
             part("24-1181", "Gland ring, 20 mm, bronze", 2))  # fmt: skip
    assert kind_of(line, *parts) is OFFER


def test_a_repaired_number_yields_to_a_neighbour_that_fits_as_well():
    words = "Gland ring, 18 mm, bronze, standard series, long"
    line = LineText("1", "24-118O", words)
    ours = CatalogueEntry(1, "Quillmere", "24-1180", words, "gland ring")
    rival = CatalogueEntry(2, "Quillmere", "24-1189", words, "gland ring")
    assert kind_of(line, ours) is OFFER
    assert kind_of(line, ours, rival) is REVIEW


def test_numbers_that_run_on_with_one_description_settle_nothing_without_a_maker():
    rng = random.Random(4)
    numbers = [f"24-{1100 + at}" for at in range(60)]
    texts = {number: f"Ring {rng.choice('ABC')}, bronze, standard" for number in numbers}
    parts = [part(number, texts[number], at) for at, number in enumerate(numbers, 1)]
    wrong = 0
    for _ in range(200):
        typed, meant = rng.choice(numbers), rng.choice(numbers)
        # Each typed number is another part's, one sign away, with the words of the one meant.
        if sum(one != other for one, other in zip(typed, meant, strict=True)) == 1:
            line = LineText("1", typed, texts[meant])
            (reading,) = read_lines([line], parts, context=CONTEXT)
            wrong += reading.kind is OFFER
    assert wrong == 0


def test_of_a_line_that_says_less_than_half_of_either_the_shorter_part_is_no_better():
    line = LineText("1", "24-1180", "Gland ring")
    mine, theirs = f"{SAME}, polished, knurled", f"{SAME}, polished, knurled, long, split"
    assert kind_of(line, part("24-1180", mine), part("24-1181", theirs, 2)) is REVIEW
    assert kind_of(line, part("24-1180", mine), part("24-1399", theirs, 2)) is OFFER


def test_signs_swapped_hold_a_look_alike_back_unless_it_leads_by_the_margin():
    # "24-118O" is 24-1180 misread, or 24-11O8 with two signs swapped.
    words = "Gland ring, 18 mm, bronze, standard series, polished, knurled"
    line = LineText("1", "24-118O", f"{words}, split")
    ours = CatalogueEntry(1, "Quillmere", "24-1180", f"{words}, split", "gland ring")
    for said, kind in ((words, REVIEW), ("Gauge, 18 mm", OFFER)):
        swapped = CatalogueEntry(2, "Quillmere", "24-11O8", said)
        assert kind_of(line, ours, swapped) is kind, said


def test_candidates_stand_in_order_of_how_well_they_explain_the_line_then_of_number_and_id():
    line = LineText("1", "55100", "Gland ring, bronze, split")
    parts = [
        CatalogueEntry(3, "Quillmere", "55-100", "Gland ring, bronze", "gland ring"),
        CatalogueEntry(2, "Quillmere", "55.100", "Gland ring, bronze", "gland ring"),
        CatalogueEntry(1, "Tarnbeck", "55-100", "Gland ring, bronze, split", "gland ring"),
        CatalogueEntry(4, "Ambrelle", "55-100", "Gland ring", "gland ring"),
    ]
    (reading,) = read_lines([line], [*parts, *OTHERS], context=CONTEXT)
    assert [each.part_id for each in reading.candidates] == [1, 3, 2, 4]
