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
from importers.drift import apply_profile, best_profile, delimiter_drift
from importers.headings import sample_words
from importers.items import ItemReader
from importers.layout import IDENTITY, PRICES, Header, header_at, is_header, propose
from importers.limits import DEFAULT, Limits, refuse
from importers.raw import RawFile, RawRow, RawSheet
from importers.row_kinds import kind_of
from importers.rows import Column, ListRow, PriceListText, Profile, ReaderError, RowKind
from importers.shifted import shape_of
from importers.source import load, reader_for
from importers.tables import Table, currency_of, document_table, keys_of, marks_of

_TAX = re.compile(r"\b(?:inkl|incl|including)\b.{0,12}\b(?:mwst|ust|vat|tax)", re.IGNORECASE)
_VALID = re.compile(r"(?:gültig|valid|effective|stand)\b.{0,60}[0-9]", re.IGNORECASE)
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
    for sheet in raw.sheets:
        _read_sheet(reading, sheet)
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
    )


def _read_sheet(reading: _Reading, sheet: RawSheet) -> None:
    """Read all tables of a sheet; a sheet without one is left out and said."""
    if sheet.columns:
        document = document_table(sheet)
        reader = ItemReader(document)
        reading.profiles.append(document.profile("", reading.raw.encoding))
        reading.rows += [reader.read(row, "") for row in sheet.rows]
        return
    spans = list(islice(_spans(sheet), reading.limits.tables + 1))
    if len(spans) > reading.limits.tables:
        place = f"{reading.name} {sheet.name}".strip()
        raise refuse("tables", len(spans), reading.limits.tables, place=place)
    if not spans:
        if sheet.rows:
            name = f'sheet "{sheet.name}"' if sheet.name else "the text"
            reading.skipped.append(f"{name} has no header row of a price list; it is not read")
        return
    titles = sheet.rows[: spans[0][0].first]
    reading.rows += [_plain_row(sheet, row, RowKind.NOTE) for row in titles]
    for header, end in spans:
        body = sheet.rows[header.last + 1 : end]
        around = _loose_texts(titles) + _loose_texts(body[:3] + body[-5:])
        table = _table(reading, sheet, header, body, around)
        section = _open_section(reading.rows, sheet.name)
        heads = sheet.rows[header.first : header.last + 1]
        reading.rows += [_plain_row(sheet, row, RowKind.HEADER) for row in heads]
        if table is None:
            reading.rows += [_plain_row(sheet, row, RowKind.NOTE) for row in body]
            continue
        reading.profiles.append(table.profile(reading.raw.delimiter, reading.raw.encoding))
        reading.rows += _read_body(table, sheet, body, section)


def _spans(sheet: RawSheet) -> Iterator[tuple[Header, int]]:
    """Yield each header with the position where its table ends; a header repeated is no new one."""
    header: Header | None = None
    position, price = 0, -1
    while position < len(sheet.rows):
        row = sheet.rows[position]
        if price >= 0 and _is_priced(row, price):
            position += 1
            continue
        if not is_header(row):
            position += 1
            continue
        found = header_at(sheet, position)
        if header is None or found.texts != header.texts:
            if header is not None:
                yield header, found.first
            header = found
            price = found.meanings.index("price") if "price" in found.meanings else -1
        position = found.last + 1
    if header is not None:
        yield header, len(sheet.rows)


def _is_priced(row: RawRow, index: int) -> bool:
    """Say quickly whether a price cell holds a figure, which no header and no section does."""
    if index >= len(row.cells):
        return False
    cell = row.cells[index]
    return not cell[:1].isalpha() and _FIGURE.search(cell) is not None


