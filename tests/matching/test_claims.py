"""Lines that name a number of ours which their own article claims to replace."""

import pytest

from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText, ReadingKind

REPLACEMENT, REVIEW = ReadingKind.REPLACEMENT, ReadingKind.TO_REVIEW
KIT = "Valve kit, bypass, Q33, 1/4 NPT"


@pytest.mark.parametrize(
    "fields",
    [
        {"code": "SR 1", "replaces": "24-1180", "description": KIT},
        {"code": "SR 1", "replaces": "Quillmere 24-1180", "description": KIT},
        {"code": "SR 1", "replaces": "24-1180 Quillmere", "description": KIT},
        {"code": "SR 1", "replaces": "24-1180; 24-1181", "description": KIT},
        {"code": "SR 1", "replaces": "ZZ-99 / 24-1180", "description": KIT},
        {"code": "SR 1", "description": KIT + ", replaces 24-1180"},
        {"code": "SR 1", "description": "Ventilsatz Bypass, Ersatz für Quillmere 24-1180"},
        {"code": "SR 1", "description": "Ventilsatz ersetzt 24-1180 und 24-1181"},
        {"code": "SR 1", "maker": "Saltreeve", "description": KIT + ", alt. to 24-1180"},
        {"code": "24-1180", "replaces": "24-1180", "description": KIT},
        {"code": "24-1180", "maker": "Saltreeve", "replaces": "24-1180", "description": KIT},
        {"code": "SR 1", "replaces": "24-118O", "description": KIT},
    ],
)
def test_a_named_number_of_ours_makes_a_replacement(read, numbered, fields):
    reading = read(**fields)
    assert reading.kind is REPLACEMENT
    assert numbered(reading) == ("Quillmere", "24-1180")


def test_a_claim_needs_no_agreement_but_in_the_kind_of_piece(read):
    # A wrong thread or a softer ball is for the judge of the part, not for its identity.
    worse = "Valve kit, bypass, Q33, G 1/4, 440C ball and seat, 2000 psi"
    assert read(code="SR 1", replaces="24-1180", description=worse).kind is REPLACEMENT
    assert read(code="SR 1", replaces="24-1180", description="Hose, washer, 20 m").kind is REVIEW


@pytest.mark.parametrize(
    "fields",
    [
        {"code": "SR 1", "replaces": "24-1183", "description": KIT},
        {"code": "SR 1", "replaces": "24-1180C", "description": KIT},
        {"code": "SR 1", "replaces": "77-100", "description": "Part"},
        {"code": "SR 1", "replaces": "05-Mar", "description": "Part"},
        {"code": "SR 1", "replaces": "1.23457E+11", "description": "Nozzle, drain, G 1/4, 250 bar"},
    ],
)
def test_a_near_miss_or_an_open_number_is_reviewed(read, fields):
    assert read(**fields).kind is REVIEW


def test_a_number_of_two_makers_is_settled_by_the_maker_or_the_piece(read, numbered):
    named = read(code="SR 1", replaces="Pellmarch 77-100", description="Part")
    assert numbered(named) == ("Pellmarch", "77-100")
    told = read(code="SR 1", replaces="77-100", description="Gun, M22x1.5")
    assert numbered(told) == ("Tarnbeck", "77-100")


def test_a_damaged_named_number_is_undone_only_when_the_piece_agrees(read, numbered):
    pin = read(code="SR 1", replaces="05-Mar", description="Pin, 3 x 16 mm")
    assert (pin.kind, numbered(pin)) == (REPLACEMENT, ("Quillmere", "3-05"))
    assert pin.damage == "date made from a number"


def test_the_very_part_that_names_an_older_number_stays_an_offer(read, numbered):
    reading = read(
        code="24-1180A",
        maker="Quillmere",
        replaces="24-1180",
        description="Valve kit, bypass, Q33, 1/4 NPT, revision A",
    )
    assert reading.kind is ReadingKind.OFFER
    assert numbered(reading) == ("Quillmere", "24-1180A")


def test_an_article_replaced_by_a_newer_one_is_an_offer_of_the_old(read, numbered):
    reading = read(code="24-1180", description=KIT + ", replaced by 24-1180A")
    assert reading.kind is ReadingKind.OFFER
    assert numbered(reading) == ("Quillmere", "24-1180")


@pytest.mark.parametrize("named", ["ZZ-99", "Zenta 4711", "1/4"])
def test_a_number_that_is_none_of_ours_claims_nothing(read, named):
    assert read(code="SR 1", replaces=named, description=KIT).kind is ReadingKind.NEW_PART


def test_every_part_that_the_line_names_is_shown(read):
    reading = read(code="SR 1", replaces="24-1180; 24-1181", description=KIT)
    assert {candidate.part_id for candidate in reading.candidates} == {1, 3}


def test_a_suppliers_own_article_known_from_an_earlier_list_still_claims(catalogue, context):
    # What one list brought in stands in the catalogue when the next is read.
    own = CatalogueEntry(50, "Saltreeve", "SR 2083", KIT, "valve kit")
    lines = [
        LineText("", code="SR 2083", replaces="24-1180", description=KIT),
        LineText("", code="SR 2083", description=KIT),
        LineText("", code="SR 2084", description=KIT),
    ]
    claimed, known, new = read_lines(lines, [*catalogue, own], context=context)
    assert (claimed.kind, claimed.part_id) == (REPLACEMENT, 1)
    assert (known.kind, known.part_id) == (ReadingKind.OFFER, 50)
    assert new.kind is ReadingKind.NEW_PART


def test_a_line_under_one_number_of_ours_that_names_another_is_reviewed(read):
    # The number says valve kit 24-1181, the words a ball that replaces another number.
    reading = read(code="24-1181", replaces="24-1399", description="Ball, 1/2 in, carbide")
    assert reading.kind is REVIEW
