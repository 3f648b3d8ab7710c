"""Texts among the rows of a table that name another price basis or currency than the table does.

A heading of some lines may say for how many their prices are, where the table itself does not; all
else that contradicts the table is asked about: it may hold for the rows below it, or for none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from importers.heading_units import spoken_basis, spoken_currency
from importers.rows import AMONG, HEADING, Alarm
from importers.tables import LETTERS, Table, price_basis, stated_basis


@dataclass(slots=True)
class Among:
    """What stands in the rows that are no articles: `sections` are the headings among them."""

    texts: list[str] = field(default_factory=list)
    sections: set[str] = field(default_factory=set)


def among_doubts(table: Table, among: Among, place: str, asked: Sequence[Alarm]) -> list[Alarm]:
    """Doubt the prices of a table whose rows are parted by such texts, but for what was asked."""
    texts = [
        text for text in dict.fromkeys(among.texts) if not any(f'"{text}"' in a.text for a in asked)
    ]
    return [*_bases(table, texts, among.sections, place), *_currencies(table, texts, place)]


def _bases(
    table: Table, texts: Sequence[str], sections: set[str], place: str
) -> Iterator[Alarm]:
    is_settled = table.layout is not None and bool(table.layout.price_per)
    known = price_basis(table) or stated_basis(table.keys)
    if is_settled or known in LETTERS or "price_per" in dict(table.keys):
        return
    for text in texts:
        basis = spoken_basis(text)
        if not basis or basis == known or (text in sections and not known):
            continue
        beside = f" of a table whose prices are per {known}" if known else ""
        yield Alarm(
            f'{place}: for how many units are the prices? "{text}" stands among the rows{beside}: '
            "say with --per what holds for all of them, or ask for a list with a column for it"
        )


def _currencies(table: Table, texts: Sequence[str], place: str) -> Iterator[Alarm]:
    known = table.currency
    is_settled = table.layout is not None and HEADING in table.layout.settled
    if is_settled or "currency" in dict(table.keys):
        return
    for text in texts:
        named = spoken_currency(text)
        if named and not known:
            yield Alarm(
                f'{place}: which currency are the prices in? only "{text}" among the rows names '
                f"one, {named}: name that of all with --currency, or ask for a list with a column "
                "of currencies",
                AMONG,
            )
        elif named and named != known:
            yield Alarm(
                f'{place}: the prices are in {known}, and "{text}" among the rows names {named}: '
                f"say --currency {known} if all of them are in that, or ask for a list with a "
                "column of currencies",
                AMONG,
            )
