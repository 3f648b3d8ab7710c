"""What was settled is looked at again: two lines on one part, and the shop's own record."""

import random
from dataclasses import replace

import pytest

from partsdb.matching.confidence import (
    ENOUGH,
    THRESHOLD,
    Precision,
    calibrated,
    evidence_kind,
    precisions,
    was_right,
)
from partsdb.matching.context import PastDecision, decision_key, wrong_key
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import Candidate, Evidence, LineText, Reading, ReadingKind
from partsdb.matching.second_look import without

OFFER, REVIEW = ReadingKind.OFFER, ReadingKind.TO_REVIEW
BYPASS = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat"
PLAIN = LineText("1", code="SR 1", maker="Quillmere", maker_number="24-1180", description=BYPASS)
# Other pressure, which alone is no veto on a number and maker that agree.
STRONG = replace(PLAIN, place="2", code="SR 2", description=f"{BYPASS}, 5000 psi")
WEAK = replace(PLAIN, place="3", code="SR 3", description=f"{BYPASS}, 3300 psi")


def kinds(lines, catalogue, context):
    return [reading.kind for reading in read_lines(lines, catalogue, context=context)]


def test_each_alone_is_an_offer(catalogue, context):
    for line in (PLAIN, STRONG, WEAK):
        assert kinds([line], catalogue, context) == [OFFER]


def test_two_codes_on_one_part_that_contradict_each_other_are_both_questions(catalogue, context):
    strong, weak, plain = read_lines([STRONG, WEAK, PLAIN], catalogue, context=context)
    assert (strong.kind, weak.kind, plain.kind) == (REVIEW, REVIEW, OFFER)
    assert (
        "SR 3 of this list settles on the same part: pressure 5000 psi" in strong.evidence[0].text
    )
    assert strong.candidates[0].part_id == 1
    assert strong.part_id is None


@pytest.mark.parametrize(
    "other",
    [
        replace(WEAK, code=STRONG.code),  # twins of one code are told by their prices
        replace(WEAK, description=f"{BYPASS}, 345 bar"),  # 5000 psi, rounded
        replace(WEAK, description=BYPASS),
        replace(WEAK, description="Valve kit, Q45"),  # one part fits several machines
        replace(WEAK, maker_number="24-1247", description="Valve kit, outlet check, Q33"),
    ],
)
def test_what_does_not_contradict_stays_settled(catalogue, context, other):
    assert kinds([STRONG, other], catalogue, context) == [OFFER, OFFER]


def test_twins_of_one_code_are_no_question_beside_another_code(catalogue, context):
    twin = replace(WEAK, code=STRONG.code)
    assert kinds([STRONG, twin, PLAIN], catalogue, context) == [OFFER, OFFER, OFFER]


def test_a_decided_line_is_no_question_but_the_other_may_rest_on_it(catalogue, context):
    decided = replace(context, decisions={decision_key(STRONG): PastDecision(OFFER, 1)})
    assert kinds([STRONG, WEAK], catalogue, decided) == [OFFER, OFFER]


def test_the_order_of_the_lines_changes_no_answer(catalogue, context):
    lines = [
        PLAIN,
        STRONG,
        WEAK,
        replace(STRONG, place="4", code="SR 0", description=BYPASS + ", 690 bar"),
    ]
    asked = dict(zip(lines, read_lines(lines, catalogue, context=context), strict=True))
    for seed in range(6):
        order = random.Random(seed).sample(lines, len(lines))
        found = read_lines(order, catalogue, context=context)
        assert dict(zip(order, found, strict=True)) == asked


def test_a_wrong_match_never_settles_again_and_is_proposed_last(catalogue, context):
    line = LineText("1", code="77-100", description="Gun, straight, M22x1.5, 400 bar")
    (before,) = read_lines([line], catalogue, context=context)
    assert (before.kind, before.part_id) == (OFFER, 16)
    wrong = replace(context, wrong={wrong_key(line): frozenset({16})})
    for told in (line, replace(line, maker="Tarnbeck"), replace(line, description="Gun")):
        (after,) = read_lines([told], catalogue, context=wrong)
        assert after.part_id != 16
        assert after.kind is not ReadingKind.REPLACEMENT
        shown = [each.part_id for each in after.candidates]
        assert 16 not in shown[:-1]
    elsewhere = replace(line, code="77.100-1", maker_number="77-100")
    assert kinds([elsewhere], catalogue, wrong) == [OFFER]


def test_a_wrong_claim_to_replace_never_settles_again(catalogue, context):
    line = LineText("1", code="SR 1", description="Valve kit, bypass", replaces="24-1180")
    assert kinds([line], catalogue, context) == [ReadingKind.REPLACEMENT]
    wrong = replace(context, wrong={wrong_key(line): frozenset({1})})
    (after,) = read_lines([line], catalogue, context=wrong)
    assert after.kind is REVIEW
    damaged = replace(line, replaces="T7.2O4.145", description="Valve kit, suction")
    assert kinds([damaged], catalogue, context) == [ReadingKind.REPLACEMENT]
    assert kinds([damaged], catalogue, replace(context, wrong={"SR1": frozenset({14})})) == [REVIEW]


