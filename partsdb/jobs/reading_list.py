"""Reads a supplier's list against the catalogue and stores nothing: for vetting and intake."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from importers import DRIFT, layout_key, read_price_list_bounded
from importers.rows import CURRENCY, Column, PriceListText, Profile, RowKind
from partsdb.errors import InputRefusedError
from partsdb.jobs.code_twice import repeats_of, repeats_said, twins_of
from partsdb.jobs.layout_units import new_units, unknown_units
from partsdb.jobs.list_reader import ListReader
from partsdb.jobs.listed import ListedLine, listed_lines
from partsdb.jobs.packs import with_packs
from partsdb.jobs.past import matcher_record, past_decisions, wrong_matches
from partsdb.jobs.successors import successors_said
from partsdb.matching.context import ListContext
from partsdb.matching.halves import in_halves
from partsdb.matching.lines import collector_paused
from partsdb.matching.readings import Reading
from partsdb.rules.counting import counted
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, KitItem
from partsdb.rules.stated import stated_claims, stated_contents
from partsdb.store import lists, makers, terms
from partsdb.store.rows import SupplierRow

Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class ReadLine:
    """One row with its reading, what it claims of the article, and what its kit is said to hold.

    `twin` names another row of the list with the same code and another price, "" if none;
    `repeats` an earlier row that offers the very same article at the same price, "" if none;
    `unclear` says why it cannot be told what the price is for, "" where it can.
    """

    listed: ListedLine
    reading: Reading
    claims: tuple[Claim, ...] = ()
    contents: tuple[KitItem, ...] | None = None
    twin: str = ""
    repeats: str = ""
    unclear: str = ""

    @property
    def has_price(self) -> bool:
        """Say whether the row states a price, and it can be told what for."""
        return bool(self.listed.offer) and not self.unclear

    @property
    def offers(self) -> bool:
        """Say whether the row makes an offer of its own: undisputed, and not made before it."""
        return bool(self.listed.offer) and not (self.twin or self.repeats or self.unclear)


@dataclass(frozen=True, slots=True)
class ReadList:
    """A supplier's list, read. `supplier` is None when a file is vetted without one."""

    source: PriceListText
    supplier: SupplierRow | None
    lines: tuple[ReadLine, ...]
    assumptions: tuple[str, ...]

    @property
    def drift(self) -> tuple[str, ...]:
        """Return what is not as the supplier's remembered layout has it."""
        return tuple(
            said.removeprefix(DRIFT) for said in self.source.assumptions if said.startswith(DRIFT)
        )


@collector_paused()
def read_list(
    path: Path,
    supplier: SupplierRow | None,
    *,
    as_of: str,
    currency: str = "",
    progress: Progress = lambda said: None,
) -> ReadList:
    """Return every row of the file with its reading; raises ReaderError when it cannot be read."""
    profiles = profiles_of(supplier)
    progress("reading the file")
    source = read_price_list_bounded(path, profiles=profiles)
    _refuse_open(source, supplier, currency)
    currency, assumed = _currency(source, supplier, as_of, currency)
    listed = listed_lines(source, currency=currency)
    progress("matching the lines")
    reader = ListReader(progress)
    readings = reader.read(listed, context_of(supplier))
    lines = with_claims(source, listed, readings)
    told = (
        *source.assumptions, *assumed, *unknown_units(source), *reader.assumptions,
        *repeats_said(lines), *successors_said(listed),
    )  # fmt: skip
    return ReadList(source, supplier, lines, told)


def _refuse_open(source: PriceListText, supplier: SupplierRow | None, currency: str) -> None:
    """Refuse a list of which a person must first settle what its columns mean.

    A currency that is given answers the doubt which one it is.
    """
    alarms = [alarm for alarm in source.alarms if not (currency and alarm.key == CURRENCY)]
    if alarms:
        named = supplier.name if supplier else "NAME"
        raise InputRefusedError(
            "; ".join(alarm.text for alarm in alarms),
            place=source.file_name,
            hint=f'look at it with partsdb pricelist layout FILE --supplier "{named}", say what '
            "the columns mean, and --save that; or ask the supplier",
        )


def with_claims(
    source: PriceListText, listed: Sequence[ListedLine], readings: Sequence[Reading]
) -> tuple[ReadLine, ...]:
    """Return every row with its reading, what it claims, and why it makes no offer of its own."""
    listed, unclear = with_packs(listed, readings, source.profiles)
    twins, repeats = twins_of(listed), repeats_of(listed, readings)
    stated = in_halves(
        lambda lines: [(_claims(source, line), _contents(line)) for line in lines], listed
    )
    return tuple(
        ReadLine(
            line,
            reading,
            claims,
            contents,
            twins.get(index, ""),
            repeats.get(index, ""),
            unclear.get(index, ""),
        )
        for index, (line, reading, (claims, contents)) in enumerate(
            zip(listed, readings, stated, strict=True)
        )
    )


