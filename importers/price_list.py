"""A supplier's list from file to rows: find the reader, the tables, then read row by row."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from importers.completeness import completeness
from importers.crosscheck import crosschecked
from importers.decoding import PLAIN_ASCII
from importers.doubts import row_doubts
from importers.drift import delimiter_drift, encoding_drift
from importers.headings import sample_words
from importers.heads import HeaderFinder
from importers.items import ItemReader
from importers.layout import Header
from importers.letters import letter_doubts
from importers.limits import DEFAULT, Limits, refuse
from importers.raw import RawFile, RawRow, RawSheet
from importers.row_kinds import kind_of
from importers.rows import (
    NO_TABLE,
    TAX,
    Alarm,
    ListRow,
    PriceListText,
    Profile,
    ReaderError,
    RowKind,
    column_letters,
    place_of,
)
from importers.settle import Given, Settled, settled
from importers.side_by_side import blocks_of, parted
from importers.source import load, reader_for
from importers.tables import document_table
from importers.taxes import loose_alarm, settled_said
from importers.texts_among import Among, among_doubts
from importers.texts_beside import Around, around, lead_in, loose_texts

_ONE_WORD_CODE = re.compile(r"(?=\S*[0-9])[A-Za-z0-9]\S*")
_FIGURE = re.compile(r"[0-9]")


@dataclass(slots=True)
class _Reading:
    """What has been read of one file so far."""

    name: str
    raw: RawFile
    limits: Limits
    given: tuple[Profile, ...]
    rows: list[ListRow] = field(default_factory=list)
    profiles: list[Profile] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)
    alarms: list[Alarm] = field(default_factory=list)
    loose: list[str] = field(default_factory=list)  # texts of sheets without a table


def read_price_list(
    path: Path | str, *, profiles: tuple[Profile, ...] = (), limits: Limits = DEFAULT
) -> PriceListText:
    """Return a supplier's list as rows of text by meaning, each with its place.

    `profiles` are remembered layouts; where they no longer fit, an assumption that starts with
    "layout drift:" says so. Raises ReaderError, one sentence with place and hint, for whatever
    cannot be read for certain.
    """
    source = load(Path(path), limits)
    raw = reader_for(source).read(source, profiles, limits)
    reading = _Reading(source.name, raw, limits, profiles)
    reading.said += delimiter_drift(raw.delimiter, profiles)
    reading.said += encoding_drift(raw.encoding, raw.assumptions, profiles)
    reading.alarms += letter_doubts(raw, profiles)
    for sheet in raw.sheets:
        if sheet.columns:
            _read_document(reading, sheet)
        else:
            _SheetReader(reading, sheet).read()
    if not reading.profiles:
        raise _no_table(source.name, raw)
    reading.said += [*completeness(raw.sheets, reading.rows), *crosschecked(reading.rows)]
    return PriceListText(
        file_name=source.name,
        sha256=hashlib.sha256(source.data).hexdigest(),
        reader=raw.reader,
        rows=tuple(reading.rows),
        profiles=tuple(reading.profiles),
        assumptions=tuple(dict.fromkeys(raw.assumptions + reading.said)),
        skipped=tuple(raw.skipped + reading.skipped),
        alarms=tuple(reading.alarms + _row_alarms(reading)),
    )


def _row_alarms(reading: _Reading) -> list[Alarm]:
    """Return the doubts about all rows that no person has answered yet."""
    answered = {key for profile in reading.profiles for key in profile.settled}
    found = [alarm for alarm in row_doubts(reading.rows) if alarm.key not in answered]
    if any(alarm.key == TAX for alarm in reading.alarms) or all(p.tax for p in reading.profiles):
        return found
    return found + loose_alarm("a sheet without a table", reading.loose)


class _SheetReader:
    """Reads all tables of one sheet."""

    def __init__(self, reading: _Reading, sheet: RawSheet) -> None:
        self._reading, self._sheet = reading, sheet
        self._heads = HeaderFinder(sheet, reading.given)

    def read(self) -> None:
        """Add the rows of the sheet; one without a table is left out and said."""
        reading, sheet = self._reading, self._sheet
        spans = list(islice(self._spans(), reading.limits.tables + 1))
        if len(spans) > reading.limits.tables:
            place = f"{reading.name} {sheet.name}".strip()
            raise refuse("tables", len(spans), reading.limits.tables, place=place)
        if not spans:
            if sheet.rows:
                name = f'sheet "{sheet.name}"' if sheet.name else "the text"
                reading.skipped.append(f"{name} has no header row of a price list; it is not read")
                reading.loose += loose_texts(sheet.rows)
            return
        if self._is_parted([header for header, _ in spans]):
            return
        titles = sheet.rows[: spans[0][0].first]
        reading.rows += [_plain_row(sheet, row, RowKind.NOTE) for row in titles]
        above = list(titles)
        for number, (header, end) in enumerate(spans, start=1):
            body = sheet.rows[header.last + 1 : end]
            lead = lead_in(body, sheet.rows[end].number) if number < len(spans) else 0
            self._read_table(header, body, around(above, body[: len(body) - lead]))
            above = [*titles, *body[len(body) - lead :]]

    def _is_parted(self, headers: list[Header]) -> bool:
        """Read tables that stand beside each other one after the other; say whether there are."""
        reading, sheet = self._reading, self._sheet
        found = {starts: header for header in headers if (starts := blocks_of(sheet, header))}
        if not found:
            return False
        starts, header = next(iter(found.items()))
        place = place_of(sheet.name, sheet.rows[header.last].number)
        columns = " and ".join(column_letters(start) for start in starts)
        told = f"{len(starts)} tables stand beside each other at {place}, from columns {columns}"
        if len(found) > 1 or any(not blocks_of(sheet, header) for header in headers):
            asked = f"{told}, others do not: ask for one table below the other"
            reading.alarms.append(Alarm(asked))
            return False
        reading.said.append(f"{told}: each is read by itself")
        for part in parted(sheet, starts, sheet.rows[header.first].number):
            _SheetReader(reading, part).read()
        return True

    def _spans(self) -> Iterator[tuple[Header, int]]:
        """Yield each header with the position where its table ends; one repeated is no new one."""
        rows, header = self._sheet.rows, None
        position, price = 0, -1
        while position < len(rows):
            row = rows[position]
            if (price >= 0 and _is_priced(row, price)) or not self._heads.is_header(row):
                position += 1
                continue
            found = self._heads.header(position)
            if header is None or found.texts != header.texts:
                if header is not None:
                    yield header, found.first
                header = found
                price = found.meanings.index("price") if "price" in found.meanings else -1
            position = found.last + 1
        if header is not None:
            yield header, len(rows)

    def _read_table(self, header: Header, body: list[RawRow], beside: Around) -> None:
        reading, sheet = self._reading, self._sheet
        given = Given(reading.given, bool(reading.raw.delimiter))
        found = settled(sheet, header, body, beside, given)
        reading.said += found.said
        reading.skipped += found.skipped
        reading.alarms += found.alarms
        section = _open_section(reading.rows, sheet.name)
        heads = sheet.rows[header.first : header.last + 1]
        reading.rows += [_plain_row(sheet, row, RowKind.HEADER) for row in heads]
        if found.table is None:
            reading.rows += [_plain_row(sheet, row, RowKind.NOTE) for row in body]
            return
        reading.profiles.append(found.table.profile(reading.raw.delimiter, self._encoding(found)))
        among, reader = Among(), ItemReader(found.table)
        reading.rows += self._read_body(reader, body, section, among)
        place = f"the table at {place_of(sheet.name, sheet.rows[header.first].number)}"
        reading.alarms += reader.money.alarms(place)
        reading.alarms += among_doubts(found.table, among, place, found.alarms)
        if found.hears_tax and not any(alarm.key == TAX for alarm in found.alarms):
            reading.alarms += loose_alarm(place, among.texts)

    def _encoding(self, found: Settled) -> str:
        """Return the encoding to remember: plain ASCII tells nothing, and what was known stays."""
        raw = self._reading.raw
        layout = found.table.layout if found.table else None
        is_plain = any(said.endswith(PLAIN_ASCII) for said in raw.assumptions)
        return layout.encoding if layout and layout.encoding and is_plain else raw.encoding

    def _read_body(
        self, reader: ItemReader, body: list[RawRow], section: str, among: Among
    ) -> Iterator[ListRow]:
        """Yield the rows of a table; a section heading stays with the items below it.

        What stands in the rows that are no articles is added to `among`.
        """
        places = reader.table.places
        price = places.prices[0] if places.prices else -1
        code = places.code
        for row in body:
            priced = price >= 0 and _is_priced(row, price)
            if priced and code >= 0 and _ONE_WORD_CODE.fullmatch(row.cell(code)):
                yield reader.read(row, section)
                continue
            is_head = not priced and self._heads.is_header(row)
            kind = RowKind.HEADER if is_head else kind_of(row, places)
            if kind == RowKind.ITEM:
                yield reader.read(row, section)
                continue
            if kind == RowKind.SECTION:
                section = next(" ".join(c.split()) for c in row.cells if c.strip())
                among.sections.add(section)
            if kind != RowKind.HEADER:
                among.texts += loose_texts([row])
            told = "" if kind == RowKind.SECTION else section
            yield _plain_row(self._sheet, row, kind, section=told)


def _read_document(reading: _Reading, sheet: RawSheet) -> None:
    """Read a sheet whose columns the kind of file itself names."""
    document = document_table(sheet, reading.given)
    reader = ItemReader(document)
    reading.profiles.append(document.profile("", reading.raw.encoding))
    reading.said += settled_said(document.layout)
    reading.rows += [reader.read(row, "") for row in sheet.rows]


def _is_priced(row: RawRow, index: int) -> bool:
    """Say quickly whether a price cell holds a figure, which no header and no section does."""
    if index >= len(row.cells):
        return False
    cell = row.cells[index]
    return not cell[:1].isalpha() and _FIGURE.search(cell) is not None


def _open_section(rows: list[ListRow], sheet: str) -> str:
    """Return the section heading that stands right above a header: it is the new table's."""
    last = rows[-1] if rows else None
    if last is None or last.sheet != sheet or last.kind is not RowKind.SECTION:
        return ""
    return next(" ".join(cell.split()) for cell in last.cells if cell.strip())


def _plain_row(sheet: RawSheet, row: RawRow, kind: RowKind, *, section: str = "") -> ListRow:
    return ListRow(kind, sheet.name, row.number, {}, section=section, cells=tuple(row.cells))


def _no_table(name: str, raw: RawFile) -> ReaderError:
    """Return the refusal of a file in which no table of prices was found, with its first rows."""
    rows = [row for sheet in raw.sheets for row in sheet.rows[:3]][:3]
    if not rows:
        return ReaderError("no cell holds any text", place=name, hint="ask for the list again")
    shown = "; ".join(
        f"row {row.number}: " + " | ".join(c.strip()[:30] for c in row.cells[:8] if c.strip())
        for row in rows
    )
    sought = "; ".join(
        f"{meaning}: {', '.join(sample_words(meaning))} …"
        for meaning in ("code", "description", "price")
    )
    return ReaderError(
        f"{NO_TABLE} (header words looked for: {sought}) (first rows: {shown})",
        place=name,
        hint="give the columns plain headings such as Part no., Description, Price; or say what "
        "they are: partsdb pricelist layout FILE --supplier NAME --column HEADING=price …; "
        "or where they stand: --header-row N",
    )
