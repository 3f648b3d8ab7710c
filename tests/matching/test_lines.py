"""What a line is taken for: the number settles, the description vetoes, likeness only proposes."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from partsdb.matching.context import ListContext, PastDecision, decision_key
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import LineText, ReadingKind

OFFER, REVIEW, NEW = ReadingKind.OFFER, ReadingKind.TO_REVIEW, ReadingKind.NEW_PART
NOT_OURS, NOT_A_PART = ReadingKind.NOT_OURS, ReadingKind.NOT_A_PART
BYPASS = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"


@pytest.mark.parametrize(
    "fields",
    [
        {"code": "24-1180", "maker": "Quillmere"},
        {"code": "241180", "description": BYPASS},
        {"code": "24 1180", "maker": "QUILLMERE GmbH", "description": "VLV KIT BYPASS Q33 1/4NPT"},
        {"code": "KE-1", "maker_number": "24-1180", "maker": "Quilmere", "description": "Ventilsatz"},
        {"code": "24-1180", "description": "Quillmere valve kit, bypass"},
    ],
)  # fmt: skip
def test_the_very_number_is_an_offer(read, numbered, fields):
    reading = read(**fields)
    assert reading.kind is OFFER
    assert numbered(reading) == ("Quillmere", "24-1180")


def test_the_number_of_a_named_maker_is_chosen_among_makers(read, numbered):
    assert numbered(read(code="77-100", maker="Pellmarch")) == ("Pellmarch", "77-100")


def test_the_description_chooses_among_makers_of_one_number(read, numbered):
    reading = read(code="77-100", description="Gun, straight, M22x1.5, 400 bar")
    assert numbered(reading) == ("Tarnbeck", "77-100")


def test_a_number_of_two_makers_without_more_is_reviewed(read):
    reading = read(code="77-100")
    assert reading.kind is REVIEW
    assert len(reading.candidates) == 2


def test_numbers_that_only_punctuation_tells_apart_are_told_apart_as_printed(read, numbered):
    fitting = "Fitting, brass or steel"
    assert numbered(read(code="12-1.25", description=fitting + ", elbow, G 1/2"))[1] == "12-1.25"
    assert numbered(read(code="1-21.25", description=fitting + ", tee, G 1/4"))[1] == "1-21.25"
    assert read(code="12125").kind is REVIEW


def test_the_very_number_under_another_maker_is_not_ours_by_number(read):
    reading = read(code="24-1180", maker="Ambrelle", description="Gauge, 63 mm")
    assert reading.kind is NEW
    assert any("Quillmere" in told.text for told in reading.evidence)


@pytest.mark.parametrize(
    "description", ["Packing kit for Quillmere Q33E, 18 mm", "Packing kit, Quillmere Q33E, 18 mm"]
)
def test_the_maker_of_the_machine_is_not_taken_for_the_maker_of_the_part(read, description):
    assert read(code="CW 50434", description=description).kind is OFFER


# Each veto alone keeps the exact number from being an offer.
@pytest.mark.parametrize(
    ("code", "description", "veto"),
    [
        ("24-1180", "Valve kit, bypass, Q33, G 1/4, WC ball and seat", "thread G 1/4 against 1/4 NPT"),
        ("24-1399", "Ball, 3/4 in, tungsten carbide", "size 3/4 in against 1/2 in"),
        ("24-1399", "Ball, 1/2 in, 316 stainless", "material 316 against tungsten carbide"),
        ("24-1180", "Hose, airless, 1/4 NPT", "hose against valve kit"),
        ("24-1180", "Garden hose, 25 m", "goods of another trade against valve kit"),
        (
            "24-1180",
            "Corrowby valve kit, bypass, 1/4 NPT",
            "another maker than Quillmere in the description",
        ),
    ],
)  # fmt: skip
def test_a_contradiction_is_a_veto_with_a_name(read, code, description, veto):
    reading = read(code=code, description=description)
    assert reading.kind is REVIEW
    assert veto in [e.text for e in reading.candidates[0].evidence if e.weighs == "veto"]


def test_another_rating_is_no_veto_when_number_and_maker_agree(read, numbered):
    reading = read(code="24-1180", maker="Quillmere", description=BYPASS.replace("3300", "2500"))
    assert reading.kind is OFFER
    assert any(e.weighs == "against" and "2500 psi" in e.text for e in reading.evidence)


@pytest.mark.parametrize(
    ("code", "number", "description", "damage"),
    [
        ("61.269", "0061.2690", "Hose, drain jetting, DN 10 x 20 m, G 1/2", "trailing zeros lost"),
        ("T7.2O4.145", "T7.204.145", "Valve kit, suction, T200, M24x1.5", "look-alike characters"),
        ("05-Mar", "3-05", "Pin, retaining, 3 x 16 mm", "date made from a number"),
        ("CW 50,434", "CW 50434", "Packing kit, solvent, Q33E, 18 mm", ""),
        ("СW 50434", "CW 50434", "Packing kit, solvent, Q33E, 18 mm", "letters of another script"),
    ],
)
def test_named_damage_is_undone_when_the_description_agrees(
    read, numbered, code, number, description, damage
):
    reading = read(code=code, description=description)
    assert reading.kind is OFFER
    assert numbered(reading)[1] == number
    assert reading.damage == damage


@pytest.mark.parametrize(
    ("code", "description"),
    [
        ("61.269", ""),
        ("61.269", "Hose"),
        ("61.269", "Hose, drain jetting, DN 10 x 40 m, G 1/2"),
        ("05-Mar", "Pin, 440C stainless"),
        ("T7.2O4.145", "Valve kit, suction, T200, G 1/4"),
        ("1.23457E+11", "Nozzle, drain, 3 rear jets, G 1/4, 316 stainless, 250 bar"),
        ("1.23E+11", "Nozzle"),
        ("07-Aug", "Hose, whip, 1 m"),
    ],
)
def test_damage_that_cannot_be_undone_with_certainty_is_never_an_offer(read, code, description):
    assert read(code=code, description=description).kind in (REVIEW, NEW)


def test_another_rating_is_a_veto_for_a_repaired_number(read):
    told = {"code": "61.269", "description": "Hose, drain jetting, DN 10 x 20 m, G 1/2, 100 bar"}
    assert read(**told).kind is not OFFER


def test_lost_digits_go_to_review_with_the_parts_that_they_may_be(read):
    reading = read(code="1.23457E+11", description="Nozzle, drain, 3 rear jets, G 1/4, 250 bar")
    assert reading.kind is REVIEW
    assert reading.damage == "scientific notation"
    assert reading.candidates[0].part_id == 13


def test_a_neighbour_that_explains_the_line_better_keeps_it_from_being_settled(read):
    # The number says 24-1180, every word says 24-1181: one of them is wrong.
    reading = read(
        code="24-1180",
        maker="Quillmere",
        description="Valve kit, inlet, Q33, 440C ball and seat, 3300 psi",
    )
    assert reading.kind is REVIEW


def test_the_reverse_check_alone_holds_a_line_back(read):
    reading = read(code="0061.2690", maker="Vossgrund", description="Hose 40 m jetting")
    assert reading.kind is REVIEW


def test_likeness_of_text_never_settles(read):
    assert read(description=BYPASS).kind is REVIEW
    assert read(code="ZZ 9", description=BYPASS).kind is NEW


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"code": "SR 1", "description": "Nozzle, turbo, size 05, 300 bar"}, NEW),
        ({"code": "SR 1", "description": "Series 7", "section": "Hoses"}, NEW),
        ({"code": "SR 1", "description": "Garden hose, 25 m", "section": "Hoses"}, NOT_OURS),
        ({"code": "SR 1", "description": "Work gloves, size 10"}, NOT_OURS),
        ({"code": "SR 1", "description": "Zorbel"}, NOT_OURS),
        ({"code": "", "description": "Carriage UK mainland"}, NOT_A_PART),
        ({"code": "FR1", "description": "Mindermengenzuschlag"}, NOT_A_PART),
        ({}, NOT_A_PART),
    ],
)
def test_a_line_without_a_number_of_ours_is_told_by_its_piece(read, fields, kind):
    assert read(**fields).kind is kind


def test_a_past_decision_holds_while_the_line_says_the_same(catalogue, context):
    line = LineText("row 1", code="24-1180", description="Something odd")
    decisions = {decision_key(line): PastDecision(NOT_OURS)}
    asked = ListContext(context.supplier, context.own_makers, context.known_makers, decisions)
    other = LineText("row 2", code="24-1180", description=BYPASS)
    first, second = read_lines([line, other], catalogue, context=asked)
    assert (first.kind, first.confidence) == (NOT_OURS, 1.0)
    assert second.kind is OFFER


def test_confidence_ranks_by_what_was_shown(read):
    named = read(code="24-1180", maker="Quillmere", description=BYPASS)
    described = read(code="24-1180", description=BYPASS)
    alone = read(code="24-1180")
    repaired = read(code="T7.2O4.145", description="Valve kit, suction, T200, M24x1.5")
    ranks = [reading.confidence for reading in (named, described, alone, repaired)]
    assert ranks == sorted(ranks, reverse=True)
    assert len(set(ranks)) == 4


def test_a_code_and_a_makers_number_that_are_two_parts_of_ours_contradict_each_other(read):
    reading = read(code="24-1247", maker="Quillmere", maker_number="24-1180", description=BYPASS)
    assert reading.kind is REVIEW
    same = read(code="24-1180", maker="Quillmere", maker_number="24-1180", description=BYPASS)
    assert same.kind is OFFER


FIELDS = (
    "code",
    "description",
    "maker",
    "maker_number",
    "replaces",
    "rating",
    "material",
    "thread",
)
AWKWARD = st.one_of(
    st.text(max_size=40),
    st.text(alphabet="0123456789/-.,'\"xE+ ½¼²#°Mm", max_size=24),
    st.sampled_from(
        ["1/0", "0/0 NPT", "1E999", "9" * 60, "00-00-00", "M0x0", "#99-99", "٣-٥", "="]
    ),
)


@settings(max_examples=150, deadline=None)
@example(lines=[{"thread": "#0¼"}, {"description": "Screw #8½ x 1¼"}])
@given(lines=st.lists(st.fixed_dictionaries(dict.fromkeys(FIELDS, AWKWARD)), max_size=4))
def test_whatever_stands_in_a_line_it_gets_a_reading(catalogue, context, lines):
    texts = [LineText(place="", **fields) for fields in lines]
    readings = read_lines(texts, catalogue, context=context)
    assert len(readings) == len(texts)
    offers = (ReadingKind.OFFER, ReadingKind.REPLACEMENT)
    assert all((reading.part_id is not None) == (reading.kind in offers) for reading in readings)


@pytest.mark.parametrize(
    "fields",
    [
        {"code": "SR 1", "description": "Bypass valve kit (24-1180)"},
        {"code": "24-1180", "description": "Bypass valve kit, compatible with Quillmere Q33"},
        {"code": "QM24-1180", "maker": "Quillmere", "description": BYPASS},
        {"code": "7.204.145", "description": "Valve kit, suction, T200, M24x1.5"},
        {"code": "50434", "maker": "Corrowby", "description": "Packing kit, Q33E, 18 mm, PTFE"},
        {"code": "0061.26", "description": "Hose, drain jetting, DN 10 x 20 m, G 1/2"},
    ],
)
def test_a_number_of_ours_in_another_dress_is_shown_for_review(read, fields):
    reading = read(**fields)
    assert reading.kind is REVIEW
    assert reading.candidates


def test_an_imitation_named_by_our_number_is_the_makers_own_when_the_maker_is_named(read):
    fields = {"code": "24-1180", "maker": "Quillmere", "description": BYPASS + ", compatible seats"}
    assert read(**fields).kind is OFFER


@pytest.mark.parametrize("code", ["Ü24-1180", "Ж24-1180", "24-1180阀", "Ж-24 118O"])
def test_a_code_with_a_letter_that_no_key_holds_is_asked_about_and_no_offer(read, code):
    # An umlaut, a Cyrillic or Chinese letter is dropped from the key: the number is another one.
    reading = read(code=code, maker="Quillmere", description=BYPASS)
    assert reading.kind is REVIEW
    assert reading.candidates


def test_letters_of_another_keyboard_that_print_alike_still_find_the_part(read, numbered):
    reading = read(code="СW 50434", description="Packing kit, solvent, Q33E, 18 mm, PTFE")
    assert numbered(reading) == ("Corrowby", "CW 50434")  # a Cyrillic ES