def profiles_of(supplier: SupplierRow | None) -> tuple[Profile, ...]:
    """Return the layouts that are remembered of the supplier's lists."""
    saved = lists.saved_profiles(supplier.id) if supplier else {}
    return tuple(profile_of(data) for _, each in sorted(saved.items()) for data in each)


def profile_of(data: Mapping[str, Any]) -> Profile:
    """Return a remembered layout from the plain data that it was stored as."""
    columns = tuple(Column(**column) for column in data["columns"])
    units = tuple((written, code) for written, code in data.get("units", ()))
    settled = tuple(data.get("settled", ()))
    return Profile(**{**data, "columns": columns, "units": units, "settled": settled})


def drift_caution(read: ReadList) -> tuple[str, ...]:
    """Return the warning that a list is not laid out as the supplier's lists before it."""
    drifted = [*read.drift, *new_units(read.source)]
    if not drifted or read.supplier is None:
        return ()
    return (
        f"the layout drifted from the one that is remembered: {'; '.join(drifted)}. "
        f'Look at it with partsdb pricelist layout FILE --supplier "{read.supplier.name}"',
    )


def _currency(
    source: PriceListText, supplier: SupplierRow | None, as_of: str, given: str
) -> tuple[str, list[str]]:
    """Return the currency for rows that name none, and how it came about."""
    if given:
        from partsdb.rules.currencies import currency_info

        currency_info(given.upper())
        return given.upper(), [f"prices without a currency are in {given.upper()}: as you said"]
    if any(profile.currency for profile in source.profiles):
        return "", []
    stored = terms.terms_as_of(supplier.id, as_of) if supplier else None
    if stored is None:
        return "", []
    if not any(row.amounts.get("price") and "currency" not in row.fields for row in source.rows):
        return stored.currency, []
    return stored.currency, [
        f"prices without a currency are in {stored.currency}: the supplier's stored terms"
    ]


def context_of(supplier: SupplierRow | None) -> ListContext:
    names = {row.id: row.name for row in makers.maker_rows()}
    known = {name: name for name in names.values()}
    known |= {alias: names[maker] for alias, maker in makers.alias_keys().items()}
    return ListContext(
        supplier=supplier.name if supplier else "",
        own_makers=frozenset((supplier.own_brand,))
        if supplier and supplier.own_brand
        else frozenset(),
        known_makers=known,
        decisions=past_decisions(supplier.id) if supplier else {},
        wrong=wrong_matches(supplier.id) if supplier else {},
        record=matcher_record(),
    )


def _claims(source: PriceListText, line: ListedLine) -> tuple[Claim, ...]:
    if line.row.kind is not RowKind.ITEM:
        return ()
    text, where = line.text, f"{source.file_name}, {line.text.place}"
    stated = stated_claims(
        text.description,
        rating=text.rating,
        basis=line.rating_basis,
        material=text.material,
        thread=text.thread,
        source=where,
    )
    # Columns that the list heads "burst" or "proof" beside its working rating.
    return stated + tuple(
        Claim(ClaimKind.RATING, value, EvidenceLevel.SUPPLIERS_WORD, "", basis, where)
        for basis in ("burst", "proof")
        if (value := line.row.fields.get(f"rating_{basis}", "").strip())
    )


def _contents(line: ListedLine) -> tuple[KitItem, ...] | None:
    return stated_contents(line.text.description) if line.row.kind is RowKind.ITEM else None


_NAME_THE_CURRENCY = "name the currency with --currency, or store the supplier's terms first"
_SETTLE_THE_LAYOUT = "partsdb pricelist layout FILE --supplier NAME shows how it is read"


def refuse_without_prices(read: ReadList) -> None:
    """Refuse a list of which no row makes an offer; the commonest reason is told, with its row."""
    if any(line.listed.offer for line in read.lines):
        return
    reasons = Counter(problem for line in read.lines for problem in line.listed.problems)
    why = reasons.most_common(1)[0][0] if reasons else _no_price_at_all(read)
    hint = _NAME_THE_CURRENCY if "currency" in why else _SETTLE_THE_LAYOUT
    raise InputRefusedError(
        f"no price can be taken from the list: {_with_place(read, why)}",
        place=read.source.file_name,
        hint=hint,
    )


def _no_price_at_all(read: ReadList) -> str:
    if any(line.listed.row.amounts.get("list_price") for line in read.lines):
        return (
            "only list prices are given, no net price: ask the supplier for net prices or for the "
            "discounts; if the list price is what is paid, say so with --column HEADING=price"
        )
    return "no row holds a price"


def _with_place(read: ReadList, why: str) -> str:
    """Return a reason with the first of the rows that it holds for; no currency is that of all."""
    rows = [line.listed.row for line in read.lines if why in line.listed.problems]
    if not rows or "currency" in why:
        return why
    more = f" (and {counted(len(rows) - 1, 'row')} more)" if len(rows) > 1 else ""
    return f"{rows[0].place()}: {why}{more}"


__all__ = [
    "ReadLine",
    "ReadList",
    "drift_caution",
    "layout_key",
    "read_list",
    "refuse_without_prices",
]
