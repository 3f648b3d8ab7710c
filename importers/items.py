"""One row of a table becomes a ListRow: fields by meaning, amounts, and what was odd about it."""

from __future__ import annotations

import re
from collections.abc import Callable

from importers.amounts import Amount, currency_meant, read_amount
from importers.breaks import BREAK, breaks_prices, least_quantity, quantity_notes
from importers.cell_money import CellMoney
from importers.cell_text import tidied
from importers.codes import PLAIN_CODE, read_code
from importers.discounts import Discounting
from importers.heading_units import spoken_basis
from importers.layout import PRICES
from importers.lead_times import lead_days
from importers.raw import DATE, ERROR, NO_VALUE, NUMBER, TEXT, RawRow
from importers.rows import Column, ListRow, RowKind, column_letters, place_of
from importers.tables import Table, price_basis
from importers.tax_out import TaxOut

_BARE_NUMBER = re.compile(r"[0-9][0-9.,' ]*(?:\s?[-–]\s?[0-9][0-9.,]*)?")
_CODES = ("code", "maker_number", "replaces")
_BASES = ("burst", "proof", "working")
_PRESSURES = ("bar", "psi", "MPa")

# One filler per column: it puts its field (and amount) in place and notes what is odd.
Filler = Callable[["Draft", str], None]


class Draft:
    """A row being read: the raw row and what was found in it so far."""

    __slots__ = ("amounts", "fields", "notes", "raw", "refused", "said")

    def __init__(self, raw: RawRow) -> None:
        self.raw = raw
        self.fields: dict[str, str] = {}
        self.amounts: dict[str, str] = {}
        self.notes: list[str] = []
        self.refused: list[str] = []
        self.said: dict[str, Amount] = {}


