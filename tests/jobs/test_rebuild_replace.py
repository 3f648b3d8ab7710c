"""Repair or replace, break-even and prompt payment, by hand on a small shop."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_shop import DAY, SmallShop

from partsdb.jobs.payment_notes import payment_note
from partsdb.jobs.rebuild import RebuildAsk, rebuild_cost
from partsdb.jobs.rebuild_answers import RebuildAnswer
from partsdb.rules.money import Money
from partsdb.rules.payment import prompt_discount
from partsdb.store import sql

# An hour at 60.00; a comeback costs 30 min, 5.00 carriage, 10.00 goodwill; 7.00 a day of waiting.
WORK = {
    "minutes": 60, "hourly_minor": 6000, "comeback_minutes": 30, "comeback_carriage_minor": 500,
    "comeback_goodwill_minor": 1000, "waiting_day_minor": 700,
}  # fmt: skip


def cost(**more: object) -> RebuildAnswer:
    return rebuild_cost(RebuildAsk("rebuild", DAY, **more))  # type: ignore[arg-type]


@pytest.fixture
def pump(small: SmallShop) -> dict[str, int]:
    """The Q33 calls for collar A and, not in the recipe, for a block; Kestrow sells A in two days."""
    made = {"A": small.part("A"), "block": small.part("26-1203", "pump block", rating="3300 psi")}
    made["machine"] = small.machine()
    small.position(made["machine"], "collar", "collar", (made["A"],))
    small.position(made["machine"], "block", "pump block", (made["block"],), "3300 psi")
    small.recipe("rebuild", [(made["A"], 1)], machine_id=made["machine"], **WORK)
    made["Kestrow"] = small.supplier("Kestrow", lead_days=2)
    small.offer(made["Kestrow"], made["A"], "40")
    return made


def test_without_an_offer_of_a_block_there_is_only_the_kit(pump):
    answer = cost()
    assert [option.total_minor for option in answer.options] == [4000 + 6000 + 1400 + 425]
    assert answer.beyond == ()  # above: 5 % (ungraded) of 40 + 30 + 5 + 10 = 85.00 is 4.25


def test_kit_and_block_is_landed_as_one_order(small, pump):
    small.offer(pump["Kestrow"], pump["block"], "900")
    (option,) = cost().beyond
    assert option.name == "kit and block, all from Kestrow"
    assert {each.number for each in option.buy} == {"A", "26-1203"}
    # By hand: 940.00 + 60.00 + 14.00 and 5 % of 940 + 30 + 5 + 10 = 985.00.
    assert option.total_minor == 94000 + 6000 + 1400 + 4925
    assert option.total_minor == sum(step.amount_minor for step in option.steps)


def test_a_block_that_is_not_shown_to_hold_is_no_option(small, pump):
    sql.run("UPDATE claim SET withdrawn_at = ?", ("2026-11-03T00:00:00Z",))
    small.offer(pump["Kestrow"], pump["block"], "900")
    assert cost().beyond == ()


def test_a_new_unit_costs_itself_and_the_waiting(small, pump):
    unit = small.part("Q33", "pump")
    small.offer(pump["Kestrow"], unit, "1100", lead_days=10)
    (option,) = cost(quantity=2).beyond
    assert option.name == "new Q33, all from Kestrow"
    assert [(s.label, s.amount_minor) for s in option.steps] == [
        ("Kestrow: goods", 220_000), ("waiting", 14_000),
    ]  # fmt: skip
    assert option.total_minor == 234_000
    assert any("no labour is counted" in note for note in option.notes)


def test_the_break_even_is_where_both_ways_cost_the_same(small, pump):
    other = small.part("X", maker="Corrowby")
    small.edge(pump["A"], other)
    small.offer(pump["Kestrow"], other, "20")
    said, record = cost().break_even
    # By hand: A costs 118.25. X without comebacks costs 20 + 60 + 14 = 94.00, and a comeback of it
    # 20 + 30 + 5 + 10 = 65.00: 24.25 / 65.00 = 37.3077 %.
    assert (
        said
        == "X against the parts called for (118.25 EUR): at a comeback rate of 37.31 % both cost the same"
    )
    assert record == "X: none has been fitted: the record does not yet decide"


def test_no_break_even_is_told_where_the_parts_called_for_are_cheapest(small, pump):
    other = small.part("X", maker="Corrowby")
    small.edge(pump["A"], other)
    small.offer(pump["Kestrow"], other, "60")
    assert cost().break_even == ()


@pytest.mark.parametrize(
    "terms", ["2/10 net 30", "2 % in 10 days, 30 days net", "2% within 10 days, net 30 days"]
)
def test_a_discount_for_prompt_payment_is_read_however_it_is_written(terms):
    discount = prompt_discount(terms)
    assert (discount.rate, discount.discount_days, discount.net_days) == (Fraction(2, 100), 10, 30)


def test_what_prompt_payment_is_worth_is_noted_and_not_taken_off():
    # Textbook: 2/10 net 30 is 37.24 % simple and 44.59 % compounded on 365 days.
    (note,) = payment_note("Kestrow", "2/10 net 30", Money.of("1123.00", "EUR"))
    assert "22.46 EUR less" in note  # handbook 5.4: a 2 % prompt discount saves 22.46
    assert "37.24% a year (44.59% compounded)" in note
    assert payment_note("Saltreeve", "30 days net", Money.of("1.00", "EUR")) == ()


@pytest.mark.parametrize(
    ("published", "said"),
    [("2026-11-20", "that very day's"), ("2026-11-19", "1 day old"), ("2026-11-17", "3 days old")],
)
def test_the_exchange_rate_is_told_with_its_day_and_age(small, pump, published, said):
    small.rate("USD", "1.10", published)
    seller = small.supplier("Ninefold", "USD", lead_days=2)
    small.offer(seller, pump["A"], "11", currency="USD")
    (first, *_) = cost().options
    assert f"Ninefold: USD at the rate of {published}, {said}" in first.notes


def test_the_note_stands_with_the_option(small, pump):
    seller = small.supplier("Saltreeve", lead_days=2, payment="2/10 net 30")
    small.offer(seller, pump["A"], "30")
    (first, *_) = cost().options
    assert first.suppliers == ("Saltreeve",)
    assert any("0.60 EUR less" in note for note in first.notes)  # 2 % of 30.00
