"""A price far below the others demands a certificate; too few others say nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from small_shop import BY, DAY, SmallShop

from importers.rows import ListRow, RowKind
from partsdb.jobs.listed import ListedLine, ListedOffer
from partsdb.jobs.market import Market
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.vet_judged import Judged
from partsdb.jobs.vet_prices import priced
from partsdb.matching.readings import LineText, Reading, ReadingKind
from partsdb.rules.money import price_e4
from partsdb.rules.verdict import Verdict
from partsdb.store import events


def line(
    price: str,
    group: int | None,
    *,
    verdict: Verdict | None = Verdict.FIT,
    currency: str = "EUR",
    per: int = 1,
) -> Judged:
    offer = ListedOffer(price_e4(price), per, currency) if price else None
    listed = ListedLine(ListRow(RowKind.ITEM, "", 2, {}), LineText("A2", code="X"), offer)
    read = ReadLine(listed, Reading(ReadingKind.OFFER, group))
    return Judged(read, verdict=verdict, group=group)


def checked_prices(lines: Sequence[Judged], sender: int | None = None) -> list[Judged]:
    """Check the prices as vetting does, on the day of the story."""
    return priced(lines, Market(lines, DAY, sender))


def flagged(*lines: Judged, supplier: int | None = None) -> list[bool]:
    checked = checked_prices(lines, supplier)
    return [any(check.code == "PRICE_LOW" for check in each.checks) for each in checked]


@pytest.fixture
def part(small: SmallShop) -> int:
    return small.part("24-1180")


@pytest.fixture
def quoted(small: SmallShop, part: int) -> None:
    """Six suppliers' prices: trade handbook 6.5, without the one that stands apart."""
    prices = ("9.80", "10.20", "10.50", "10.90", "11.00", "11.40")
    for n, price in enumerate(prices):
        small.offer(small.supplier(f"Supplier {n}"), part, price)


@pytest.mark.usefixtures("quoted")
@pytest.mark.parametrize(("price", "low"), [("3.20", True), ("9.80", False), ("10.50", False), ("99.00", False)])  # fmt: skip
def test_a_price_is_judged_among_those_of_others(part, price, low):
    """Handbook 6.5: of these seven, 3.20 has M = -17.2 and 9.80 has M = -1.00."""
    assert flagged(line(price, part)) == [low]


@pytest.mark.usefixtures("quoted")
def test_what_is_too_cheap_is_asked_about_and_never_better(part):
    (checked,) = checked_prices([line("3.20", part)])
    assert checked.verdict is Verdict.ASK_FIRST
    assert checked.checks[0].code == "PRICE_LOW"
    assert "demand the rating certificate" in checked.checks[0].text
    (worse,) = checked_prices([line("3.20", part, verdict=Verdict.DO_NOT_FIT)])
    assert worse.verdict is Verdict.DO_NOT_FIT


@pytest.mark.usefixtures("quoted")
def test_prices_are_compared_for_one_unit_in_one_currency(small, part):
    small.rate("USD", "2.0000")
    assert flagged(line("1050.00", part, per=100)) == [False]
    assert flagged(line("320.00", part, per=100)) == [True]
    assert flagged(line("6.40", part, currency="USD")) == [True]  # 3.20 EUR
    assert flagged(line("21.00", part, currency="USD")) == [False]


@pytest.mark.usefixtures("quoted")
def test_the_home_currency_does_not_change_what_is_cheap(small, part):
    small.rate("GBP", "0.8500")
    events.set_setting("home_currency", "GBP", by=BY)
    assert flagged(line("3.20", part), line("9.80", part)) == [True, False]


@pytest.mark.usefixtures("quoted")
@pytest.mark.parametrize(
    "bare",
    [("", True), ("3.20", False)],
    ids=["no price", "no part"],
)
def test_a_line_without_price_or_part_is_left_as_it_is(part, bare):
    price, has_part = bare
    before = line(price, part if has_part else None, verdict=None)
    assert checked_prices([before]) == [before]


@pytest.mark.usefixtures("quoted")
def test_a_currency_without_a_rate_is_not_compared(part):
    before = line("0.01", part, currency="SEK")
    assert checked_prices([before]) == [before]


@pytest.mark.parametrize(
    ("others", "price", "low", "source"),
    [
        (("10.00", "12.00"), "4.99", True, "less than half of the cheapest of two"),
        (("10.00", "12.00"), "5.00", False, "just half"),
        (("10.00",), "0.50", False, "one other quote says nothing"),
        ((), "0.50", False, "nothing to compare with"),
    ],
)
def test_with_few_quotes_only_less_than_half_of_the_cheapest_is_asked(
    small, part, others, price, low, source
):
    for n, other in enumerate(others):
        small.offer(small.supplier(f"Supplier {n}"), part, other)
    assert flagged(line(price, part)) == [low], source


