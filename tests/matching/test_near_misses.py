"""A number that is nearly ours is another part until shown otherwise: never an offer."""

import csv
import random
from pathlib import Path

import pytest

from partsdb.matching.context import ListContext
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, ReadingKind
from partsdb.rules.numbers import number_key

SHOP = Path(__file__).parents[2] / "fixtures" / "shop" / "parts.csv"
FAMILIES = ("digit", "transposed", "inserted", "deleted", "revision letter")


@pytest.fixture(scope="module")
def shop():
    with SHOP.open(encoding="utf-8", newline="") as handle:
        return [
            CatalogueEntry(at, row["maker"], row["number"], row["description"], row["role"])
            for at, row in enumerate(csv.DictReader(handle), start=1)
        ]


def slipped(number, family, rng):
    """Return `number` with one slip of the family, or None where it has no place for it."""
    digits = [at for at, sign in enumerate(number) if sign.isdigit()]
    at = rng.choice(digits)
    if family == "digit":
        other = rng.choice([d for d in "0123456789" if d != number[at]])
        return number[:at] + other + number[at + 1 :]
    if family == "transposed":
        pairs = [i for i in digits if i + 1 in digits and number[i] != number[i + 1]]
        if not pairs:
            return None
        at = rng.choice(pairs)
        return number[:at] + number[at + 1] + number[at] + number[at + 2 :]
    if family == "inserted":
        return number[:at] + rng.choice("0123456789") + number[at:]
    if family == "deleted":
        return number[:at] + number[at + 1 :]
    return number.rstrip("ABCDEFG") + rng.choice("ABCDEFG")


@pytest.mark.parametrize("family", FAMILIES)
def test_a_near_miss_is_never_an_offer_of_a_part_with_another_number(shop, family):
    rng = random.Random(family)
    keys = {number_key(entry.number) for entry in shop}
    lines = []
    for entry in shop:
        code = slipped(entry.number, family, rng)
        if code and number_key(code) not in keys:
            # The words are those of the part that it nearly is: the hardest case.
            maker = rng.choice((entry.maker, ""))
            lines.append(LineText("", code=code, maker=maker, description=entry.description))
    makers = {entry.maker: entry.maker for entry in shop}
    readings = read_lines(lines, shop, context=ListContext("Saltreeve", frozenset(), makers))
    offers = [
        (line.code, reading.part_id)
        for line, reading in zip(lines, readings, strict=True)
        if reading.kind is ReadingKind.OFFER
    ]
    assert len(lines) > 900
    assert offers == []
    reviewed = sum(reading.kind is ReadingKind.TO_REVIEW for reading in readings)
    assert reviewed > 0.9 * len(lines)


def test_a_slip_that_hits_another_real_part_is_noticed_by_its_words(shop):
    rng = random.Random("collision")
    by_key = {number_key(entry.number): entry for entry in shop}
    lines, wrong = [], []
    for entry in shop:
        for _ in range(4):
            other = by_key.get(number_key(slipped(entry.number, "digit", rng)))
            if other and other is not entry and other.description != entry.description:
                lines.append(LineText("", code=other.number, description=entry.description))
    context = ListContext("Saltreeve", frozenset(), {entry.maker: entry.maker for entry in shop})
    for line, reading in zip(lines, read_lines(lines, shop, context=context), strict=True):
        if reading.kind is ReadingKind.OFFER:
            wrong.append((line.code, line.description))
    assert len(lines) > 200
    assert len(wrong) <= 0.01 * len(lines), wrong


@pytest.mark.parametrize("code", ["24-1182", "24-1108", "24-11800", "24-118", "24-1180B"])
def test_a_near_miss_in_words_like_ours_is_shown_for_review_with_the_difference(read, code):
    reading = read(
        code=code,
        maker="Quillmere",
        description="Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi",
    )
    assert reading.kind is ReadingKind.TO_REVIEW
    numbers = [e.text for c in reading.candidates for e in c.evidence if e.name == "number"]
    assert any("against …-1180" in text for text in numbers)


def test_a_near_miss_in_other_words_is_a_part_of_its_own(read):
    assert read(code="24-1182", description="Gauge, 100 mm, G 1/2").kind is ReadingKind.NEW_PART


def test_a_transposition_holds_a_look_alike_back(catalogue, context):
    # "24-118O" is 24-1180 misread, or 24-11O8 with two signs swapped: both have the same words.
    words = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"
    rival = CatalogueEntry(99, "Quillmere", "24-11O8", words, "valve kit")
    line = LineText("", code="24-118O", description=words)
    alone = read_lines([line], catalogue, context=context)[0]
    rivalled = read_lines([line], [*catalogue, rival], context=context)[0]
    assert alone.kind is ReadingKind.OFFER
    assert rivalled.kind is ReadingKind.TO_REVIEW


def test_swapped_signs_that_fold_alike_are_a_slip_and_no_look_alikes(catalogue, context):
    words = "Controller, motor, 40 MHz, three phases"
    part = CatalogueEntry(98, "Ambrelle", "MK0Z2Q4", words)
    lines = [
        LineText("", code=code, maker="Ambrelle", description=words)
        for code in ("MK02ZQ4", "MKOZ2Q4")
    ]
    swapped, misread = read_lines(lines, [*catalogue, part], context=context)
    assert swapped.kind is ReadingKind.TO_REVIEW
    assert misread.kind is ReadingKind.OFFER


def test_one_trait_and_the_maker_are_too_little_to_undo_damage(catalogue, context):
    line = LineText("", code="T7.2O4.145", maker="Tarnbeck", description="Zorb M24x1.5")
    reading = read_lines([line], catalogue, context=context)[0]
    assert reading.kind is ReadingKind.TO_REVIEW