class ItemReader:
    """Reads the item rows of one table; made once per table, so that a row costs little."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.fillers = [(c.index, _filler(key, c, table)) for key, c in table.keys]
        self.named = {c.index for key, c in table.keys if key != "note"}
        self.constant = _constants(table)
        self.shape, self.discounting = table.shape, table.discounting
        self.money = CellMoney(table)
        self.tax = TaxOut(table)
        self.least, self.has_breaks = least_quantity(table.keys), breaks_prices(table.keys)

    def read(self, raw: RawRow, section: str) -> ListRow:
        """Return the item, or the refused row with its reason and cell."""
        draft = Draft(raw)
        cells, width = raw.cells, len(raw.cells)
        for index, fill in self.fillers:
            if index < width and (text := cells[index]):
                if not (text.isascii() and text.isprintable()):
                    text, odd = tidied(text, place=f"{column_letters(index)}{raw.number}")
                    draft.notes += odd
                if text := text.strip():
                    fill(draft, text)
        if raw.kinds and (ERROR in raw.kinds or NO_VALUE in raw.kinds):
            self._refuse_errors(draft)
        if fault := raw.refused or self.shape.fault(raw):
            draft.refused.append(fault)
        draft.notes += raw.odd
        self._settle_amounts(draft)
        for key, value in self.constant.items():
            if key != "rating_basis" or "rating" in draft.fields:
                draft.fields.setdefault(key, value)
        if section and (basis := spoken_basis(section)) and "price_per" not in draft.fields:
            draft.fields["price_per"] = basis
            draft.notes.append(f'per {basis}: the line "{section}" above says so')
        if self.has_breaks:
            draft.notes += quantity_notes(draft.fields, draft.amounts, self.least)
        if not any(draft.amounts.get(key) for key in PRICES):
            _note_no_price(draft)
        kind = RowKind.REFUSED if draft.refused else RowKind.ITEM
        return ListRow(
            kind=kind,
            sheet=self.table.sheet,
            row=raw.number,
            fields=draft.fields,
            amounts=draft.amounts,
            section=section,
            notes=(*draft.refused, *draft.notes),
            cells=tuple(cells),
        )

    def _settle_amounts(self, draft: Draft) -> None:
        """Make the prices of a row net, and take what their cells say of basis and currency."""
        if self.discounting is not None:
            _settle_price(draft, self.discounting)
        if self.tax.rate:
            draft.notes += self.tax.take(draft.amounts, draft.raw)
        if self.money.headed:
            place = place_of(self.table.sheet, draft.raw.number)
            draft.notes += self.money.settle_row(draft.fields, place)
        if draft.said:
            self._settle_cell_words(draft)

    def _settle_cell_words(self, draft: Draft) -> None:
        stated = draft.fields.get("price_per") or self.constant.get("price_per", "")
        amount = _settle_basis(draft)
        _leave_out_breaks(draft, stated)
        said = {key: each.currency for key, each in draft.said.items() if each.currency}
        priced = amount.currency if amount else ""
        draft.notes += self.money.settle(draft.fields, draft.amounts, priced, said)
        if priced in self.money.others and not self.money.sample:
            self.money.sample = place_of(self.table.sheet, draft.raw.number)

    def _refuse_errors(self, draft: Draft) -> None:
        """A cell whose value is missing or an error refuses the row if its column matters."""
        for index, kind in enumerate(draft.raw.kinds):
            if kind not in (ERROR, NO_VALUE):
                continue
            cell = f"{column_letters(index)}{draft.raw.number}"
            if kind == NO_VALUE:
                why = f"the formula in {cell} has no stored value: open and save the file once"
            else:
                why = f"{cell} holds the error {draft.raw.cell(index)}"
            (draft.refused if index in self.named else draft.notes).append(why)


def _settle_price(draft: Draft, discounting: Discounting) -> None:
    """Put the net price of a row with a discount in the place of what its cells say."""
    shown = draft.raw.exact.get(discounting.index, "")
    net = discounting.net(draft.fields, draft.amounts, shown)
    if net.text or "price" in draft.amounts:
        draft.amounts["price"] = net.text
    if net.note:
        draft.notes.append(net.note)


def _constants(table: Table) -> dict[str, str]:
    """Return the fields that headings give to every row: price basis, rating basis, currency."""
    found = {"currency": table.currency} if table.currency else {}
    for key, column in table.keys:
        words = column.unit.split()
        if key == "rating":
            named = [basis for basis in _BASES if basis in words]
            found |= {"rating_basis": named[0]} if named else {}
    basis = price_basis(table)
    return found | ({"price_per": basis} if basis else {})


def _filler(key: str, column: Column, table: Table) -> Filler:
    if column.index in table.marks:
        return _price_filler(key, column, table)
    if key in _CODES:
        return _code_filler(key, column)
    if key.startswith("rating") and key != "rating_basis":
        return _rating_filler(key, column)
    if key in ("valid_from", "valid_to"):
        return _date_filler(key, column)
    if key == "lead_days":
        return _lead_filler(column)
    if key == "currency":
        return _fill_currency

    def fill(draft: Draft, text: str) -> None:
        earlier = draft.fields.get(key)
        draft.fields[key] = text if earlier is None else f"{earlier}; {text}"

    return fill


def _price_filler(key: str, column: Column, table: Table) -> Filler:
    index, mark = column.index, table.marks[column.index].mark

    def fill(draft: Draft, text: str) -> None:
        draft.fields[key] = text
        is_number = draft.raw.kinds and draft.raw.kind(index) == NUMBER
        amount = read_amount(text, "." if is_number else mark)
        draft.amounts[key] = amount.text
        if amount.notes or amount.per or amount.currency or draft.raw.exact:
            _price_extras(draft, key, index, amount)

    return fill


def _price_extras(draft: Draft, key: str, index: int, amount: Amount) -> None:
    from_many = f"from {key.removeprefix(BREAK)} units: " if key.startswith(BREAK) else ""
    draft.notes += [f"{from_many}{note}" for note in amount.notes]
    if exact := draft.raw.exact.get(index):
        draft.notes.append(f"{key} shows as {draft.raw.cell(index)}, stored as {exact}")
    draft.said[key] = amount


def _settle_basis(draft: Draft) -> Amount | None:
    """Take the basis that the cell of the price names; return what that cell said.

    It is the cell of the list price where the net price is made of that.
    """
    amount = draft.said.get("price" if draft.fields.get("price") else "list_price")
    if amount is not None and amount.per:
        draft.fields["price_per"] = amount.per
    return amount


def _leave_out_breaks(draft: Draft, stated: str) -> None:
    """Leave out price breaks on another basis than the price; `stated` is that of row or table."""
    of_price = draft.fields.get("price_per") or stated or "1"
    for key in [key for key, amount in draft.amounts.items() if amount and key.startswith(BREAK)]:
        said = draft.said.get(key)
        basis = (said.per if said else "") or stated or "1"
        if basis != of_price:
            draft.amounts[key] = ""
            draft.notes.append(
                f"the price from {key.removeprefix(BREAK)} units is per {basis}, "
                f"not per {of_price}: left out"
            )


def _code_filler(key: str, column: Column) -> Filler:
    index = column.index

    def fill(draft: Draft, text: str) -> None:
        kind = draft.raw.kind(index) if draft.raw.kinds else TEXT
        if kind == TEXT and PLAIN_CODE.fullmatch(text):
            draft.fields[key] = text
            return
        code = read_code(text, kind, draft.raw.exact.get(index, ""))
        draft.fields[key] = code.text
        if code.notes:
            draft.notes += code.notes
        if code.refused:
            draft.refused.append(f"{column_letters(index)}{draft.raw.number}: {code.refused}")

    return fill


def _rating_filler(key: str, column: Column) -> Filler:
    unit = next((word for word in column.unit.split() if word in _PRESSURES), "")

    def fill(draft: Draft, text: str) -> None:
        draft.fields[key] = text
        if unit and _BARE_NUMBER.fullmatch(text):
            draft.fields[key] = f"{text} {unit}"
            draft.notes.append(f"{key} unit {unit} taken from the heading")

    return fill


def _date_filler(key: str, column: Column) -> Filler:
    index = column.index

    def fill(draft: Draft, text: str) -> None:
        is_date = draft.raw.kinds and draft.raw.kind(index) == DATE
        draft.fields[key] = draft.raw.exact.get(index, text) if is_date else text

    return fill


def _fill_currency(draft: Draft, text: str) -> None:
    code = draft.fields["currency"] = currency_meant(text)
    if text == "$":
        draft.notes.append(f'the currency "$" is taken for {code}')


def _lead_filler(column: Column) -> Filler:
    weeks = "weeks" in column.unit.split()

    def fill(draft: Draft, text: str) -> None:
        draft.fields["lead_days"] = text
        if weeks or not text.isdecimal():
            days = lead_days(text, weeks=weeks)
            if days is None:
                draft.notes.append(f'no days can be read from the lead time "{text}"')
                return
            draft.fields["lead_days"] = str(days)
            if not text.startswith(str(days)):
                draft.notes.append(f'lead time "{text}" read as {days} days')

    return fill


def _note_no_price(draft: Draft) -> None:
    priced = any(key in draft.amounts for key in PRICES)
    if not priced and not draft.refused:
        draft.amounts["price"] = ""
        draft.notes.append("no price: the cell is empty")
