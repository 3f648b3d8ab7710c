"""A row of a price list by meaning: the text for the matcher, and the offer that it makes.

Nothing is guessed: a price without a currency, a basis that is no number or a price that cannot
be held exactly makes no offer, and the row's `problems` say why.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from importers.rows import ListRow, PriceListText, Profile, RowKind
from partsdb.errors import AmbiguousError, InputRefusedError, NotFoundError
from partsdb.matching.readings import LineText
from partsdb.rules.currencies import UnknownCurrencyError, currency_info
from partsdb.rules.days import iso_day_written
from partsdb.rules.money import price_e4
from partsdb.rules.unit_codes import unit_code

_FIGURE = re.compile(r"\d[\d.,]*", re.ASCII)
# "25", "1.000" and "1,000" (grouped), "1,00" (decimals that say nothing): all else is no count.
_COUNT = re.compile(r"(\d{1,3}(?:\.\d{3})+|\d{1,3}(?:,\d{3})+|\d+)(?:[.,]0{1,2})?", re.ASCII)
_MOST_UNITS = 1_000_000
# What a list says beside its prices are a few texts, each of them thousands of times.
_FEW_TEXTS = lru_cache(maxsize=1024)
# A figure above one before a unit: "100 m", "per 50 boxes".
_COUNTED = re.compile(r"(?:per |je |/ ?)?(?:[2-9]|1\d)\d* ?[^\W\d]", re.IGNORECASE)
_PER_WORD = re.compile(r"^(?:per|je|pro|/)\s*", re.IGNORECASE)
PACKAGE = "package"  # a kind of unit: what it holds must be said
_MOST_DAYS = 3650
_BREAK = re.compile(r"price_from_(\d+)")
_TEXT_FIELDS = (
    "code",
    "description",
    "maker",
    "maker_number",
    "replaces",
    "material",
    "thread",
    "ean",
    "rating",
)
# What the reader notes of ordinary rows too: no reason to look at one.
_HARMLESS = ("taken from the heading",)
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
    breaks: tuple[tuple[int, int], ...] = ()


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
    above = LayoutOf(source.profiles)
    return [_listed(row, above(row), currency) for row in source.rows]


class LayoutOf:
    """Gives the layout of the table that a row stands in, quickly where a sheet has one table."""

    def __init__(self, profiles: Sequence[Profile]) -> None:
        self._profiles = profiles
        sheets = Counter(profile.sheet for profile in profiles)
        self._alone = {p.sheet: p for p in profiles if sheets[p.sheet] == 1}

    def __call__(self, row: ListRow) -> Profile:
        alone = self._alone.get(row.sheet)
        if alone is not None and alone.header_row < row.row:
            return alone
        return profile_above(row, self._profiles)


def profile_above(row: ListRow, profiles: Iterable[Profile]) -> Profile:
    """Return the layout of the table that the row stands in: the last one that begins above it."""
    above = [p for p in profiles if p.sheet == row.sheet and p.header_row < row.row]
    return max(above, key=lambda p: p.header_row, default=Profile(columns=(), header_row=0))


def _listed(row: ListRow, profile: Profile, currency: str) -> ListedLine:
    fields = row.fields
    said = {name: fields[name].strip() for name in _TEXT_FIELDS if name in fields}
    text = LineText(place=row.place("code", profile), section=row.section, **said)
    odd = tuple(note for note in row.notes if not note.endswith(_HARMLESS))
    line = ListedLine(row, text, rating_basis=fields.get("rating_basis", ""), problems=odd)
    if row.kind is not RowKind.ITEM:
        return line
    try:
        offer = _offer(row, profile, profile.currency or currency)
    except (InputRefusedError, UnknownCurrencyError) as refusal:
        return replace(line, problems=(*odd, f"no offer: {refusal.message}"))
    return replace(line, offer=offer)


def _offer(row: ListRow, profile: Profile, currency: str) -> ListedOffer | None:
    """Return the row's offer, None when it names no price; refuses what cannot be read exactly."""
    amount = row.amounts.get("price", "")
    if not amount:
        return None
    fields = row.fields
    code = (fields.get("currency") or currency).strip().upper()
    if not code:
        raise InputRefusedError("the price names no currency")
    currency_info(code)
    many = _pieces(meant_unit(fields.get("unit", ""), profile))
    stated = _basis(fields.get("price_per", ""))
    basis = stated if stated > 1 else many  # "per 1 dozen" is a price for twelve
    price, per = _held_exactly(amount, basis)
    return ListedOffer(
        price_e4=price,
        price_per=per,
        currency=code,
        pack_units=_whole(fields.get("pack", ""), "pack") or many,
        min_units=_whole(fields.get("min_qty", ""), "minimum quantity") or 1,
        unit=fields.get("unit", "").strip(),
        lead_days=_lead_days(fields.get("lead_days", "")),
        stock=fields.get("stock", "").strip(),
        valid_from=_day(fields.get("valid_from", "")),
        valid_to=_day(fields.get("valid_to", "")),
        breaks=_breaks(row.amounts, basis, per),
    )


