"""Prices with tax in them are asked about, and taken as net only when a person has said how.

A person says that they are net after all (rate "0") or which rate to take out; both are remembered
with the layout. A net price beside one with tax is the price.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from importers.breaks import BREAK
from importers.content import SAMPLE, content_of
from importers.discounts import discounting_of, is_net
from importers.headings import read_heading
from importers.layout import PRICES
from importers.raw import RawRow
from importers.rows import TAX, Alarm, Column, Profile
from importers.tables import price_column
from importers.tax_out import NET_AFTER_ALL, stated_rate
from importers.tax_words import (
    EXCLUDED,
    INCLUDED,
    SPOKEN,
    is_gross,
    kind_of_cell,
    says_net,
    tax_said,
)

_MOSTLY = 0.6
_MOST_RATES, _HIGHEST_RATE = 5, 40


@dataclass(frozen=True, slots=True)
class TaxedTable:
    """The columns of a table by field, all of them, its rows, where it stands, what is settled."""

    keys: tuple[tuple[str, Column], ...]
    columns: Sequence[Column]
    body: Sequence[RawRow]
    place: str
    layout: Profile | None

    @property
    def settled(self) -> str:
        """Return the rate that a person said is in the prices, "0" for none, "" for nothing."""
        return self.layout.tax if self.layout else ""

    @property
    def price(self) -> Column | None:
        """Return the column of the price, else that of the list price."""
        return price_column(self.keys)

    @property
    def makes_prices(self) -> bool:
        """Say whether the rows have prices at all: list prices without a discount are none."""
        return "price" in dict(self.keys) or discounting_of(self.keys) is not None


@dataclass(frozen=True, slots=True)
class TaxFound:
    """What is said of tax in the prices and what must be asked.

    `hears_texts`: a text further down the table may still say that tax is included; `rates` are
    the columns that hold the rate of tax of each row, `words` those that say of each row whether
    tax is in its prices, each with what its heading says.
    """

    said: list[str] = field(default_factory=list)
    alarms: list[Alarm] = field(default_factory=list)
    hears_texts: bool = False
    rates: tuple[int, ...] = ()
    words: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class _Source:
    """One place that says something of tax: what, the rate it names, and the place in words."""

    kind: str
    rate: str
    named: str


def tax_found(table: TaxedTable, texts: Sequence[str]) -> TaxFound:
    """Return what headings, cells and the texts beside a table say of tax in its prices."""
    price = table.price
    if price is None:
        return TaxFound()
    beside, other = list(_spoken(texts)), _gross_beside(table, price)
    is_told_apart = other is not None and tax_said(price.heading).kind == EXCLUDED
    if is_told_apart:
        beside = [each for each in beside if each.kind != INCLUDED]  # that of the other column
    sources = [*_headed(table), *_from_cells(table), *beside]
    said = [f"{_SAYS[each.kind]}: {each.named}" for each in sources]
    if other:
        said.append(f'"{price.heading}" is taken as the net price, not "{other.heading}"')
    said += [] if sources else _net_said(price, texts)
    if not table.makes_prices:
        return TaxFound(said)
    if table.settled and _is_net_by_headings(table):
        why = "their heading says that there is none in them"
        return TaxFound([*said, f"no tax is taken out of the prices of {table.place}: {why}"])
    about = _tax_columns(table)
    return TaxFound(
        said + settled_said(table.layout),
        _alarms(table, sources),
        hears_texts=not (is_told_apart or table.settled),
        rates=tuple(c.index for c in about if _holds_rates(c, table.body)),
        words=tuple(
            (c.index, tax_said(c.heading).kind) for c in about if _differs_by_row(c, table.body)
        ),
    )


_SAYS = {
    INCLUDED: "tax may be included in the prices",
    EXCLUDED: "the prices are without tax",
    SPOKEN: "tax is spoken of and not said to be in the prices, they are taken as net",
}


def _headed(table: TaxedTable) -> Iterator[_Source]:
    """Yield what the headings of the prices that are read say, and a gross one alone."""
    price = table.price
    for key, column in table.keys:
        if column is not price and not key.startswith(BREAK):
            continue
        said, named = tax_said(column.heading), f'heading "{column.heading}"'
        if said.kind:
            yield _Source(said.kind, said.rate, named)
        elif column.meaning == "price" and is_gross(column.heading):
            yield _Source(INCLUDED, "", f"{named}: gross")


def _is_net_by_headings(table: TaxedTable) -> bool:
    """Say whether every price that is read is headed as one without tax."""
    headings = [c.heading for key, c in table.keys if c is table.price or key.startswith(BREAK)]
    return all(tax_said(heading).kind == EXCLUDED for heading in headings)


def _from_cells(table: TaxedTable) -> Iterator[_Source]:
    """Yield what a column about tax, or of remarks, says in its cells: "incl.", a rate."""
    for column in _tax_columns(table):
        cells = _cells(column, table.body)
        kinds = {kind_of_cell(cell, tax_said(column.heading).kind) for cell in cells}
        if kinds:
            yield _Source(_gravest(kinds), "", f'column "{column.heading}"')
    for column in table.columns:
        if column.meaning == "note":
            kinds = {tax_said(cell).kind for cell in _cells(column, table.body[:SAMPLE])}
            if INCLUDED in kinds:
                yield _Source(INCLUDED, "", f'column "{column.heading}"')


def _cells(column: Column, body: Sequence[RawRow]) -> set[str]:
    return {" ".join(row.cell(column.index).casefold().split()) for row in body} - {""}


def _gravest(kinds: set[str]) -> str:
    return next(each for each in (INCLUDED, EXCLUDED, SPOKEN) if each in kinds)


def _tax_columns(table: TaxedTable) -> list[Column]:
    """Return the columns that are about tax and hold no prices with tax or without."""
    return [
        column
        for column in table.columns
        if column.meaning in ("other", "note") and _is_about_tax(column, table.body)
    ]


def _is_about_tax(column: Column, body: Sequence[RawRow]) -> bool:
    kind, found = tax_said(column.heading).kind, read_heading(column.heading)
    if not kind or (found is not None and found.meaning in PRICES):
        return False
    return kind == SPOKEN or content_of(body, column.index).price_like < _MOSTLY


def _holds_rates(column: Column, body: Sequence[RawRow]) -> bool:
    """Say whether a column about tax holds rates, a word or two apart, not what it comes to."""
    filled = [cell for row in body if (cell := row.cell(column.index).strip())]
    stated = [rate for cell in filled if (rate := stated_rate(cell))]
    rates = set(stated)
    is_few = 0 < len(rates) <= _MOST_RATES and all(Decimal(r) <= _HIGHEST_RATE for r in rates)
    return is_few and len(stated) >= _MOSTLY * len(filled)


def _differs_by_row(column: Column, body: Sequence[RawRow]) -> bool:
    """Say whether a column says of some rows that tax is in their prices, and not of others."""
    asks = tax_said(column.heading).kind
    return {INCLUDED, EXCLUDED} <= {kind_of_cell(cell, asks) for cell in _cells(column, body)}


def _spoken(texts: Iterable[str]) -> Iterator[_Source]:
    for text in dict.fromkeys(texts):
        said = tax_said(text)
        if said.kind:
            yield _Source(said.kind, said.rate, f'"{text}"')


def _gross_beside(table: TaxedTable, price: Column) -> Column | None:
    """Return a column of prices with tax that stands beside a net price, if there is one."""
    kind = tax_said(price.heading).kind
    if kind == INCLUDED or is_gross(price.heading):
        return None
    is_said_net = kind == EXCLUDED or is_net(price)
    for column in table.columns:
        if column is price or _is_about_tax(column, table.body):
            continue
        if tax_said(column.heading).kind == INCLUDED or (is_said_net and is_gross(column.heading)):
            return column
    return None


def _net_said(price: Column, texts: Sequence[str]) -> list[str]:
    """Say where prices are called net without a word of tax."""
    if is_net(price):
        return [f'the prices are net: heading "{price.heading}"']
    return [f'the prices are net: "{text}"' for text in dict.fromkeys(texts) if says_net(text)]


def _alarms(table: TaxedTable, sources: Sequence[_Source]) -> list[Alarm]:
    included = [each for each in sources if each.kind == INCLUDED]
    excluded = [each for each in sources if each.kind == EXCLUDED]
    rates = {each.rate for each in included if each.rate}
    settled = table.settled
    if not settled:
        return [tax_alarm(table.place, [s.named for s in included], rates)] if included else []
    if settled == NET_AFTER_ALL:
        return []
    if excluded and not included:
        told = f"{settled} % tax would be taken out of the prices, and {excluded[0].named} says "
        return [_alarm(table.place, f"{told}that there is none in them", set())]
    if rates - {settled}:
        told = f"{settled} % tax would be taken out of the prices, and the list names "
        return [_alarm(table.place, f"{told}{' % and '.join(sorted(rates))} %", rates)]
    return []


def tax_alarm(place: str, named: Sequence[str], rates: set[str]) -> Alarm:
    """Return the question what is to be done with tax in the prices; `named` are who says so."""
    return _alarm(place, f"tax is included in the prices ({', '.join(named)})", rates)


def _alarm(place: str, told: str, rates: set[str]) -> Alarm:
    rate = next(iter(rates)) if len(rates) == 1 else "RATE"
    return Alarm(
        f"{place}: {told}: say with --tax {rate} which percentage is to be taken out, or with "
        f"--tax {NET_AFTER_ALL} that the prices are net after all",
        TAX,
    )


def loose_alarm(place: str, texts: Iterable[str]) -> list[Alarm]:
    """Return the question for texts that stand somewhere else in the list than by a header."""
    found = [each for each in _spoken(texts) if each.kind == INCLUDED]
    rates = {each.rate for each in found if each.rate}
    return [tax_alarm(place, [each.named for each in found], rates)] if found else []


def settled_said(layout: Profile | None) -> list[str]:
    """Return the sentence on what a person settled of tax in the prices."""
    if layout is None or not layout.tax:
        return []
    by = f"as {layout.confirmed} settled" if layout.confirmed else "as the remembered layout says"
    if layout.tax == NET_AFTER_ALL:
        return [f"the prices are taken as net, without tax in them: {by}"]
    whole = f"{100 + Decimal(layout.tax):f}"
    return [
        f"{layout.tax} % tax is taken out of the prices, {by}: price x 100 / {whole}, rounded half "
        f"up to 1/10000 where that does not end"
    ]
