"""Columns whose cells belie their headings: swapped ones are asked about, never read.

What a column should look like is common practice, no source: prices have decimals and quantities
none; codes hold a figure and hardly a blank, descriptions words.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from importers.content import Content, content_of
from importers.drift import IGNORED, NET
from importers.heading_units import CURRENCIES
from importers.headings import read_heading
from importers.raw import RawRow
from importers.rows import Alarm, Column, ListRow, RowKind, column_letters
from importers.tax_words import INCLUDED, tax_said

Keys = Sequence[tuple[str, Column]]
_FEWEST = 2  # a lone row shows nothing
# What is counted, named or measured without two decimals.
_NO_PRICES = frozenset(
    ("stock", "pack", "min_qty", "lead_days", "price_per", "rating", "code", "maker",
     "maker_number", "replaces", "description", "unit", "ean")
)  # fmt: skip
_COUNTED = frozenset(("qty", "quantity", "menge", "anzahl", "stück", "stk", "pcs"))
_MOSTLY, _OFTEN, _SOME, _HARDLY = 0.8, 0.6, 0.3, 0.1
_TEXT_LENGTH = 12


@dataclass(frozen=True, slots=True)
class _Shown:
    """A column with what its first cells look like, and one of them."""

    key: str
    column: Column
    content: Content
    sample: str

    @property
    def name(self) -> str:
        return f'column "{self.column.heading}"' if self.column.heading else self._letters

    @property
    def _letters(self) -> str:
        return f"column {column_letters(self.column.index)}"


def column_doubts(
    keys: Keys, columns: Sequence[Column], body: Sequence[RawRow], place: str
) -> list[Alarm]:
    """Return what the cells of a table belie; `place` says which table it is."""
    named = dict(keys)
    rivals = _rival_prices(named, columns, body, place)
    if len(body) < _FEWEST:
        return rivals
    shown = {key: _shown(key, column, body) for key, column in named.items()}
    used = {column.index for column in named.values()}
    counted = [_shown("quantity", c, body) for c in columns if c.index not in used and _counts(c)]
    return [
        *_swapped_prices(shown, counted, place),
        *_swapped_codes(shown, place),
        *rivals,
    ]


def _rival_prices(
    named: Mapping[str, Column], columns: Sequence[Column], body: Sequence[RawRow], place: str
) -> list[Alarm]:
    """Doubt a price beside another one of the same money, basis and quantity: which one counts?

    Prices in other currencies, with tax, per pack or from a quantity on are told apart by their
    headings.
    """
    price = named.get("price")
    if price is None:
        return []
    rivals = [
        f'"{column.heading}"'
        for column in columns
        if column is not price and _rivals(column, price) and content_of(body, column.index).fill
    ]
    if not rivals:
        return []
    told = (
        f'{place}: "{price.heading}" and {" and ".join(rivals)} are all prices: which one is ours?'
    )
    return [Alarm(f'{told} Say it with --column "HEADING=price"', "price/price")]


def _rivals(column: Column, price: Column) -> bool:
    heading, words = read_heading(column.heading), column.unit.split()
    if column.meaning != "other" or heading is None or heading.meaning != "price":
        return False
    if IGNORED in words or "from" in words or NET in price.unit.split():
        return False
    if tax_said(column.heading).kind == INCLUDED != tax_said(price.heading).kind:
        return False
    money = {word for each in (column, price) for word in each.unit.split() if word in CURRENCIES}
    return len(money) < 2 and ("per" in words) == ("per" in price.unit.split())


def _shown(key: str, column: Column, body: Sequence[RawRow]) -> _Shown:
    sample = next((text for row in body if (text := row.cell(column.index).strip())), "")
    return _Shown(key, column, content_of(body, column.index), sample)


def _counts(column: Column) -> bool:
    words = column.heading.casefold().replace(".", " ").split()
    return read_heading(column.heading) is not None and bool(_COUNTED & set(words))


def _swapped_prices(shown: dict[str, _Shown], counted: Iterable[_Shown], place: str) -> list[Alarm]:
    """Doubt a price column that has hardly a decimal beside another one that is full of them."""
    price = shown.get("price") or shown.get("list_price")
    if price is None or price.content.cents > _HARDLY or price.content.fill < 0.5:
        return []
    others = [each for key, each in shown.items() if key in _NO_PRICES]
    return [
        Alarm(
            f'{place}: {price.name} is headed as the price and holds "{price.sample}", '
            f'{other.name} ({other.key.replace("_", " ")}) holds "{other.sample}" and the like: '
            "are they swapped?",
            f"{price.key}/{other.key}",
        )
        for other in (*others, *counted)
        if _is_priced(other.content)
    ]


def _is_priced(content: Content) -> bool:
    return content.fill >= 0.5 and content.price_like >= _OFTEN and content.cents >= _SOME


def _swapped_codes(shown: dict[str, _Shown], place: str) -> list[Alarm]:
    """Doubt a column of codes that holds words; whether codes stand elsewhere is said."""
    code, text = shown.get("code"), shown.get("description")
    if code is None or not _is_text(code.content):
        return []
    told = f'{place}: {code.name} is headed as the code and holds text such as "{code.sample}"'
    if text and text.content.code_like >= _MOSTLY and text.content.distinct >= _MOSTLY:
        told += f', {text.name} holds codes such as "{text.sample}": are they swapped?'
        return [Alarm(told, "code/description")]
    return [Alarm(f"{told}: which column holds the article's number?", "code")]


def _is_text(content: Content) -> bool:
    return content.fill >= 0.5 and content.code_like < 0.3 and content.length > _TEXT_LENGTH


def row_doubts(rows: Iterable[ListRow]) -> list[Alarm]:
    """Doubt a list whose net prices are mostly above its list prices."""
    above = both = 0
    sample: ListRow | None = None
    for row in rows:
        price, whole = row.amounts.get("price"), row.amounts.get("list_price")
        if row.kind is not RowKind.ITEM or not price or not whole:
            continue
        both += 1
        if float(price) > float(whole):
            above += 1
            sample = sample or row
    if sample is None or both < _FEWEST or above * 2 <= both:
        return []
    told = (
        f"{above} of {both} net prices are above the list price, such as "
        f"{sample.amounts['price']} against {sample.amounts['list_price']} at {sample.place()}: "
        "are the columns swapped?"
    )
    return [Alarm(told, "price/list_price")]
