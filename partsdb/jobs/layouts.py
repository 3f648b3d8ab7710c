"""How a supplier's lists are laid out: looked at before anything is read, settled, remembered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from importers import key_of, read_price_list_bounded
from importers.drift import DRIFT, headings_of
from importers.rows import (
    AMONG,
    CELLS,
    CURRENCY,
    HEADING,
    NO_TABLE,
    TAX,
    Column,
    ListRow,
    PriceListText,
    Profile,
    ReaderError,
    RowKind,
    column_letters,
    is_counted,
    place_of,
    word_behind,
)
from partsdb.errors import UsageError
from partsdb.jobs.layout_units import new_units, with_units
from partsdb.jobs.layout_wishes import LayoutAsk, Wishes, refuse_unheeded, wishes_of
from partsdb.jobs.listed import LayoutOf
from partsdb.jobs.named import the_supplier
from partsdb.jobs.reading_list import profile_of, profiles_of
from partsdb.store import events, lists
from partsdb.store.rows import Stamp, SupplierRow
from partsdb.store.rows_lists import PriceListRow

_SAMPLES = 3


@dataclass(frozen=True, slots=True)
class ColumnShown:
    """A column: its letter, what it means and the heading says of its cells; how full it is."""

    column: str
    heading: str
    meaning: str
    unit: str
    filled: int | None
    samples: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TableShown:
    """A table of a list as it is read; `units` are (as written, code), "" for what is not known.

    `tax` is the percentage that is taken out of its prices, "0" where a person said that they are
    net. `rows` counts its articles, `priced` those with a net price; both None of a remembered one.
    `confirmed` says who settled the layout and when, "" where it was only assumed.
    """

    place: str
    header_row: int | None
    delimiter: str
    encoding: str
    decimal_mark: str
    currency: str
    price_per: str
    discount: str
    units: tuple[tuple[str, str], ...]
    confirmed: str
    columns: tuple[ColumnShown, ...]
    tax: str = ""
    rows: int | None = None
    priced: int | None = None


@dataclass(frozen=True, slots=True)
class LayoutAnswer:
    """What looking at a file came to; `alarms` must be settled before the list can be read."""

    file: str
    supplier: str
    tables: tuple[TableShown, ...]
    alarms: tuple[str, ...]
    drift: tuple[str, ...]
    assumptions: tuple[str, ...]
    skipped: tuple[str, ...]
    saved: bool


@dataclass(frozen=True, slots=True)
class RememberedLayout:
    """One remembered layout of a supplier's lists, known by its number."""

    number: int
    tables: tuple[TableShown, ...]


def look_at(ask: LayoutAsk, by: Stamp) -> LayoutAnswer:
    """Return how the file is read with what was asked for, and remember that if `save` says so.

    Raises ReaderError for a file that cannot be read, UsageError for what it cannot be read by.
    """
    supplier = the_supplier(ask.supplier)
    wishes = wishes_of(ask)
    known = profiles_of(supplier)
    confirmed = f"{by.who}, {by.at[:10]}"
    try:
        source = _read(ask.path, (*wishes.first_look(), *known))
    except ReaderError as error:
        if wishes.header_row and not wishes.columns and error.message.startswith(NO_TABLE):
            raise UsageError(
                f"row {wishes.header_row} cannot be the header of a table",
                hint="it must hold the headings of a code or description and of a price",
            ) from error
        if not wishes.columns:
            raise
        source = None
    if source is None or not wishes.is_empty:
        base = _answered(source, wishes) if source else ()
        source = _read(ask.path, (*wishes.first_look(), *wishes.applied(base, confirmed)))
    refuse_unheeded(wishes, source)
    if ask.save:
        source = _saved(ask.path, source, supplier, by)
    return _answer(source, supplier, saved=ask.save)


def _answered(source: PriceListText, wishes: Wishes) -> tuple[Profile, ...]:
    """Return the layouts of a list; a currency that is named settles what contradicts it."""
    asked = {alarm.key for alarm in source.alarms}
    if "currency" not in wishes.settings or not asked & {CELLS, AMONG}:
        return source.profiles
    return tuple(replace(p, settled=(*p.settled, HEADING)) for p in source.profiles)


def _read(path: Path, profiles: tuple[Profile, ...]) -> PriceListText:
    return read_price_list_bounded(path, profiles=profiles)


def _saved(path: Path, source: PriceListText, supplier: SupplierRow, by: Stamp) -> PriceListText:
    """Remember the list's layout as settled, in the place of what was remembered of its tables."""
    doubts = tuple(a.key for a in source.alarms if a.key not in ("", CURRENCY, AMONG, TAX))
    confirmed = f"{by.who}, {by.at[:10]}"
    profiles = tuple(
        replace(p, confirmed=confirmed, settled=tuple(dict.fromkeys((*p.settled, *doubts))))
        for p in with_units(source)
    )
    tables = {headings_of(profile) for profile in profiles}
    for key, stored in lists.saved_profiles(supplier.id).items():
        if {headings_of(profile_of(data)) for data in stored} <= tables:
            lists.forget_profile(supplier.id, key, by=by)
    plain = [asdict(profile) for profile in profiles]
    lists.save_profile(supplier.id, key_of(profiles), plain, by=by)
    detail = {"file": path.name, "columns": [_said(profile) for profile in profiles]}
    events.record("settle layout", ("supplier", supplier.id), detail, by=by)
    return _read(path, profiles)


