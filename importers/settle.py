"""One table settled before its rows are read: columns, marks, currency, basis, and what is open."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from importers.amounts import MarkDecision
from importers.breaks import with_breaks
from importers.discounts import discounting_of, discounts_said
from importers.doubts import column_doubts
from importers.drift import Drift, apply_profile, best_profile, other_layout, value_drift
from importers.heading_units import spoken_basis
from importers.layout import IDENTITY, PRICES, Header, propose
from importers.raw import RawRow, RawSheet
from importers.rows import CURRENCY, HEADING, Alarm, Column, Profile, is_counted, place_of
from importers.shifted import cut_prices, shape_of
from importers.tables import (
    LETTERS,
    Table,
    currency_doubt,
    currency_of,
    heading_basis,
    marks_of,
    price_basis,
    stated_basis,
)
from importers.taxes import TaxedTable, tax_found
from importers.texts_beside import Around

Keys = tuple[tuple[str, Column], ...]
_VALID = re.compile(r"(?:gültig|valid|effective|stand)\b.{0,60}[0-9]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Given:
    """What is known before a table is read; `is_text`: a separator sets its cells apart."""

    profiles: tuple[Profile, ...]
    is_text: bool


@dataclass(slots=True)
class Settled:
    """A table, None where it is not read; what was assumed, left out, and is to be asked.

    `hears_tax`: a text among its rows may still say that tax is in the prices.
    """

    table: Table | None = None
    said: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    alarms: list[Alarm] = field(default_factory=list)
    hears_tax: bool = False


def settled(
    sheet: RawSheet, header: Header, body: Sequence[RawRow], around: Around, given: Given
) -> Settled:
    """Return the table under a header."""
    return _Settling(sheet, header, body, given).done(around)


class _Settling:
    """One table on its way."""

    def __init__(
        self, sheet: RawSheet, header: Header, body: Sequence[RawRow], given: Given
    ) -> None:
        self._sheet, self._header, self._body, self._given = sheet, header, body, given
        self._number = sheet.rows[header.first].number
        is_lone = is_counted(sheet.name)  # the keys of objects stand in no row
        self._place = "the table" + ("" if is_lone else f" at {place_of(sheet.name, self._number)}")
        columns, self._said = propose(header, body)
        self._layout = best_profile(columns, sheet.name, given.profiles)
        self._columns, self._drifted = self._remembered(columns)

    def _remembered(self, columns: list[Column]) -> tuple[list[Column], list[Drift]]:
        if self._layout is not None:
            return apply_profile(columns, self._layout, place=self._place)
        return columns, other_layout(self._given.profiles, self._place)

    def done(self, around: Around) -> Settled:
        if lacking := self._lacking():
            return Settled(skipped=[f"{self._place} has no {lacking} column; it is not read"])
        breaks = with_breaks(self._columns)
        keys = breaks.keys
        marks, marked = marks_of(keys, self._body, self._layout)
        stated = currency_of(self._columns, around.texts, ())
        currency, named = self._currency(around.texts, stated)
        self._compare(keys, marks, currency)
        spoken, heard = self._spoken(keys, around.notes)
        table = self._table(keys, marks, currency or self._known_currency())
        taxed = TaxedTable(keys, self._columns, self._body, self._place, self._layout)
        tax = tax_found(taxed, around.texts)
        table = replace(
            table, spoken=spoken, tax_rates=tax.rates, tax_words=tax.words, stated=stated[0]
        )
        said = [each.said for each in self._drifted] + self._said + marked
        said += [
            *tax.said,
            *_about_prices(self._columns, around.texts),
            *discounts_said(keys, table.discounting),
        ]
        said += [named or f"no currency is named for {self._place}", *_basis_said(table)]
        said += [*breaks.said, *heard]
        said.append(f"columns of {self._place}: {_mapping(keys)}")
        doubts = [] if table.currency else self._currency_doubts(around.texts)
        doubts += self._basis_doubts(keys, around.notes)
        alarms = [*self._doubts(keys), *self._grave(), *doubts, *tax.alarms]
        return Settled(table, said, alarms=alarms, hears_tax=tax.hears_texts)

    def _lacking(self) -> str:
        meanings = {c.meaning for c in self._columns}
        if not meanings & IDENTITY:
            return "code or description"
        return "" if meanings & set(PRICES) else "price"

    def _currency(self, around: Sequence[str], stated: tuple[str, str]) -> tuple[str, str]:
        """Return the currency and the sentence on it; `stated` is that of headings and titles."""
        if self._layout and HEADING in self._layout.settled and stated[0]:
            return stated[0], f"{stated[1]}, whatever its cells show: that is settled"
        currency, named = currency_of(self._columns, around, self._body)
        known = self._known_currency()
        if not currency and known:
            named = f"currency {known}: taken from the remembered layout"
        return currency, named

    def _currency_doubts(self, around: Sequence[str]) -> list[Alarm]:
        """Return what the list says of its currency where that settles none."""
        why = currency_doubt(self._columns, around)
        told = f"{self._place}: which currency are the prices in? {why}: name it with --currency"
        return [Alarm(told, CURRENCY)] if why else []

    def _spoken(self, keys: Keys, notes: Sequence[str]) -> tuple[str, list[str]]:
        """Return the price basis that the texts name where nothing else does, and the sentence."""
        named = _bases(notes)
        if len(named) != 1 or "price_per" in dict(keys) or stated_basis(keys):
            return "", []
        basis, text = next(iter(named.items()))
        if self._layout is not None and self._layout.price_per:
            return "", []
        return basis, [f'prices are per {basis}: the text "{text}" outside the table says so']

    def _basis_doubts(self, keys: Keys, notes: Sequence[str]) -> list[Alarm]:
        """Ask where the texts name two price bases, or another one than the heading."""
        named, headed, stated = _bases(notes), self._headed_basis(keys), stated_basis(keys)
        if not headed and stated not in LETTERS and "price_per" not in dict(keys):
            headed = stated
        if self._layout is not None and self._layout.price_per:
            return []
        if len(named) < 2 and (not named or headed in ("", *named)):
            return []
        told = " and ".join(f'"{text}"' for text in named.values())
        beside = f" beside a heading that says per {headed}" if headed else ""
        asked = f"{self._place}: for how many units are the prices? There is {told}{beside}"
        return [Alarm(f"{asked}: say it with --per")]

    def _known_currency(self) -> str:
        return self._layout.currency if self._layout else ""

    def _compare(self, keys: Keys, marks: Mapping[int, MarkDecision], currency: str) -> None:
        """Note where the file itself says something else than the layout that it follows."""
        layout = self._layout
        if layout is None:
            return
        mark = next((d.mark for d in marks.values() if d.comma or d.point), "")
        for what, now, before, is_grave in (
            ("decimal mark", mark, layout.decimal_mark, False),
            ("currency", currency, layout.currency, True),
            ("price basis", self._headed_basis(keys), layout.price_per, True),
        ):
            self._drifted += value_drift(what, now, before, self._place, is_grave=is_grave)

    def _headed_basis(self, keys: Keys) -> str:
        """Return the basis that the heading names for sure."""
        found = heading_basis(keys)
        return "" if found in LETTERS else found

    def _table(self, keys: Keys, marks: dict[int, MarkDecision], currency: str) -> Table:
        is_confirmed = self._layout is not None and bool(self._layout.confirmed)
        return Table(
            self._sheet.name,
            self._header,
            tuple(self._columns),
            keys,
            marks,
            currency,
            self._number,
            shape=shape_of(self._header, keys, self._body, is_text=self._given.is_text),
            discounting=discounting_of(keys),
            layout=self._layout,
            # A settled layout that fits no more is settled no more.
            is_settled=is_confirmed and not any(each.is_grave for each in self._drifted),
        )

    def _doubts(self, keys: Keys) -> list[Alarm]:
        answered = self._layout.settled if self._layout else ()
        found = column_doubts(keys, self._columns, self._body, self._place)
        open_ones = [alarm for alarm in found if alarm.key not in answered]
        if self._given.is_text:
            open_ones += cut_prices(self._header, keys, self._body, self._place)
        return open_ones

    def _grave(self) -> list[Alarm]:
        """Return what drifted from a layout that a person settled, and changes what rows mean."""
        bound = (self._layout,) if self._layout else self._given.profiles
        if not any(profile.confirmed for profile in bound):
            return []
        return [Alarm(each.text) for each in self._drifted if each.is_grave]


def _bases(texts: Sequence[str]) -> dict[str, str]:
    """Return the price bases that texts beside a table name, each with its text."""
    return {basis: text for text in texts if (basis := spoken_basis(text))}


def _about_prices(columns: Sequence[Column], around: Sequence[str]) -> list[str]:
    """Say what is not certain about all prices of a table: list prices only, until when."""
    said = [f'validity is spoken of, not read as a date: "{t}"' for t in around if _VALID.search(t)]
    meanings = {c.meaning for c in columns}
    if not meanings & {"price", "discount"}:
        said.append("only list prices are given, no net price")
    return said


def _basis_said(table: Table) -> list[str]:
    basis = price_basis(table)
    if not basis or basis in (heading_basis(table.keys), table.spoken):
        return []
    return [f"prices are per {basis}: taken from the remembered layout"]


def _mapping(keys: Keys) -> str:
    return ", ".join(f'"{c.heading}" = {key.replace("_", " ")}' for key, c in keys)
