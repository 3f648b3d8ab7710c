"""Sampling on arrival: code letters, plans with their arrows, c = 0, and what a plan lets through."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import UsageError
from partsdb.rules.sampling import (
    AQLS,
    LETTERS,
    LEVELS,
    SAMPLE_SIZES,
    acceptance,
    clean_sample,
    clean_sample_of_lot,
    code_letter,
    lot_acceptance,
    plan,
    plan_for_lot,
    rate_at_acceptance,
)
from partsdb.rules.switching import LotResult, Severity, switching

# ISO 2859-1 / ANSI Z1.4 table II-A as printed in handbook 6.2; v and ^ are its arrows.
TABLE_II_A = """
A    2 v v v v v v v v v v 0
B    3 v v v v v v v v v 0 ^
C    5 v v v v v v v v 0 ^ v
D    8 v v v v v v v 0 ^ v 1
E   13 v v v v v v 0 ^ v 1 2
F   20 v v v v v 0 ^ v 1 2 3
G   32 v v v v 0 ^ v 1 2 3 5
H   50 v v v 0 ^ v 1 2 3 5 7
J   80 v v 0 ^ v 1 2 3 5 7 10
K  125 v 0 ^ v 1 2 3 5 7 10 14
L  200 0 ^ v 1 2 3 5 7 10 14 21
M  315 ^ v 1 2 3 5 7 10 14 21 ^
N  500 v 1 2 3 5 7 10 14 21 ^ ^
P  800 1 2 3 5 7 10 14 21 ^ ^ ^
Q 1250 2 3 5 7 10 14 21 ^ ^ ^ ^
R 2000 3 5 7 10 14 21 ^ ^ ^ ^ ^
"""
PRINTED = [line.split() for line in TABLE_II_A.split("\n") if line]


def printed_plan(row, column):
    """Follow the printed arrows by hand."""
    while (cell := PRINTED[row][column + 2]) in "v^":
        row += 1 if cell == "v" else -1
    return PRINTED[row][0], int(PRINTED[row][1]), int(cell)


@pytest.mark.parametrize("row", range(len(LETTERS)), ids=list(LETTERS))
def test_every_cell_of_the_printed_table_comes_out_of_the_code(row):
    for column, aql in enumerate(AQLS):
        found = plan(LETTERS[row], aql)
        assert (found.letter, found.n, found.ac) == printed_plan(row, column), aql


@pytest.mark.parametrize("checks", ["aql.code_letter"], indirect=True)
def test_a_lot_has_its_code_letter(checks):
    for check in checks:
        assert code_letter(**check["inputs"]) == check["expected"], check["id"]


SEVERITIES = {"aql.plan_normal": Severity.NORMAL, "aql.plan_tightened": Severity.TIGHTENED}


@pytest.mark.parametrize("checks", SEVERITIES, indirect=True)
def test_a_plan_follows_the_arrows_to_its_own_sample(checks):
    for check in checks:
        found = plan(**check["inputs"], severity=SEVERITIES[check["topic"]])
        shown = {"letter": found.letter, "n": found.n, "Ac": found.ac, "Re": found.re}
        assert shown == check["expected"], check["id"]


@pytest.mark.parametrize("checks", ["aql.lot_to_plan"], indirect=True)
def test_a_lot_has_its_plan(checks):
    for check in checks:
        given = check["inputs"]
        found = plan_for_lot(given["lot"], aql=given["aql"], level=given["level"])
        shown = {"n": found.n, "Ac": found.plan.ac, "inspect_all": found.inspect_all}
        assert shown == check["expected"], check["id"]


@pytest.mark.parametrize(("lot", "n"), [(10, 10), (13, 13), (14, 13)])
def test_a_sample_as_large_as_the_lot_means_every_piece(lot, n):
    """Handbook 6.2: letter B or A, AQL 1.0, leads to n 13."""
    found = plan_for_lot(lot, aql="1.0")
    assert (found.n, found.inspect_all) == (n, lot <= 13)


@given(st.integers(2, 10**6), st.sampled_from(LEVELS))
def test_a_larger_lot_never_has_an_earlier_letter(lot, level):
    assert LETTERS.index(code_letter(lot, level)) <= LETTERS.index(code_letter(lot + 1, level))


@given(st.sampled_from(LETTERS), st.sampled_from(AQLS))
def test_tightened_inspection_never_permits_more(letter, aql):
    normal, tight = plan(letter, aql), plan(letter, aql, Severity.TIGHTENED)
    assert Fraction(tight.ac, tight.n) <= Fraction(normal.ac, normal.n)


def test_sample_sizes_rise_with_the_letters():
    assert len(SAMPLE_SIZES) == len(LETTERS) == 16
    assert list(SAMPLE_SIZES) == sorted(SAMPLE_SIZES)


@pytest.mark.parametrize(
    "work",
    [
        lambda: code_letter(100, "IV"), lambda: code_letter(1), lambda: plan("I", "1.0"), lambda: plan("", "1.0"), lambda: plan("AB", "1.0"),
        lambda: plan("G", "0.01"), lambda: plan("G", "one"), lambda: plan("G", "1e999999999"), lambda: plan("G", "1.0", Severity.DISCONTINUED),
        lambda: clean_sample(Fraction(0), Fraction(1, 10)), lambda: clean_sample(Fraction(1, 10), Fraction(1)),
        lambda: clean_sample_of_lot(10, 0, Fraction(1, 10)), lambda: clean_sample_of_lot(10, 11, Fraction(1, 10)),
        lambda: rate_at_acceptance(10, 10, 0.1),
    ],
)  # fmt: skip
def test_what_the_tables_do_not_hold_is_refused_with_a_sentence(work):
    with pytest.raises(UsageError) as refusal:
        work()
    assert refusal.value.hint


R, A = False, True


@pytest.mark.parametrize(
    ("accepted", "severity"),
    [  # ISO 2859-1, 9.3 and 9.4, as in handbook 6.2
        ([], Severity.NORMAL), ([R, A, A, A, A, R], Severity.NORMAL), ([R, A, A, A, R], Severity.TIGHTENED),
        ([R, R], Severity.TIGHTENED), ([R, R, A, A, A, A], Severity.TIGHTENED), ([R, R, A, A, A, A, A], Severity.NORMAL),
        ([R, R, A, A, A, A, R, A, A, A, A], Severity.TIGHTENED), ([R, R, R, A, R, R, A, R], Severity.TIGHTENED),
        ([R, R, R, A, R, R, A, R, R], Severity.DISCONTINUED), ([R, R, R, R, R, R, R, A, A, A, A, A], Severity.DISCONTINUED),
    ],
)  # fmt: skip
def test_the_severity_follows_the_lots_before(accepted, severity):
    assert switching(map(LotResult, accepted)).severity is severity


@pytest.mark.parametrize("checks", ["c0.n"], indirect=True)
def test_the_clean_sample_that_excludes_a_defect_rate(checks):
    for check in checks:
        p, beta = (Fraction(str(check["inputs"][key])) for key in ("p", "beta"))
        assert clean_sample(p, beta) == check["expected"], check["id"]


def test_the_clean_sample_is_exact_at_equality():
    """By hand: 0.9 × 0.9 × 0.9 = 0.729, so 3 are enough for a risk of 0.729 and no fewer."""
    assert clean_sample(Fraction(1, 10), Fraction("0.729")) == 3
    assert clean_sample(Fraction(1, 10), Fraction("0.7289")) == 4


@pytest.mark.parametrize("checks", ["c0.n_hypergeometric"], indirect=True)
def test_the_clean_sample_of_a_small_lot(checks):
    for check in checks:
        given = check["inputs"]
        n = clean_sample_of_lot(given["lot"], given["defectives"], Fraction(str(given["beta"])))
        assert n == check["expected"], check["id"]


def test_of_ten_kits_all_ten_are_inspected():
    """Handbook 6.3: one bad kit of ten is only excluded, at 10 % risk, by 9; at 5 % by all ten."""
    assert clean_sample_of_lot(10, 1, Fraction(1, 10)) == 9
    assert clean_sample_of_lot(10, 1, Fraction(5, 100)) == 10


@pytest.mark.parametrize("checks", ["oc.pa"], indirect=True)
def test_the_operating_characteristic(checks):
    for check in checks:
        assert acceptance(*check["inputs"].values()) == pytest.approx(check["expected"], abs=1e-6)


@pytest.mark.parametrize("checks", ["oc.p_at_pa"], indirect=True)
def test_the_rate_that_a_plan_still_lets_through(checks):
    for check in checks:
        given = check["inputs"]
        rate = rate_at_acceptance(given["n"], given["c"], given["pa"])
        assert rate == pytest.approx(check["expected"], abs=1e-6), check["id"]


@pytest.mark.parametrize("checks", ["oc_hypergeometric_c0"], indirect=True)
def test_the_exact_acceptance_of_a_small_lot(checks):
    for check in checks:
        given = check["inputs"]
        found = lot_acceptance(given["lot"], given["defective"], n=given["n"], c=0)
        assert float(found) == pytest.approx(check["expected"], abs=1e-4), check["id"]


def test_a_plan_that_permits_its_whole_sample_accepts_everything():
    assert acceptance(2, 2, 0.9) == 1.0


def test_the_exact_acceptance_counts_every_way_to_find_few_enough():
    """By hand: of 4 with 2 bad, a pair holds 2 bad in 1 of 6 ways, none in 1 of 6."""
    assert lot_acceptance(4, 2, n=2, c=1) == Fraction(5, 6)
    assert lot_acceptance(4, 2, n=2, c=0) == Fraction(1, 6)
