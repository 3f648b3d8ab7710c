"""Rebuild costs: the handbook's two decisions, break-even, and what a record decides."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import InputRefusedError
from partsdb.rules.money import Money
from partsdb.rules.rebuild import (
    RebuildWork,
    break_even_rate,
    comeback_cost,
    comeback_prior,
    comeback_rate_after,
    expected_comeback,
    how_rated,
    is_option,
    rebuild_option,
    what_the_record_says,
)
from partsdb.rules.verdict import Verdict, verdict_of


def eur(text):
    return Money.of(text, "EUR")


def work(minutes, hourly, comeback_minutes, *more, quantity=1):
    return RebuildWork(minutes, eur(hourly), comeback_minutes, *map(eur, more), quantity=quantity)


# Handbook 5.6: labour 127.50 (90 min at 85.00), carriage 18, goodwill 60, rental 55 a day.
RENTED = work(0, "85.00", 90, "18.00", "60.00", "55.00")
# Handbook 5.7 example 2: 0.75 h at 68.00, a comeback 1.25 h, carriage 18.00, goodwill 25.00.
BENCH = work(45, "68.00", 75, "18.00", "25.00", "0.00")


@pytest.mark.parametrize("checks", ["cost.comeback"], indirect=True)
def test_a_comeback_is_expected_at_its_rate(checks):
    for check in checks:
        given = check["inputs"]
        cost = comeback_cost(eur(str(given["parts"])), RENTED)
        expected = expected_comeback(Fraction(str(given["p"])), cost) / 100
        assert float(expected) == pytest.approx(check["expected"], abs=1e-9)


@pytest.mark.parametrize("checks", ["cost.total_option"], indirect=True)
def test_the_cheap_kit_in_two_days_beats_the_makers_in_fifteen(checks):
    for check in checks:
        maker = check["inputs"]["maker_kit"]
        parts, rate, days = ("96.00", "0.01", 15) if maker else ("41.20", "0.04", 2)
        option = rebuild_option(eur(parts), RENTED, comeback_rate=Fraction(rate), waiting_days=days)
        assert option.total == Money.rounded(Fraction(str(check["expected"])), "EUR")  # half up


@pytest.mark.parametrize("checks", ["cost.wait"], indirect=True)
def test_waiting_costs_the_rental_of_each_day(checks):
    for check in checks:
        option = rebuild_option(
            eur("0.00"), RENTED, comeback_rate=Fraction(0), waiting_days=check["inputs"]["days"]
        )
        assert option.steps[-1].label == "waiting"
        assert option.steps[-1].amount_minor == round(check["expected"] * 100)


@pytest.mark.parametrize("checks", ["cost.total_option_safety_gate"], indirect=True)
def test_a_part_whose_rating_is_not_shown_is_no_option_at_any_price(checks):
    [check] = checks
    assert check["expected"] == "NOT_AN_OPTION"
    assert not is_option(verdict_of([]))
    assert [verdict for verdict in Verdict if is_option(verdict)] == [
        Verdict.FIT,
        Verdict.FIT_WITH_CONDITIONS,
    ]


def test_example_2_comes_out_to_the_cent(check_value):
    expected = check_value("landed_example_2")
    maker = rebuild_option(eur("61.90"), BENCH, comeback_rate=Fraction("0.01"), waiting_days=0)
    other = rebuild_option(eur("33.50"), BENCH, comeback_rate=Fraction("0.06"), waiting_days=0)
    assert (maker.total.minor, other.total.minor) == (
        expected["maker_minor"],
        expected["aftermarket_minor"],
    )
    rate = break_even_rate(eur("33.50"), BENCH, waiting_days=0, other_total=maker.total)
    assert float(rate) == pytest.approx(expected["break_even_rate"], abs=1e-4)
    assert [step.amount_minor for step in maker.steps] == [6190, 5100, 190, 0]  # handbook 5.7


def test_a_way_that_costs_more_without_a_comeback_has_no_break_even():
    assert break_even_rate(eur("70.00"), BENCH, waiting_days=0, other_total=eur("114.80")) is None


@given(
    parts=st.integers(0, 10**7), rate=st.fractions(0, 1), days=st.integers(0, 60),
    minutes=st.integers(0, 600), quantity=st.integers(1, 20),
)  # fmt: skip
def test_the_total_is_the_sum_of_the_steps(parts, rate, days, minutes, quantity):
    job = work(minutes, "68.37", minutes, "18.01", "25.03", "55.00", quantity=quantity)
    option = rebuild_option(Money(parts, "EUR"), job, comeback_rate=rate, waiting_days=days)
    assert option.total.minor == sum(step.amount_minor for step in option.steps)


def test_several_machines_cost_the_labour_and_the_waiting_of_each():
    """By hand, on 5.7 example 2 for two: 67.00 + 102.00 + 6 % of (67.00 + 2 × 128.00) + 0."""
    two = work(45, "68.00", 75, "18.00", "25.00", "10.00", quantity=2)
    option = rebuild_option(eur("67.00"), two, comeback_rate=Fraction("0.06"), waiting_days=3)
    assert [step.amount_minor for step in option.steps] == [6700, 10200, 1938, 6000]


@pytest.mark.parametrize(
    ("grade", "rate"),
    [("A", "0.01"), ("B", "0.02"), ("C", "0.04"), ("D", "0.08"), ("", "0.05"), ("none", "0.05")],
)
def test_without_a_record_the_grade_gives_the_comeback_rate(grade, rate):
    """Common practice, no source."""
    assert comeback_prior(grade) == Fraction(rate)


@pytest.mark.parametrize("grade", ["barred", "E", "a"])
def test_what_is_barred_or_unknown_is_not_costed(grade):
    with pytest.raises(InputRefusedError, match="no comeback rate"):
        comeback_prior(grade)


@pytest.mark.parametrize(
    ("comebacks", "fitted", "break_even", "decided", "words"),
    [
        (
            2,
            20,
            "0.1876",
            False,
            "2.8% to 30.1% (95 %); break-even 18.8%: the record does not yet decide",
        ),
        (0, 0, "0.1876", False, "none has been fitted: the record does not yet decide"),
        (0, 59, "0.1876", True, "under the break-even"),
        (15, 20, "0.1876", True, "over the break-even"),
    ],
)
def test_a_record_says_whether_it_decides(comebacks, fitted, break_even, decided, words):
    """Handbook 5.7: with 2 comebacks in 20 fittings the Wilson interval is 2.8-30.1 %."""
    says = what_the_record_says(comebacks, fitted, Fraction(break_even))
    assert says.decided is decided
    assert words in says.text


@pytest.mark.parametrize(("rate", "days"), [("1.01", 0), ("-0.01", 0), ("0.5", -1)])
def test_a_rate_or_a_wait_beyond_reason_is_refused(rate, days):
    with pytest.raises(InputRefusedError, match="from 0 to 1"):
        rebuild_option(eur("1.00"), BENCH, comeback_rate=Fraction(rate), waiting_days=days)


@pytest.mark.parametrize(("minutes", "quantity"), [(-1, 1), (10, 0)])
def test_work_on_no_machine_or_of_negative_minutes_is_refused(minutes, quantity):
    with pytest.raises(InputRefusedError, match="at least one machine"):
        work(minutes, "68.00", 10, "0.00", "0.00", "0.00", quantity=quantity)


def test_a_way_that_costs_the_same_without_a_comeback_breaks_even_at_none():
    """By hand: 33.50 + 51.00 = 84.50."""
    assert break_even_rate(eur("33.50"), BENCH, waiting_days=0, other_total=eur("84.50")) == 0
    one_cent = break_even_rate(eur("33.50"), BENCH, waiting_days=0, other_total=eur("84.51"))
    assert one_cent == Fraction(1, 16150)


def test_the_steps_say_how_they_were_reached():
    option = rebuild_option(eur("33.50"), BENCH, comeback_rate=Fraction("0.06"), waiting_days=0)
    assert [step.how for step in option.steps] == [
        "landed",
        "45 min at 68.00 EUR an hour",
        "6 % of 161.50 EUR (the parts again, 75 min at 68.00 EUR an hour, carriage, goodwill)",
        "0 days at 0.00 EUR",
    ]


@pytest.mark.parametrize("checks", ["beta_posterior"], indirect=True)
def test_a_record_moves_the_prior_as_the_beta_posterior_does(checks):
    """The prior Beta(1, 19) is 5 % on 20 fittings."""
    for check in [
        check for check in checks if (check["inputs"]["a"], check["inputs"]["b"]) == (1, 19)
    ]:
        rate = comeback_rate_after(Fraction("0.05"), check["inputs"]["k"], check["inputs"]["n"])
        assert float(rate) == pytest.approx(check["expected"]["mean"], abs=1e-5)


def test_without_a_record_the_prior_stands():
    assert comeback_rate_after(Fraction("0.04"), 0, 0) == Fraction("0.04")


@pytest.mark.parametrize(("comebacks", "fitted"), [(1, 0), (-1, 5)])
def test_an_impossible_record_of_comebacks_is_refused(comebacks, fitted):
    with pytest.raises(InputRefusedError, match="is not a record"):
        comeback_rate_after(Fraction("0.05"), comebacks, fitted)


def test_consumables_are_used_up_on_each_machine_and_not_again_in_a_comeback():
    """By hand, on 5.7 example 2 for two: 67.00 + 102.00 + 2 × 4.50 + 6 % of 323.00 = 19.38."""
    two = RebuildWork(45, eur("68.00"), 75, eur("18.00"), eur("25.00"), eur("0"), 2, eur("4.50"))
    option = rebuild_option(eur("67.00"), two, comeback_rate=Fraction("0.06"), waiting_days=0)
    assert [(s.label, s.amount_minor) for s in option.steps] == [
        ("parts", 6700), ("labour", 10_200), ("consumables", 900), ("expected comebacks", 1938), ("waiting", 0),
    ]  # fmt: skip
    assert option.steps[2].how == "4.50 EUR × 2 machines"


@pytest.mark.parametrize(
    ("grade", "record", "said"),
    [
        ("B", (0, 0), "2 % assumed for grade B, none has been fitted here yet"),
        ("", (0, 0), "5 % assumed for no grade, none has been fitted here yet"),
        # Handbook 5.7: 2 in 20 are 2.8 to 30.1 %; (0.04 × 20 + 2) / 40 = 7 %.
        ("C", (2, 20), "4 % assumed for grade C, moved to 7 % by our own record, 2 in 20 fittings here: 2.8% to 30.1% (95 %)"),
    ],
)  # fmt: skip
def test_a_comeback_rate_says_what_it_is_made_of(grade, record, said):
    told = how_rated("CW 40311", grade, comeback_prior(grade), record)
    assert told == f"the comeback rate is that of CW 40311: {said}"