def _said(profile: Profile) -> dict[str, str]:
    return {c.heading or column_letters(c.index): _meaning(c) for c in profile.columns}


def remembered(name: str) -> tuple[SupplierRow, list[RememberedLayout]]:
    """Return the layouts that are remembered of a supplier's lists; raises NotFoundError."""
    supplier = the_supplier(name)
    saved = lists.saved_profiles(supplier.id)
    return supplier, [
        RememberedLayout(number, tuple(_table(profile_of(data), None) for data in stored))
        for number, stored in enumerate(saved.values(), start=1)
    ]


def forget(name: str, number: int, by: Stamp) -> None:
    """Remember one layout no more; raises UsageError for a number that there is not."""
    supplier = the_supplier(name)
    keys = list(lists.saved_profiles(supplier.id))
    if not 0 < number <= len(keys):
        raise UsageError(
            f"no layout {number} of {supplier.name} is remembered",
            hint=f'partsdb pricelist layout --supplier "{supplier.name}" lists them',
        )
    lists.forget_profile(supplier.id, keys[number - 1], by=by)
    events.record("forget layout", ("supplier", supplier.id), {"layout": number}, by=by)


def forget_unused(batch: int, by: Stamp) -> None:
    """Remember no more what only a withdrawn batch brought; what a person settled stays."""
    head = lists.list_row(batch)
    if head is None:
        return
    key = _key(head)
    saved = lists.saved_profiles(head.supplier_id)
    is_settled = any(profile_of(data).confirmed for data in saved.get(key, ()))
    live = [row for row in lists.list_rows(head.supplier_id) if not row.withdrawn_at]
    if key in saved and not is_settled and key not in map(_key, live):
        lists.forget_profile(head.supplier_id, key, by=by)


def _key(head: PriceListRow) -> str:
    return key_of(profile_of(data) for data in head.profiles)


def _answer(source: PriceListText, supplier: SupplierRow, *, saved: bool) -> LayoutAnswer:
    units = with_units(source)
    rows = _rows_of(source)
    drift = [said.removeprefix(DRIFT) for said in source.assumptions if said.startswith(DRIFT)]
    return LayoutAnswer(
        source.file_name,
        supplier.name,
        tuple(_table(profile, rows.get(at, [])) for at, profile in enumerate(units)),
        tuple(alarm.text for alarm in source.alarms),
        (*drift, *new_units(source)),
        tuple(said for said in source.assumptions if not said.startswith(DRIFT)),
        source.skipped,
        saved,
    )


def _rows_of(source: PriceListText) -> dict[int, list[ListRow]]:
    """Return the articles of each table by its position, refused ones too."""
    above = LayoutOf(source.profiles)
    places = {id(profile): at for at, profile in enumerate(source.profiles)}
    found: dict[int, list[ListRow]] = {}
    for row in source.rows:
        if row.kind in (RowKind.ITEM, RowKind.REFUSED):
            found.setdefault(places.get(id(above(row)), -1), []).append(row)
    return found


def _table(profile: Profile, rows: Sequence[ListRow] | None) -> TableShown:
    columns = tuple(_column(column, rows) for column in profile.columns)
    discount = next((c for c in columns if c.meaning.startswith("discount")), None)
    counted = is_counted(profile.sheet)
    return TableShown(
        place=profile.sheet if counted else place_of(profile.sheet, profile.header_row),
        header_row=profile.header_row or None,
        delimiter=profile.delimiter,
        encoding=profile.encoding,
        decimal_mark=profile.decimal_mark,
        currency=profile.currency,
        price_per=profile.price_per or _headed_basis(profile.columns),
        discount=discount.heading if discount else "",
        units=profile.units,
        confirmed=profile.confirmed,
        columns=columns,
        tax=profile.tax,
        rows=None if rows is None else len(rows),
        priced=None if rows is None else sum(bool(row.amounts.get("price")) for row in rows),
    )


def _column(column: Column, rows: Sequence[ListRow] | None) -> ColumnShown:
    cells = [text for row in rows or () if (text := _cell(row, column.index))]
    filled = None if rows is None else round(100 * len(cells) / max(len(rows), 1))
    return ColumnShown(
        column_letters(column.index),
        column.heading,
        _meaning(column),
        column.unit,
        filled,
        tuple(_first(cells)),
    )


def _headed_basis(columns: Sequence[Column]) -> str:
    """Return for how many units the heading of the price says that it is, "" when it does not."""
    price = next((column for column in columns if column.meaning == "price"), None)
    return word_behind(price.unit, "per") if price else ""


def _meaning(column: Column) -> str:
    return "" if column.meaning == "other" else column.meaning.replace("_", " ")


def _cell(row: ListRow, index: int) -> str:
    return " ".join(row.cells[index].split()) if index < len(row.cells) else ""


def _first(cells: Iterable[str]) -> list[str]:
    found: dict[str, None] = {}
    for cell in cells:
        found.setdefault(cell)
        if len(found) == _SAMPLES:
            break
    return list(found)
