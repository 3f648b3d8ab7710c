"""One table of a sheet: its columns by key, its decimal marks and currency, its rows as read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from importers.amounts import MarkDecision, currency_sign, decide_mark
from importers.content import SAMPLE
from importers.currency_words import unit_currency, unknown_money
from importers.discounts import Discounting
from importers.drift import IGNORED
from importers.heading_units import CURRENCIES, PRESSURE_UNITS, currencies_of, says_each
from importers.headings import read_heading
from importers.layout import PRICES, Header
from importers.raw import NUMBER, RawRow, RawSheet
from importers.row_kinds import Places
from importers.rows import Column, Profile, word_behind
from importers.shifted import ANY, Shape
from importers.wording import counted

LETTERS = ("m", "c")  # as a price basis these may mean two things each


@dataclass(frozen=True, slots=True)
class Table:
    """A table with everything that its rows are read by; `keys` are (field name, column).

    `layout` is the remembered one that it follows; `is_settled` says that a person settled it;
    `spoken` is the price basis that a text beside the table names; `tax_rates` are the columns
    that hold the rate of tax of each row, `tax_words` those that say whether tax is in its prices,
    with what their headings ask; `stated` is the currency that heading or titles name.
    """

    sheet: str
    header: Header
    columns: tuple[Column, ...]
    keys: tuple[tuple[str, Column], ...]
    marks: dict[int, MarkDecision]
    currency: str
    header_row: int
    shape: Shape = ANY
    discounting: Discounting | None = None
    layout: Profile | None = None
    is_settled: bool = False
    spoken: str = ""
    tax_rates: tuple[int, ...] = ()
    tax_words: tuple[tuple[int, str], ...] = ()
    stated: str = ""

    @property
    def places(self) -> Places:
        """Return where the row kinds look."""
        at = {key: column.index for key, column in self.keys}
        code = at.get("code", at.get("maker_number", at.get("replaces", -1)))
        prices = tuple(at[key] for key in PRICES if key in at)
        return Places(code, at.get("description", -1), prices)

    def profile(self, delimiter: str, encoding: str) -> Profile:
        """Return the layout to remember; its decimal mark is that of the first price column."""
        mark = next((d.mark for d in self.marks.values() if d.mark), "")
        before = self.layout or Profile((), 0)
        return Profile(
            columns=self.columns,
            header_row=self.header_row,
            sheet=self.sheet,
            delimiter=delimiter,
            encoding=encoding,
            decimal_mark=mark,
            currency=self.currency,
            price_per=before.price_per,
            units=before.units,
            confirmed=before.confirmed if self.is_settled else "",
            settled=before.settled if self.is_settled else (),
            tax=before.tax,
        )


def document_table(sheet: RawSheet, profiles: Sequence[Profile] = ()) -> Table:
    """Return the table of a trade document: its columns are known and its decimal mark is ".".

    What a person settled of such a document of the supplier's (units of sale) is remembered.
    """
    keys = keys_of(sheet.columns)
    marks = {
        c.index: MarkDecision(".", 0, 0, 0)
        for key, c in keys
        if key.startswith(("price", "list_price")) and key != "price_per"
    }
    at = next((c.index for key, c in keys if key == "currency"), -1)
    named = {row.cell(at) if at >= 0 else "" for row in sheet.rows}
    currency = named.pop() if len(named) == 1 else ""
    header = Header(0, 0, tuple(c.heading for c in sheet.columns), ())
    known = (p for p in profiles if p.confirmed and not p.header_row and p.sheet == sheet.name)
    layout = next(known, None)
    return Table(
        sheet.name, header, sheet.columns, keys, marks, currency, 0,
        layout=layout, is_settled=layout is not None,
    )  # fmt: skip


def price_basis(table: Table) -> str:
    """Return for how many units the prices are.

    Their heading says it, or what a person settled of it, or a text beside a table without more.
    """
    found = heading_basis(table.keys)
    if found in ("", *LETTERS) and table.layout is not None:
        found = _settled_basis(table) or found
    return found or table.spoken


def _settled_basis(table: Table) -> str:
    layout = table.layout or Profile((), 0)
    at = dict(table.keys)
    price = at.get("price", at.get("list_price"))
    known = price is not None and any(
        c.meaning == price.meaning and c.heading == price.heading for c in layout.columns
    )
    return layout.price_per if known else ""


def price_column(keys: Sequence[tuple[str, Column]]) -> Column | None:
    """Return the column of the price, of the list price where there is none."""
    at = dict(keys)
    return at.get("price", at.get("list_price"))


def heading_basis(keys: Sequence[tuple[str, Column]]) -> str:
    """Return for how many units the heading of the price says that it is, "" when it does not.

    A net price that is made of the list price is for as many as that.
    """
    price = price_column(keys)
    return word_behind(price.unit, "per") if price else ""


def stated_basis(keys: Sequence[tuple[str, Column]]) -> str:
    """Return the same, and "1" where the heading says that its prices are for one piece."""
    price = price_column(keys)
    return heading_basis(keys) or ("1" if price and says_each(price.heading) else "")


def keys_of(columns: Sequence[Column]) -> tuple[tuple[str, Column], ...]:
    """Return the field name of every column that has one.

    A rating, price or price break besides the chosen one takes a name of its own ("rating_burst",
    "price_USD", "price_from_10"), so nothing is overwritten; descriptions are joined.
    """
    named: list[tuple[str, Column]] = []
    taken: set[str] = set()
    for column in columns:
        names = [column.meaning] if column.meaning != "other" else _further_names(column)
        free = [name for name in names if name not in taken or name == "description"]
        if free:
            taken.add(free[0])
            named.append((free[0], column))
    return tuple(named)


def _further_names(column: Column) -> list[str]:
    """Return names for a column that another one of the same meaning was preferred to."""
    heading, words = read_heading(column.heading), column.unit.split()
    if IGNORED in words:
        return []
    meaning = heading.meaning if heading else ""
    if "superseded" in words:
        return ["superseded_by"]
    if meaning == "rating":
        basis = [w for w in ("burst", "proof") if w in words]
        return [f"rating_{word}" for word in (*basis, *_of(words, PRESSURE_UNITS))]
    if meaning == "price" and "from" in words:
        return [f"price_from_{words[words.index('from') + 1]}"]
    return [f"price_{word}" for word in _of(words, CURRENCIES)] if meaning == "price" else []


def _of(words: list[str], known: Sequence[str]) -> list[str]:
    return [word for word in words if word in known]


def marks_of(
    keys: Sequence[tuple[str, Column]], body: Sequence[RawRow], profile: Profile | None
) -> tuple[dict[int, MarkDecision], list[str]]:
    """Return the decimal mark of every price column, and the sentences with the counts."""
    marks: dict[int, MarkDecision] = {}
    said: list[str] = []
    remembered = profile.decimal_mark if profile else ""
    for key, column in keys:
        if not key.startswith(("price", "list_price")) or key == "price_per":
            continue
        index = column.index
        cells = [row.cell(index) for row in body if row.kind(index) != NUMBER]
        numbers = len(body) - len(cells)
        marks[index] = decide_mark(cells, remembered)
        said.append(_mark_sentence(column.heading, marks[index], numbers))
    return marks, [sentence for sentence in said if sentence]


def _mark_sentence(heading: str, found: MarkDecision, numbers: int) -> str:
    clear = found.comma + found.point
    place = f'in column "{heading}"'
    if found.is_mixed:
        return (
            f"decimal mark {place} is mixed: {counted(found.comma, 'cell')} with comma, "
            f"{found.point} with point; each is read by itself, {found.ambiguous} could be either "
            "and have no price"
        )
    if found.mark and not clear and found.ambiguous:
        return f"decimal mark '{found.mark}' {place}: taken from the remembered layout"
    if found.mark and clear:
        return (
            f"decimal mark '{found.mark}' {place}: {clear} of {clear + found.ambiguous} "
            "cells with a mark prove it, none contradicts"
        )
    if found.ambiguous:
        cells = counted(found.ambiguous, "cell", "cells")
        all_of = "" if found.ambiguous == 1 else "all "
        return f"decimal mark {place} is not known: {all_of}{cells} could be either"
    return f"prices {place} are stored numbers: {counted(numbers, 'cell')}" if numbers else ""


def currency_of(
    columns: Sequence[Column], titles: Sequence[str], body: Sequence[RawRow]
) -> tuple[str, str]:
    """Return the one currency of headings, titles or price cells, and the sentence; "" if none.

    What a title says holds for the cells that show none, whatever others show.
    """
    headed = {w: c for c in columns for w in c.unit.split() if w in CURRENCIES and _is_price(c)}
    price = _price_of(columns)
    if price and (word := unit_currency(price.unit)):
        return word, f'currency {word}: the heading "{price.heading}" names it'
    if price and currency_doubt(columns, ()):
        return "", ""
    if len(headed) == 1:
        word, column = next(iter(headed.items()))
        return word, f'currency {word}: the heading "{column.heading}" names it'
    signed = (_signed(column, body) for column in _prices_of(columns))
    titled = _titled(titles)
    return titled if titled[0] else next(filter(None, signed), titled)


def currency_doubt(columns: Sequence[Column], titles: Sequence[str]) -> str:
    """Return what is said of the currency of the prices and settles none, "" when nothing is.

    Two currencies, or a sign that several have: neither is the one that the supplier's terms name.
    """
    price = _price_of(columns)
    if price is None or any(c.meaning == "currency" for c in columns):
        return ""
    texts = [price.heading, *titles]
    for text in texts:
        named = sorted(set(currencies_of(text)))
        if len(named) > 1:
            return f'"{text}" names {" and ".join(named)}'
        if not named and (sign := unknown_money(text)):
            return f'"{sign}" in "{text}" may be the money of several countries'
    found = sorted({word for text in texts for word in currencies_of(text)})
    return f"the texts beside it name {' and '.join(found)}" if len(found) > 1 else ""


def _price_of(columns: Sequence[Column]) -> Column | None:
    return next(iter(_prices_of(columns)), None)


def _prices_of(columns: Sequence[Column]) -> list[Column]:
    """Return the columns of the price and of the list price, in this order."""
    return [c for wanted in PRICES for c in columns if c.meaning == wanted]


def _signed(price: Column, body: Sequence[RawRow]) -> tuple[str, str] | None:
    """Return the one currency that the price cells themselves show; None when they differ."""
    cells = [row.cell(price.index) for row in body[:SAMPLE]]
    signs = Counter(sign for cell in cells if (sign := currency_sign(cell)))
    if len(signs) != 1:
        return None
    word, count = next(iter(signs.items()))
    return word, f"currency {word}: {count} of the first {len(cells)} price cells show it"


def _titled(titles: Sequence[str]) -> tuple[str, str]:
    found = {word: text for text in titles for word in currencies_of(text)}
    if len(found) != 1:
        return "", ""
    word, text = next(iter(found.items()))
    return word, f'currency {word}: the text "{text}" outside the table names it'


def _is_price(column: Column) -> bool:
    return column.meaning in (*PRICES, "other")