def test_lines_of_the_list_itself_are_quotes_too(part):
    prices = ("10.00", "10.10", "10.20", "10.30", "2.00")
    assert flagged(*(line(price, part) for price in prices)) == [False] * 4 + [True]


def test_what_may_stand_in_is_compared_only_when_it_was_accepted(small, part):
    sold_by = [small.supplier(f"Supplier {n}") for n in range(2)]
    stand_in = small.part("CW 1", maker="Corrowby")
    for supplier in sold_by:
        small.offer(supplier, stand_in, "10.00")
    assert flagged(line("1.00", part)) == [False]
    small.edge(part, stand_in, "proposed")
    assert flagged(line("1.00", part)) == [False]
    small.edge(part, stand_in, "accepted")
    assert flagged(line("1.00", part)) == [True]


def test_what_the_sender_asked_before_is_no_other_quote(small, part):
    """The list is vetted alike before and after it was read: its own prices do not excuse it."""
    for n, price in enumerate(("10.00", "12.00")):
        small.offer(small.supplier(f"Supplier {n}"), part, price)
    sender = small.supplier("Saltreeve")
    assert flagged(line("2.00", part), supplier=sender) == [True]
    small.offer(sender, part, "2.00")
    assert flagged(line("2.00", part), supplier=sender) == [True]


# The list's own level, articles that read alike


def compared(lines: list[Judged]) -> list[tuple[int, str]]:
    checked = checked_prices(lines)
    return [
        (each.compared, next((c.text for c in each.checks if c.code == "PRICE_LOW"), ""))
        for each in checked
    ]


def level(small: SmallShop, count: int, price: str) -> list[Judged]:
    """So many parts that one other supplier asks 10.00 for, at about that in the list, and one."""
    other = small.supplier("Supplier 1")
    parts = [small.part(f"30-{n}") for n in range(count + 1)]
    for part in parts:
        small.offer(other, part, "10.00")
    usual = ("9.00", "9.60", "10.20", "11.00")
    prices = [usual[n % 4] for n in range(count)] + [price]
    return [line(each, part) for each, part in zip(prices, parts, strict=True)]


def test_one_other_quote_is_enough_where_the_rest_of_the_list_shows_its_level(small):
    *rest, (count, said) = compared(level(small, 20, "2.00"))
    assert (count, {text for _, text in rest}) == (21, {""})
    assert "0.20 times what others ask" in said
    assert "the list's 21 comparable prices lie, modified z" in said


def test_a_price_at_the_lists_own_level_is_not_told_however_level_the_list_is(small):
    assert {said for _, said in compared(level(small, 20, "6.00"))} == {""}


def test_too_few_comparable_prices_show_no_level(small):
    assert compared(level(small, 18, "2.00"))[-1] == (0, "")


def test_a_price_per_hundred_taken_for_one_is_told_as_a_slip(small):
    *_, (_, said) = compared(level(small, 20, "0.10"))
    assert "about 1/100" in said


def described(price: str, text: str, role: str = "hose") -> Judged:
    found = line(price, None, verdict=None)
    listed = replace(found.line.listed, text=LineText("A2", code=text, description=text))
    return replace(found, line=replace(found.line, listed=listed), role=role)


HOSE = "Hose, airless, {}, 1/4 in x {} m, 1/4 NPSM"


@pytest.mark.usefixtures("small")
def test_where_nobody_quotes_articles_that_read_alike_are_compared():
    lines = [described(price, HOSE.format(colour, 15)) for colour, price in
             (("red", "40.00"), ("blue", "44.00"), ("black", "9.00"))]  # fmt: skip
    assert [count for count, _ in compared(lines)] == [2, 2, 2]
    assert [bool(said) for _, said in compared(lines)] == [False, False, True]


@pytest.mark.usefixtures("small")
@pytest.mark.parametrize(
    "other",
    [
        described("40.00", HOSE.format("red", 30)),
        described("40.00", HOSE.format("red", 15).replace("NPSM", "NPT")),
        described("40.00", HOSE.format("red, 316 stainless", 15)),
        described("40.00", HOSE.format("red", 15), role="whip hose"),
        described("40.00", "Hose"),
    ],
)
def test_another_length_thread_material_or_role_is_not_alike(other):
    assert compared([described("9.00", HOSE.format("black", 15)), other])[0] == (0, "")
