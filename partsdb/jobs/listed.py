"""A row of a price list by meaning: the text for the matcher, and the offer that it makes.

Nothing is guessed: a price without a currency, a basis that is no number or a price that cannot
be held exactly makes no offer, and the row's `problems` say why.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from importers.rows import ListRow, PriceListText, Profile, RowKind
from partsdb.errors import InputRefusedError
from partsdb.matching.readings import LineText
from partsdb.rules.currencies import currency_info
from partsdb.rules.money import price_e4

_WHOLE = re.compile(r"\d+")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_RATING_UNITS = ("bar", "psi", "mpa", "kpa", "kgf/cm2", "kg/cm2", "lbs", "#")
_BASES = ("burst", "proof", "working")
# A unit price is held in 1/10000; a finer one is held for ten, a hundred … units instead.
_FINEST_BASIS = 1_000_000


@dataclass(frozen=True, slots=True)
class ListedOffer:
    """What the supplier asks: `price_e4` in 1/10000ths for `price_per` units; see OfferRow."""

    price_e4: int
    price_per: int
    currency: str
    pack_units: int = 1
    min_units: int = 1
    unit: str = ""
    lead_days: int | None = None
    stock: str = ""
    valid_from: str | None = None
    valid_to: str | None = None


@dataclass(frozen=True, slots=True)
class ListedLine:
    """One row with its meaning. `rating_basis` is working, proof, burst or "" (not said)."""

    row: ListRow
    text: LineText
    offer: ListedOffer | None = None
    rating_basis: str = ""
    problems: tuple[str, ...] = ()


def listed_lines(source: PriceListText, *, currency: str = "") -> list[ListedLine]:
    """Return every row of the list by meaning; `currency` counts where the list names none."""
    return [_listed(row, _profile_of(row, source.profiles), currency) for row in source.rows]


def _profile_of(row: ListRow, profiles: Iterable[Profile]) -> Profile:
    """Return the layout of the table that the row stands in: the last one that begins above it."""
    above = [p for p in profiles if p.sheet == row.sheet and p.header_row < row.row]
    return max(above, key=lambda p: p.header_row, default=Profile(columns=(), header_row=0))


def _listed(row: ListRow, profile: Profile, currency: str) -> ListedLine:
    fields = row.fields
    units = {column.meaning: column.unit for column in profile.columns if column.unit}
    text = LineText(
        place=row.place("code", profile),
        rating=_with_unit(fields.get("rating", ""), units.get("rating", "")),
        section=row.section,
        **{name: fields.get(name, "").strip() for name in (
            "code", "description", "maker", "maker_number", "replaces", "material", "thread", "ean")},
    )  # fmt: skip
    line = ListedLine(row=row, text=text, rating_basis=_basis(fields, units), problems=row.notes)
    if row.kind is not RowKind.ITEM:
        return line
    try:
        offer = _offer(row, units, profile.currency or currency)
    except InputRefusedError as refusal:
        return replace(line, problems=(*row.notes, f"no offer: {refusal.message}"))
    return replace(line, offer=offer)


def _with_unit(rating: str, heading_unit: str) -> str:
    """Return the rating with the unit of its heading where the cell itself names none."""
    rating = rating.strip()
    units = [unit for unit in _RATING_UNITS if unit in heading_unit.casefold()]
    if not rating or not units or re.search(r"[A-Za-z#]", rating):
        return rating
    return f"{rating} {units[0]}"


def _basis(fields: Mapping[str, str], units: Mapping[str, str]) -> str:
    said = f"{fields.get('rating_basis', '')} {units.get('rating', '')}".casefold()
    words = {"berst": "burst", "prüf": "proof", "test": "proof", "betrieb": "working", "wp": "working"}
    for german, basis in words.items():
        said = said.replace(german, basis)
    return next((basis for basis in _BASES if basis in said), "")


def _offer(row: ListRow, units: Mapping[str, str], currency: str) -> ListedOffer | None:
    """Return the row's offer, None when it names no price; refuses what cannot be read exactly."""
    amount = row.amounts.get("price", "")
    if not amount:
        return None
    fields = row.fields
    code = (fields.get("currency") or units.get("price", "").partition(" ")[0] or currency).upper()
    if not code.isalpha() or len(code) != 3:
        code = currency
    if not code:
        raise InputRefusedError("the price names no currency")
    currency_info(code)
    price, per = _held_exactly(amount, _price_basis(fields, units))
    pack = _whole(fields.get("pack", ""), "pack") or 1
    return ListedOffer(
        price_e4=price, price_per=per, currency=code, pack_units=pack,
        min_units=_whole(fields.get("min_qty", ""), "minimum quantity") or 1,
        unit=fields.get("unit", "").strip(),
        lead_days=_whole(fields.get("lead_days", ""), "lead time"),
        stock=fields.get("stock", "").strip(),
        valid_from=fields.get("valid_from") or None, valid_to=fields.get("valid_to") or None,
    )  # fmt: skip


def _price_basis(fields: Mapping[str, str], units: Mapping[str, str]) -> int:
    """Return how many units the price is for: the row says it, else the heading of the price."""
    for said in (fields.get("price_per", ""), units.get("price_per", ""), units.get("price", "")):
        if (count := _whole(said.replace(".", "").replace(",", ""), "price basis")) is not None:
            return count
    return 1


def _whole(text: str, what: str) -> int | None:
    """Return the first whole number of the text, None when it holds none; zero is refused."""
    found = _WHOLE.search(text)
    if found is None:
        return None
    if (number := int(found.group())) > 0 or what == "lead time":
        return number
    raise InputRefusedError(f"the {what} {text.strip()!r} is no count of units")


def _held_exactly(amount: str, per: int) -> tuple[int, int]:
    """Return the price in whole 1/10000ths and its basis, for more units when it is finer."""
    digits = len(amount.partition(".")[2].rstrip("0"))
    while digits > 4 and per < _FINEST_BASIS:
        amount, digits, per = _times_ten(amount), digits - 1, per * 10
    return price_e4(amount), per


def _times_ten(amount: str) -> str:
    whole, _, decimals = amount.partition(".")
    return f"{whole}{decimals[:1] or '0'}.{decimals[1:] or '0'}"


def not_ordinary(lines: Iterable[ListedLine]) -> list[ListedLine]:
    """Return the rows whose price or place was odd: what the reader should show first."""
    return [line for line in lines if line.problems]