def test_a_stored_reading_without_a_part_proposes_it_last():
    told = Evidence("number", "for", "24-1180 is the number 24-1180")
    first, second = Candidate(1, 1.0, (told,)), Candidate(2, 0.9, (told,))
    settled = Reading(OFFER, 1, 0.99, (told,), (first, second))
    after = without(settled, {1})
    assert (after.kind, after.part_id) == (REVIEW, None)
    assert [(c.part_id, c.vetoed) for c in after.candidates] == [(2, False), (1, True)]
    assert without(settled, {3}) is settled
    twice = without(after, {1})
    assert sum(e.name == "wrong match" for e in twice.candidates[-1].evidence) == 1


def test_enough_is_what_a_faultless_record_needs_to_clear_the_threshold():
    # Wilson's lower bound of n right of n is n / (n + z²): from z = 1.6449, 52 are needed for 95 %.
    assert ENOUGH == 52
    assert Precision("k", ENOUGH, ENOUGH).low >= THRESHOLD
    assert Precision("k", ENOUGH - 1, ENOUGH - 1).low < THRESHOLD


def test_a_record_calibrates_only_when_it_is_enough():
    offer = Reading(OFFER, 1, 0.99, (Evidence("number", "for", ""), Evidence("maker", "for", "")))
    assert evidence_kind(offer) == "number and maker"
    few = precisions([("number and maker", True)] * 20)
    assert calibrated(offer, few) == 0.99
    assert "too few to calibrate, 52 are needed" in few["number and maker"].text
    many = precisions([("number and maker", True)] * 200 + [("number and maker", False)] * 2)
    known = many["number and maker"]
    # Wilson's one-sided 95 % lower bound of 200 of 202, his formula written out (Wilson 1927).
    share, n, z2 = 200 / 202, 202, 1.6448536269514722**2
    low = (share + z2 / (2 * n) - (z2 * (share * (1 - share) / n + z2 / (4 * n * n))) ** 0.5) / (
        1 + z2 / n
    )
    assert calibrated(offer, many) == pytest.approx(low, abs=1e-4)
    assert not known.is_doubted
    assert known.expected == pytest.approx(201 / 204)


def test_a_kind_that_was_too_often_wrong_settles_nothing_any_more(catalogue, context):
    (before,) = read_lines([WEAK], catalogue, context=context)
    kind = evidence_kind(before)
    for right, wrong, expected in ((60, 0, OFFER), (48, 12, REVIEW), (20, 12, OFFER)):
        record = precisions([(kind, True)] * right + [(kind, False)] * wrong)
        (after,) = read_lines([WEAK], catalogue, context=replace(context, record=record))
        assert after.kind is expected
    assert precisions([("other", False)] * 90)["other"].is_doubted


def test_a_record_never_promotes(catalogue, context):
    near = LineText("1", code="24-1183", description=f"{BYPASS}, 3300 psi")
    (before,) = read_lines([near], catalogue, context=context)
    assert before.kind is REVIEW
    record = precisions([(evidence_kind(before), True)] * 500)
    (after,) = read_lines([near], catalogue, context=replace(context, record=record))
    assert (after.kind, after.part_id) == (REVIEW, None)
    assert after.confidence > before.confidence


@pytest.mark.parametrize(
    ("damage", "names", "kind"),
    [
        ("prefix XQ of this list", ("number",), "number, learned prefix"),
        ("look-alike characters", ("number", "piece"), "number, look-alike characters"),
        ("", ("number", "words"), "number alone"),
        ("", ("number", "piece", "words"), "number and description"),
        ("", ("number", "maker", "piece"), "number and maker"),
    ],
)
def test_readings_are_counted_by_kind_of_evidence(damage, names, kind):
    told = tuple(Evidence(name, "for", "") for name in names)
    assert evidence_kind(Reading(OFFER, 1, 0.9, told, damage=damage)) == kind


def test_a_proposal_was_right_when_the_first_candidate_was_chosen():
    asked = Reading(REVIEW, candidates=(Candidate(4, 1.0), Candidate(5, 0.9)))
    assert was_right(asked, OFFER, 4)
    assert not was_right(asked, OFFER, 5)
    assert not was_right(asked, ReadingKind.NOT_OURS, None)
    assert not was_right(replace(asked, candidates=()), ReadingKind.NEW_PART, None)


def test_codes_that_differ_in_a_letter_that_no_key_holds_are_two_codes(catalogue, context):
    one, other = replace(STRONG, code="\u041624"), replace(WEAK, code="\u00dc24")
    assert kinds([one, other], catalogue, context) == [REVIEW, REVIEW]


def test_what_was_decided_of_a_code_holds_for_no_code_with_another_letter(catalogue, context):
    line = replace(STRONG, code="\u041624")
    decided = replace(context, decisions={decision_key(line): PastDecision(OFFER, 16)})
    (same,) = read_lines([line], catalogue, context=decided)
    (other,) = read_lines([replace(line, code="\u00dc24")], catalogue, context=decided)
    assert (same.part_id, other.part_id) == (16, 1)
    assert wrong_key(line) != wrong_key(replace(line, code="24"))
