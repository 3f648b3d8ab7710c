"""The pieces of the two-list matcher, each on hand-made rows."""

import numpy as np
import pytest

from partsdb.matching.two_lists.assignment import beliefs, cut, one_to_one, two_rounds
from partsdb.matching.two_lists.codes import CodeComparison, code_agreement, codes_of, is_code
from partsdb.matching.two_lists.evidence import compared, evidence
from partsdb.matching.two_lists.first_score import first_score
from partsdb.matching.two_lists.match import _nearest
from partsdb.matching.two_lists.measures import learned_units, measure_conflicts, measures_in
from partsdb.matching.two_lists.records import Listing, Record, amount, columns, plain
from partsdb.matching.two_lists.refinement import fit
from partsdb.matching.two_lists.sides import side
from partsdb.matching.two_lists.vectors import indicators, nearest, row_dots, vocabulary
from partsdb.matching.two_lists.words import plain_number, words_of


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("399", 399.0), ("12.50", 12.5), ("12,50", 12.5), ("1,200", 1200.0), ("1.200", 1.2),
        ("1,234.50", 1234.5), ("1.234.567", 1234567.0), ("$ 5.00", 5.0), ("290.59 gbp", 290.59),
        ("0.0", 0.0), ("", None), ("call us", None), ("24-1180", None), ("3/8 NPT", None),
    ],
)  # fmt: skip
def test_an_amount_is_read_whatever_its_points(cell, value):
    assert amount(cell) == value


def listing(headings, *rows):
    return Listing(headings, tuple(Record(str(at), row) for at, row in enumerate(rows)))


def test_amount_columns_meet_by_heading_and_else_by_size():
    left = listing(("name", "price", "weight"), ("ball", "10", "200"), ("seat", "12", "300"))
    right = listing(("weight", "cost", "text"), ("210", "11", "ball"), ("290", "13", "seat"))
    found = columns(left, right)
    assert found.amounts == ((1, 1), (2, 0))
    assert (found.left_texts, found.right_texts) == ((0,), (2,))


def test_long_whole_numbers_are_article_numbers_not_amounts():
    left = listing(("ean",), ("4006381333931",), ("4006381333948",))
    assert columns(left, left).amounts == ()


def test_text_is_read_without_accents_and_in_small_letters():
    assert plain("Düse ÉTANCHE") == "duse etanche"


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("hose 16mm", ["hose", "16", "mm"]),
        ("v8.0", ["v", "8"]),
        ("345.0 bar", ["345", "bar"]),
        ("AB-12345X", ["ab", "12345x"]),
        ("007", ["7"]),
    ],
)
def test_measures_are_split_and_numbers_have_one_form(cell, words):
    assert [word.text for word in words_of([(0, plain(cell))])] == words


def test_a_number_of_zeros_stays_a_zero():
    assert plain_number("000.0") == "0"


@pytest.mark.parametrize("text", ["24118a", "xq24118", "41180", "t7204145"])
def test_mixed_words_and_long_numbers_are_codes(text):
    assert is_code(text)


@pytest.mark.parametrize("text", ["16mm", "345bar", "2007", "valve", "v8", "250"])
def test_measures_years_and_words_are_no_codes(text):
    assert not is_code(text)


@pytest.mark.parametrize(
    ("a", "b", "least", "most", "near"),
    [
        ("24118", "24118", 1.0, 1.0, False),
        ("24118", "24119", 0.0, 0.0, True),
        ("24118", "24181", 0.0, 0.0, True),
        ("24118", "24118a", 0.5, 0.9, False),
        ("24118", "xq24118", 0.5, 0.9, False),
        ("24118", "77003", 0.0, 0.0, False),
        ("24i18", "24118", 0.8, 0.95, False),
    ],
)
def test_a_code_agrees_when_equal_less_with_an_affix_and_never_when_a_digit_differs(
    a, b, least, most, near
):
    share, is_near = code_agreement(a, b)
    assert least <= share <= most
    assert is_near is near


def test_a_code_that_siblings_share_weighs_less_than_a_code_of_one_row():
    rows = [codes_of([(0, text)]) for text in ("aa1180", "fam20", "fam20", "fam20", "fam20")]
    found = CodeComparison((rows, rows), ([""] * 5, [""] * 5)).evidence(np.array([[0, 0], [1, 1]]))
    assert found.agreement[0] == 1.0
    assert found.agreement[1] < 0.7


def test_words_that_follow_several_numbers_are_units_and_two_values_of_one_unit_conflict():
    names = [
        ["gauge", "250", "bar"], ["gauge", "345", "bar"], ["gauge", "100", "bar"],
        ["kit", "3", "kit"],
    ]  # fmt: skip
    units = learned_units(names)
    assert units == {"bar"}
    found = measures_in(names, units)
    assert measure_conflicts(found, found, np.array([[0, 0], [0, 1], [0, 3]])).tolist() == [0, 1, 0]


def test_a_contradiction_lowers_the_first_score_below_the_agreeing_pair():
    kinds = (
        "all words", "name words", "name spelling", "name covered left", "name covered right",
        "code", "code conflict", "numbers shared", "numbers at odds", "numbers missing both",
        "spelling covered left", "spelling covered right",
    )  # fmt: skip
    found = {kind: np.full(3, 0.5) for kind in kinds}
    found["numbers at odds"] = np.array([0.0, 1.0, 0.0])
    found["amount 0"] = np.array([0.0, 0.0, 2.0])
    score = first_score(found)
    assert score[0] > score[1]
    assert score[0] > score[2]