def meant_unit(unit: str, profile: Profile) -> str:
    """Return the code that a person settled for a unit as written, else the unit itself."""
    return (dict(profile.units).get(unit_key(unit)) or unit) if profile.units else unit


@_FEW_TEXTS
def unit_key(unit: str) -> str:
    """Return a unit of sale as it is compared: in capitals, with single blanks."""
    return " ".join(unit.upper().split())


@_FEW_TEXTS
def _basis(text: str) -> int:
    """Return for how many units a price is; 1 for a package too, whose content is told apart."""
    found = _whole(text, "price basis")
    if found is not None or not text.strip() or is_per_pack(text):
        return found or 1
    word = _PER_WORD.sub("", text.strip())
    try:
        return unit_code(word).count or 1
    except AmbiguousError as error:
        choices = " or ".join(error.choices)
        why = f"the price basis {text.strip()!r} may be {choices}: ask the supplier"
        raise InputRefusedError(why) from None
    except NotFoundError:
        raise InputRefusedError(f"the price basis {text.strip()!r} is no count of units") from None


@_FEW_TEXTS
def is_per_pack(text: str) -> bool:
    """Say whether a price basis is a package: "pack", "per box", "VPE"."""
    word = _PER_WORD.sub("", text.strip())
    try:
        return bool(word) and unit_code(word).kind == PACKAGE
    except (AmbiguousError, NotFoundError):
        return False


@_FEW_TEXTS
def _pieces(unit: str) -> int:
    """Return how many pieces the unit of sale is: 100 for CEN, 12 for DZN, 1 for all not counted.

    Refuses a unit that means two things in the trade ("M": a metre or a thousand), and a figure
    before a unit that is no piece ("100 m").
    """
    try:
        return unit_code(unit).count or 1 if unit.strip() else 1
    except AmbiguousError as error:
        choices = " or ".join(error.choices)
        raise InputRefusedError(
            f"the unit {unit.strip()!r} may be {choices}: ask the supplier"
        ) from None
    except NotFoundError:
        if _COUNTED.match(unit.strip()):
            raise InputRefusedError(
                f"the unit {unit.strip()!r} counts something: is the price for one or for all? "
                "ask the supplier"
            ) from None
        return 1


def _breaks(amounts: Mapping[str, str], basis: int, per: int) -> tuple[tuple[int, int], ...]:
    """Return the price breaks (from units, price_e4) on the same basis as the price."""
    found = []
    for name, amount in amounts.items():
        match = _BREAK.fullmatch(name)
        if match and amount:
            shifted = amount
            for _ in range(len(str(per // basis)) - 1):
                shifted = _times_ten(shifted)
            found.append((int(match[1]), price_e4(shifted)))
    return tuple(sorted(found))


@_FEW_TEXTS
def _whole(text: str, what: str) -> int | None:
    """Return the first number of the text, None when it holds none; no whole one is refused."""
    found = _FIGURE.search(text)
    if found is None:
        return None
    count = _COUNT.fullmatch(found.group().rstrip(".,"))
    number = int(re.sub(r"\D", "", count[1])) if count else 0
    if 0 < number <= _MOST_UNITS:
        return number
    raise InputRefusedError(f"the {what} {text.strip()!r} is no count of units")


def _lead_days(text: str) -> int | None:
    """Return the days that the reader found; words that it could not read are no lead time."""
    days = int(text) if text.isascii() and text.isdecimal() else _MOST_DAYS + 1
    return days if days <= _MOST_DAYS else None


def _day(text: str) -> str | None:
    return iso_day_written(text) if text.strip() else None


def _held_exactly(amount: str, per: int) -> tuple[int, int]:
    """Return the price in whole 1/10000ths and its basis, for more units when it is finer."""
    digits = len(amount.partition(".")[2].rstrip("0"))
    while digits > 4 and per < _FINEST_BASIS:
        amount, digits, per = _times_ten(amount), digits - 1, per * 10
    return price_e4(amount), per


def _times_ten(amount: str) -> str:
    whole, _, decimals = amount.partition(".")
    return f"{whole}{decimals[:1] or '0'}.{decimals[1:] or '0'}"