def _table(
    reading: _Reading, sheet: RawSheet, header: Header, body: list[RawRow], around: list[str]
) -> Table | None:
    """Return a table with its columns settled, None when it has no price or nothing to identify."""
    columns, said = propose(header, body)
    number = sheet.rows[header.first].number
    place = f"{sheet.name} row {number}".strip()
    profile = best_profile(columns, sheet.name, reading.given)
    if profile is not None:
        columns, drift = apply_profile(columns, profile, place=f"the table at {place}")
        said += drift
    meanings = {c.meaning for c in columns}
    if not meanings & IDENTITY or not meanings & set(PRICES):
        what = "price" if meanings & IDENTITY else "code or description"
        reading.skipped.append(f"the table at {place} has no {what} column; it is not read")
        return None
    keys = keys_of(columns)
    marks, marked = marks_of(keys, body, profile)
    currency, named = currency_of(columns, around, body)
    if not currency and profile is not None and profile.currency:
        currency = profile.currency
        named = f"currency {currency}: taken from the remembered layout"
    reading.said += [*said, *marked, *_about_prices(columns, around)]
    reading.said += [named or f"no currency is named for the table at {place}"]
    reading.said.append(_mapping(keys, place))
    shape = shape_of(header, keys, body, is_text=bool(reading.raw.delimiter))
    return Table(sheet.name, header, tuple(columns), keys, marks, currency, number, shape)


def _about_prices(columns: list[Column], around: list[str]) -> list[str]:
    """Say what is not certain about all prices of a table: list prices only, tax included."""
    said = [f'tax may be included in the prices: "{t}"' for t in around if _TAX.search(t)]
    said += [
        f'validity is spoken of, not read as a date: "{t}"' for t in around if _VALID.search(t)
    ]
    said += [
        f'tax may be included in the prices: heading "{c.heading}"'
        for c in columns
        if c.meaning in PRICES and _TAX.search(c.heading)
    ]
    meanings = {c.meaning for c in columns}
    if "price" not in meanings:
        said.append("only list prices are given, no net price")
    return said


def _mapping(keys: tuple[tuple[str, Column], ...], place: str) -> str:
    pairs = ", ".join(f'"{c.heading}" = {key.replace("_", " ")}' for key, c in keys)
    return f"columns of the table at {place}: {pairs}"


def _open_section(rows: list[ListRow], sheet: str) -> str:
    """Return the section heading that stands right above a header: it is the new table's."""
    last = rows[-1] if rows else None
    if last is None or last.sheet != sheet or last.kind is not RowKind.SECTION:
        return ""
    return next(" ".join(cell.split()) for cell in last.cells if cell.strip())


def _read_body(
    table: Table, sheet: RawSheet, body: list[RawRow], section: str
) -> Iterator[ListRow]:
    """Yield the rows of a table; a section heading stays with the items below it."""
    reader, places = ItemReader(table), table.places
    price = places.prices[0] if places.prices else -1
    code = places.code
    for row in body:
        priced = price >= 0 and _is_priced(row, price)
        if priced and code >= 0 and _ONE_WORD_CODE.fullmatch(row.cell(code)):
            yield reader.read(row, section)
            continue
        kind = RowKind.HEADER if not priced and is_header(row) else kind_of(row, places)
        if kind == RowKind.ITEM:
            yield reader.read(row, section)
            continue
        if kind == RowKind.SECTION:
            section = next(" ".join(c.split()) for c in row.cells if c.strip())
        yield _plain_row(sheet, row, kind, section="" if kind == RowKind.SECTION else section)


def _plain_row(sheet: RawSheet, row: RawRow, kind: RowKind, *, section: str = "") -> ListRow:
    return ListRow(kind, sheet.name, row.number, {}, section=section, cells=tuple(row.cells))


def _loose_texts(rows: list[RawRow]) -> list[str]:
    """Return the texts of rows with at most two filled cells: titles, sections, footnotes."""
    texts = []
    for row in rows:
        filled = [" ".join(cell.split()) for cell in row.cells if cell.strip()]
        if len(filled) <= 2:
            texts += [text for text in filled if any(map(str.isalpha, text))]
    return texts


def _no_table(name: str, raw: RawFile) -> ReaderError:
    """Return the refusal of a file in which no table of prices was found, with its first rows."""
    rows = [row for sheet in raw.sheets for row in sheet.rows[:3]][:3]
    shown = "; ".join(
        f"row {row.number}: " + " | ".join(c.strip()[:30] for c in row.cells[:8] if c.strip())
        for row in rows
    )
    sought = "; ".join(
        f"{meaning}: {', '.join(sample_words(meaning))} …"
        for meaning in ("code", "description", "price")
    )
    return ReaderError(
        "no table with a code or description column and a price column was found "
        f"(header words looked for: {sought}) (first rows: {shown or 'none'})",
        place=name,
        hint="give the columns plain headings such as Part no., Description, Price",
    )
