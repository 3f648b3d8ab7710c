"""Laws of layouts, over generated lists: order of columns, separators gone astray, swapped columns."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from importers import PriceListText, Profile, ReaderError, read_price_list
from importers.rows import ListRow, RowKind

HEADINGS = ("Part no.", "Description", "Stock", "Price EUR", "Unit")
KINDS = ("Valve kit", "Ball", "Seat", "Packing", "Hose", "Gun")
Row = tuple[str, str, str, str, str]


@st.composite
def articles(draw: st.DrawFn) -> list[Row]:
    """Draw four to nine honest rows: a code, words, a whole stock, a price with cents, a unit."""
    count = draw(st.integers(4, 9))
    rows = []
    for n in range(count):
        words = f"{draw(st.sampled_from(KINDS))} no {n} for cold water"
        cents = draw(st.integers(101, 99_999).filter(lambda c: c % 100))
        price = f"{cents // 100},{cents % 100:02}"
        stock = str(draw(st.integers(1, 99)))
        rows.append((f"24-{1000 + n}", words, stock, price, "EA"))
    return rows


def read(headings: Sequence[str], rows: Sequence[Sequence[str]], *known: Profile) -> PriceListText:
    text = "\n".join(";".join(row) for row in (headings, *rows)) + "\n"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "list.csv"
        path.write_text(text, encoding="utf-8")
        return read_price_list(path, profiles=known)


def items(text: PriceListText) -> list[ListRow]:
    return [row for row in text.rows if row.kind is RowKind.ITEM]


def plain(price: str) -> str:
    return price.replace(",", ".")


@settings(max_examples=60)
@given(articles(), st.permutations(range(5)))
def test_columns_in_another_order_are_read_the_same_and_change_no_meaning(rows, order):
    first = read(HEADINGS, rows)
    mine = replace(first.profiles[0], confirmed="Ilse")
    moved = read([HEADINGS[i] for i in order], [[row[i] for i in order] for row in rows], mine)
    assert moved.alarms == ()
    assert [row.amounts for row in items(moved)] == [row.amounts for row in items(first)]
    assert [row.fields for row in items(moved)] == [row.fields for row in items(first)]
    assert moved.profiles[0].confirmed == "Ilse"


@settings(max_examples=60)
@given(articles(), st.data())
def test_a_separator_astray_in_a_cell_never_gives_a_wrong_price(rows, data):
    at = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.integers(0, 3))
    cell = rows[at][column]
    cut = data.draw(st.integers(0, len(cell)))
    broken = [*rows[at]]
    broken[column : column + 1] = [cell[:cut], cell[cut:]]
    if column < 3 and data.draw(st.booleans()):
        broken.pop()  # the last cell is left out, so that their number is right
    text = read(HEADINGS, [*rows[:at], broken, *rows[at + 1 :]])
    priced = {row.row - 2: row.amounts["price"] for row in items(text) if row.amounts.get("price")}
    wrong = {n: price for n, price in priced.items() if price != plain(rows[n][3])}
    assert wrong == {}
    assert set(range(len(rows))) - {at} <= set(priced), "the other rows are read all the same"


@settings(max_examples=60)
@given(articles(), st.sampled_from([(0, 1), (2, 3), (1, 3), (0, 3)]))
def test_two_columns_the_wrong_way_round_are_never_read_as_they_stand(rows, pair):
    one, two = pair
    swapped = []
    for row in rows:
        cells = [*row]
        cells[one], cells[two] = cells[two], cells[one]
        swapped.append(cells)
    try:
        text = read(HEADINGS, swapped)
    except ReaderError:
        return
    priced = [row.amounts.get("price") for row in items(text)]
    assert text.alarms or not any(priced)


@settings(max_examples=60)
@given(articles(), st.integers(1, 99), st.integers(0, 4))
def test_a_discount_of_the_whole_list_scales_every_price_exactly(rows, off, column):
    assume(column != 3)
    headings = ["List price EUR" if h == "Price EUR" else h for h in HEADINGS] + ["Discount %"]
    text = read(headings, [[*row, str(off)] for row in rows])
    for row, (_, _, _, price, _) in zip(items(text), rows, strict=True):
        cents = int(price.replace(",", ""))
        net = row.amounts["price"]
        whole, _, decimals = net.partition(".")
        assert int(whole + decimals.ljust(4, "0")) == cents * (100 - off)


@settings(max_examples=40)
@given(articles(), st.sets(st.sampled_from(HEADINGS[:1] + HEADINGS[3:]), min_size=1))
def test_a_settled_layout_whose_column_of_meaning_is_gone_is_an_alarm(rows, gone):
    mine = replace(read(HEADINGS, rows).profiles[0], confirmed="Ilse")
    kept = [i for i, heading in enumerate(HEADINGS) if heading not in gone]
    try:
        text = read([HEADINGS[i] for i in kept], [[row[i] for i in kept] for row in rows], mine)
    except ReaderError:
        return  # no table without a price
    assert any("no longer has the column" in a.text or "laid out like none" in a.text
               for a in text.alarms)  # fmt: skip