def test_the_nearest_are_found_from_both_sides():
    left, right = [["a", "b"], ["c"]], [["a"], ["b", "c"], ["d"]]
    terms = vocabulary(left, right)
    a, b = indicators(left, terms), indicators(right, terms)
    pairs = nearest(a, b, each_left=1, each_right=1)
    assert {(0, 0), (1, 1)} <= set(map(tuple, pairs.tolist()))
    assert 2 not in pairs[:, 1]
    assert row_dots(a, b, np.array([[0, 0], [0, 1], [1, 2]])).tolist() == [1.0, 1.0, 0.0]


def test_the_assignment_takes_the_best_first_and_each_row_once():
    pairs = np.array([[0, 0], [0, 1], [1, 0], [1, 1]])
    scores = np.array([3.0, 2.9, 2.8, 0.1])
    assert one_to_one(pairs, scores).tolist() == [0, 3]
    assert two_rounds(pairs, scores).second.tolist() == [1, 2]


def two_populations(true, strangers):
    """Partners score near 6; each row has twelve wrong partners that score near 0."""
    rng = np.random.default_rng(3)
    rows = true + strangers
    wrong = [
        (row, other)
        for row in range(rows)
        for other in rng.choice(rows, 12, replace=False).tolist()
        if row != other or row >= true
    ]
    pairs = np.array([(row, row) for row in range(true)] + wrong)
    scores = np.concatenate((rng.normal(6, 0.7, true), rng.normal(0, 1, len(wrong))))
    return pairs, scores


@pytest.mark.parametrize(("true", "strangers"), [(200, 0), (100, 100), (50, 150)])
def test_the_cut_lies_between_partners_and_strangers_without_labels(true, strangers):
    pairs, scores = two_populations(true, strangers)
    rounds = two_rounds(pairs, scores)
    place = cut(scores, rounds)
    settled = rounds.first[scores[rounds.first] >= place.score]
    assert abs(len(settled) - true) <= 0.08 * true
    assert abs(beliefs(scores, rounds).sum() - true) <= 0.15 * true


def test_beliefs_never_fall_as_the_score_rises():
    pairs, scores = two_populations(60, 90)
    rounds = two_rounds(pairs, scores)
    ordered = rounds.first[np.argsort(scores[rounds.first])]
    assert (np.diff(beliefs(scores, rounds)[ordered]) >= 0).all()


def test_the_fit_finds_the_sign_of_what_matters_and_nothing_in_noise():
    rng = np.random.default_rng(5)
    rows = np.column_stack((np.ones(2000), rng.normal(size=(2000, 2))))
    weights = fit(rows, (rows[:, 1] > 0.3).astype(float))
    assert weights[1] > 1
    assert abs(weights[2]) < 0.3


KINDS_FOR = ("all words", "name words", "name spelling", "code", "numbers shared")
KINDS_AGAINST = ("code conflict", "numbers at odds", "numbers missing both", "amount 0")


@pytest.mark.parametrize("kind", KINDS_AGAINST)
def test_whatever_stands_against_a_pair_lowers_its_score(kind):
    covered = [f"{what} covered {side}" for what in ("name", "spelling") for side in ("left", "right")]
    found = {each: np.full(2, 0.5) for each in (*KINDS_FOR, *covered)}
    found |= {each: np.zeros(2) for each in KINDS_AGAINST}
    found[kind] = np.array([0.0, 1.0])
    agreeing, against = first_score(found)
    assert agreeing > against


@pytest.mark.parametrize(
    ("ours", "theirs", "conflict", "near"),
    [
        ("24-11805", "24-11805", 0, 0),
        ("24-11805", "24-11806", 1, 1),
        ("24-11805", "24-11850", 1, 1),
        ("24-11805", "77-30019", 1, 0),
        ("24-11805", "no code", 0, 0),
        ("24-11805 xq9901", "24-11805 zz7702", 0, 0),
    ],
)
def test_codes_of_two_rows_that_all_differ_stand_against_them(ours, theirs, conflict, near):
    rows = [codes_of([(0, ours)])], [codes_of([(0, theirs)])]
    found = CodeComparison(rows, ([""], [""])).evidence(np.array([[0, 0]]))
    assert (found.conflict[0], found.near_miss[0]) == (conflict, near)


def test_two_values_of_one_unit_are_evidence_against_a_pair():
    bars = ("200 bar", "250 bar", "345 bar", "400 bar")
    left = listing(("name",), *((f"gauge {bar}",) for bar in bars))
    both = compared(side(left, (0,)), side(left, (0,)), columns(left, left))
    found = evidence(both, np.array([[0, 0], [0, 1]]))
    assert found["measures at odds"].tolist() == [0, 1]


def test_pairs_that_score_the_same_are_taken_in_order_of_their_rows():
    # A sum in another order differs in its last digits: that is no better score.
    pairs = np.array([[0, 0], [0, 1], [1, 0], [1, 1]])
    for scores in ([2.0] * 4, [2.0, 2.0 + 1e-12, 2.0 + 2e-12, 2.0]):
        assert one_to_one(pairs, np.array(scores)).tolist() == [0, 3]
        turned = one_to_one(pairs[::-1], np.array(scores)[::-1])
        assert pairs[::-1][turned].tolist() == [[0, 0], [1, 1]]


def test_rows_that_are_equally_near_are_offered_in_order_of_their_rows():
    names = (("l0",), ("r0", "r1", "r2"))
    pairs = np.array([[0, 2], [0, 0], [0, 1]])
    scores = np.array([1.0 + 1e-12, 1.0, 1.0 - 1e-12])
    assert _nearest(names, pairs, scores) == {"l0": ("r0", "r1", "r2")}
