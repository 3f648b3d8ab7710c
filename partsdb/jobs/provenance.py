"""Every claim and price of a part, with the file, its hash, and the cell, page or segment."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from importers.amounts import read_amount
from importers.breaks import BREAK, with_breaks
from importers.rows import ListRow, Profile, RowKind
from importers.tax_out import NET_AFTER_ALL
from partsdb.jobs.listed import profile_above
from partsdb.jobs.reading_list import profile_of
from partsdb.store.provenance import LineSource, SaidRow, line_sources, said_of

# The column of a list in which a claim of the kind stands; a description where it has none.
_COLUMNS = {"rating": "rating", "material": "material", "port": "thread", "price": "price"}


@dataclass(frozen=True, slots=True)
class Provenance:
    """One claim or price and where it came from; `file` and `sha256` are "" without a file.

    `how` tells what a net price was reckoned from, "" where it stands as it is.
    """

    what: str
    value: str
    by: str
    at: str
    evidence: str
    file: str
    place: str
    sha256: str
    batch: int | None
    state: str
    how: str = ""


def provenance(part_id: int) -> list[Provenance]:
    """Return where everything said of the part came from, oldest first, withdrawn ones too."""
    said = said_of(part_id)
    sources = line_sources({row.line_id for row in said if row.line_id is not None})
    return [_shown(row, sources.get(row.line_id or 0)) for row in said]


def _shown(row: SaidRow, source: LineSource | None) -> Provenance:
    is_offer = row.what == "offer"
    held = "waits for a person" if is_offer and row.evidence else ""
    return Provenance(
        what=" ".join(part for part in (row.kind, row.basis, row.about) if part),
        value=_price(row.value) if is_offer else row.value,
        by=source.supplier if source else row.made_by,
        at=row.made_at,
        evidence="" if is_offer else row.evidence,
        file=source.file_name if source else row.source,
        place=_place(row, source) if source else "",
        sha256=source.sha256 if source else "",
        batch=source.batch if source else None,
        state=f"withdrawn {row.withdrawn_at}" if row.withdrawn_at else held or "live",
        how=_how(source) if is_offer and source and not row.about else "",
    )


def _how(source: LineSource) -> str:
    """Return what a price was reckoned from: the list price less its discount, less tax in it."""
    fields, less_tax = source.fields["fields"], _less_tax(source)
    if "price" in fields or "discount" not in fields:
        return f"price {fields['price']}{less_tax}" if less_tax and "price" in fields else ""
    off = fields["discount"]
    return f"list price {fields['list_price']} less {off if '%' in off else f'{off} %'}{less_tax}"


def _less_tax(source: LineSource) -> str:
    """Return which tax was taken out of a row's price, "" where the price is as it was written."""
    profile, fields = _profile(source), source.fields["fields"]
    key = "price" if "price" in fields else "list_price"
    read = read_amount(fields.get(key, ""), profile.decimal_mark or ".").text
    is_taken = profile.tax not in ("", NET_AFTER_ALL) and read != source.fields["amounts"].get(key)
    return f" less {profile.tax} % tax in it" if is_taken else ""


def _price(written: str) -> str:
    """Turn "723800/1 EUR" into "72.38 EUR"."""
    amount, currency = written.split(" ")
    price_e4, per = amount.split("/")
    basis = f" per {per}" if per != "1" else ""
    return f"{Decimal(price_e4).scaleb(-4).normalize():f} {currency}{basis}"


def _place(said: SaidRow, source: LineSource) -> str:
    """Return the cell where the list has a column for it, the description's or the row's else."""
    fields, profile = source.fields["fields"], _profile(source)
    row = ListRow(RowKind.ITEM, source.sheet, source.row, fields)
    if said.what == "offer" and said.about:
        return row.place("price", _of_break(profile, said.about))
    meaning = _COLUMNS.get(said.kind, "")
    if meaning not in fields:
        meaning = "list_price" if said.kind == "price" else "description"
    return row.place(meaning, profile)


def _profile(source: LineSource) -> Profile:
    """Return the layout of the table in which the line stands."""
    row = ListRow(RowKind.ITEM, source.sheet, source.row, {})
    return profile_above(row, [profile_of(data) for data in source.profiles])


def _of_break(profile: Profile, about: str) -> Profile:
    """Return the layout with the column of the price break "from 10" as that of the price."""
    column = dict(with_breaks(profile.columns).keys).get(f"{BREAK}{about.removeprefix('from ')}")
    columns = (replace(column, meaning="price"),) if column else ()
    return replace(profile, columns=columns)
